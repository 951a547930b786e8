"""Laws of the exchange formats: whatever is typed, the documents are valid and say the same.

Held against: the schema of MusicXML 4.0, and the readers music21 and partitura.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from lxml import etree

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.findings.document import write_findings
from pipeline.model.score import Measure, Score
from pipeline.model.signs import Event
from pipeline.model.tablature import Bar, Barline
from pipeline.model.text import Span
from pipeline.model.time import WHOLE, Value
from pipeline.model.voiced import VoicedPiece
from pipeline.writers.events import write_events
from pipeline.writers.musicxml import write_musicxml
from tests.laws import music, rich
from tests.made import resolved
from tests.outside.readback import (
    as_music21_places,
    differences,
    from_events,
    heads_by_partitura,
    heard_by_music21,
    tablature_by_music21,
    tablature_written,
    written,
    written_heads,
)
from tests.outside.schemas import valid_events, valid_findings, valid_musicxml

_plain = st.tuples(music.metres.map(lambda metre: rich.HEADING.format(metre=metre)), music.pieces)
#: Heading and music lines: plain music, and music with every sign.
PIECES = st.one_of(_plain, st.tuples(rich.headings, rich.music))


#: Rests that music21 may take for those of a whole bar.
_LONG = {Value(0), Value(1)}


def law(examples: int) -> settings:
    """A law tried on so many pieces."""
    return settings(max_examples=examples, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def made(piece: tuple[str, str]) -> tuple[VoicedPiece, Score]:
    heading, lines = piece
    voiced = spell(lead(resolved(lines, heading)[0]))
    return voiced, notate(voiced)


@law(150)
@given(PIECES)
def test_documents_are_valid(piece: tuple[str, str]) -> None:
    voiced, score = made(piece)
    assume(score.measures)
    valid_musicxml(score)
    valid_events(voiced)
    valid_findings(write_findings("law.intav", resolved(piece[1], piece[0])[1]))


@law(150)
@given(PIECES)
def test_events_say_what_the_score_holds(piece: tuple[str, str]) -> None:
    voiced, score = made(piece)
    assert differences(from_events(write_events(voiced, score)), written(score)) == []


def _cut(measure: Measure) -> bool:
    metre = measure.metre.ticks if measure.metre is not None and measure.metre.beats else WHOLE
    over = measure.ticks - metre
    return 0 < over <= WHOLE // 8 and over % (WHOLE // 64) > 0 and over % (WHOLE // 48) > 0


@law(40)
@given(PIECES)
def test_music21_hears_what_the_score_holds(piece: tuple[str, str]) -> None:
    """Bars in which nothing takes time are left out: there it puts a rest for a whole bar. So is tablature with a
    single plain rest of a whole note or a breve: if all notes of the bar stand in chords, it takes that for a rest
    of the whole bar too, whatever its duration says. A bar that is too long by an odd amount of less than a quaver it
    cuts to the metre, or to a whole note where there is none."""
    _, score = made(piece)
    assume(not any(_cut(measure) for measure in score.measures))
    assume(score.measures and all(measure.ticks for measure in score.measures))
    assume(not any(event.rest and event.value in _LONG for measure in score.measures for event in measure.tab))
    document = write_musicxml(score)
    assert differences(as_music21_places(score), heard_by_music21(document)) == []
    assert tablature_by_music21(document) == tablature_written(score)


@law(80)
@given(PIECES)
def test_partitura_sees_what_the_score_holds(piece: tuple[str, str]) -> None:
    """Heads one by one: it knows one tie of each pitch at a time, and loses a unison that two voices tie at once."""
    _, score = made(piece)
    assume(score.measures)
    assert differences(written_heads(score), heads_by_partitura(write_musicxml(score))) == []


@law(150)
@given(PIECES)
def test_lines_have_two_ends(piece: tuple[str, str]) -> None:
    """Within a part every slur, dashed line and bracket that starts stops again, and its number is free meanwhile."""
    _, score = made(piece)
    root = etree.fromstring(write_musicxml(score))
    for part in root.iterfind("part"):
        open_: set[tuple[str, str]] = set()
        for element in part.iter("slur", "dashes", "bracket"):
            line = (str(element.tag), element.get("number", ""))
            if line in open_:
                open_.remove(line)
            else:
                open_.add(line)
        assert not open_


@law(150)
@given(PIECES)
def test_every_head_and_figure_has_its_string_and_fret(piece: tuple[str, str]) -> None:
    _, score = made(piece)
    root = etree.fromstring(write_musicxml(score))
    found = {
        note.get("id"): (note.findtext("notations/technical/string"), note.findtext("notations/technical/fret"))
        for note in root.iter("note")
        if note.find("pitch") is not None
    }
    expected = {
        sign.id: (str(sign.course), str(sign.fret))
        for measure in score.measures
        for sign in (
            *(head for layer in measure.layers for event in layer.events for head in event.heads),
            *(figure for event in measure.tab for figure in event.figures if figure.pitch is not None),
        )
    }
    assert found == expected


@law(150)
@given(PIECES)
def test_every_sign_of_a_bar_is_in_the_events_document(piece: tuple[str, str]) -> None:
    """Stops, rhythm signs, marks, bar lines, notes: each with its place, none twice. A ditto bar has none."""
    voiced, _ = made(piece)
    root = etree.fromstring(write_events(voiced))
    dittos = {bar.bar.span.line for bar in voiced.sounding.bars if bar.bar.ditto is not None}
    bars = [bar for bar in voiced.sounding.tablature.bars if bar.ditto is None]
    found: Counter[tuple[str, int, int, int]] = Counter()
    for bar in root.iterfind("{*}bar"):
        if int(bar.get("line", "0")) in dittos:
            continue
        for element in bar.iter("{*}stop", "{*}value", "{*}mark", "{*}barline", "{*}note"):
            if not element.xpath("ancestor::*[local-name()='variant']") and not _again(element):
                place = (int(element.get(name, "0")) for name in ("line", "column", "end"))
                found[(etree.QName(element).localname, *place)] += 1  # type: ignore[index]
    signs = [sign for bar in bars for sign in _signs(bar)]
    signs += [("barline", bar.opening.span) for bar in voiced.sounding.bars if bar.opening and not bar.bar.ditto]
    assert found == Counter((kind, span.line, span.start, span.end) for kind, span in signs)


def _again(element: etree._Element) -> bool:
    """A stop, or a mark at one, that sounds again without being written again."""
    return bool(element.xpath("ancestor::*[local-name()='event'][@body='as-before']")) and not element.xpath(
        "self::*[local-name()='value'] | self::*[local-name()='mark'][local-name(..)='event']"
    )


def _signs(bar: Bar) -> Iterator[tuple[str, Span]]:
    for item in (*bar.items, bar.closing):
        match item:
            case Event():
                if item.head is not None:
                    if item.head.value is not None:
                        yield "value", item.head.span
                    for group in item.head.marks:
                        yield from (("mark", group.span) for _ in group.marks)
                for stop in item.stops:
                    yield "stop", stop.span
                    for group in stop.marks:
                        yield from (("mark", group.span) for _ in group.marks)
            case Barline():
                yield "barline", item.span
    for note in bar.notes:
        yield "note", note.span
