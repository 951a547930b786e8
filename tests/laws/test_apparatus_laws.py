"""Laws of the apparatus: every act typed stands in it once, and nothing else does; documents with it stay whole.

The acts typed are counted by a walk over the records that knows nothing of the apparatus: whatever reading, slur,
group, bar line or note line there is anywhere in the tablature. Held against: the schemas of MEI 5.1 and MusicXML 4.0,
and the reader music21.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from pipeline.edition.apparatus import apparatus
from pipeline.edition.casting import cast_off
from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.apparatus import OF_THE_READING, Apparatus, Kind
from pipeline.model.score import Score
from pipeline.model.signs import Act, FretState, Group, Reading, Sign, Slur, Stop, Unread
from pipeline.model.tablature import (
    Barline,
    BarlineAct,
    Directive,
    DirectiveKind,
    Ditto,
    NoteKind,
    NoteLine,
    SourceBar,
    Tablature,
)
from pipeline.model.voiced import VoicedPiece
from pipeline.writers.mei import write_mei, write_mei_forms
from pipeline.writers.musicxml import write_musicxml
from pipeline.writers.report import write_report, write_table
from tests.laws import rich
from tests.laws.test_exchange import law
from tests.made import resolved
from tests.outside.readback import heads_by_partitura
from tests.outside.schemas import musicxml_schema
from tests.records import is_record, parts
from tests.writers.mei_schema import faults

_HEADING = "layer v = Canto, clef C1, 1 flat\n"
#: Bars in which labels tie reasons, other sources and pins to signs of every kind.
_NOTED = st.sampled_from(
    [
        '| 2!4"a=3:2!3:5"b,2:1 4=3:1\'T!M"c\n"a !B 4\n"b EB: digits\n"b EB: or not\n"b !B 3:2\n"c EB: sic',
        '| "a1!=3:2!,2:1!"b,1:0\n"a EB: torn\n"b EB: as below\n"b !B lacks it',
        '| 2=3:2"a 3:3"a\n"a > voice 1, octave up\n"a EB: one note line, two signs',
        '| 2=5:0"a 4=3:3 3:2"b |!"c\n"a > lasts to b\n"b : adagio\n"c EB: no line',
        '| 2=3:2 !|"a 3:3 ||?"b\n"a EB: a stroke\n"b EB: perhaps',
        '| 1=3:2\nv 2=D5!"a 8!4=E?!F"b _E!?\n1 Du- ri"c _\n"a EB: by the bass\n"b !B E5\n"c EB: duro',
        '| 1=3:2\n! 2=3:2"a\n" EB: the whole bar\n"a EB: and in it',
        '| 1=3:2\n" !B omits the bar\n" > voice 1\n" EB: what can it mean',
        'gap 3 bars, burnt\n" EB: before 1700',
        'again start\n" : ut supra\n" EB: written small\n" !B Da capo',
        '| ditto 2 |!\n" EB: a sign like %',
        '| 1=3:2"a\n"b EB: a label that stands nowhere',
        '| 8/3!"a=3:2 3:3 3:5 4==\n"a EB: no figure',
    ]
)
PIECES = st.tuples(
    rich.headings.map(lambda heading: heading + _HEADING),
    st.lists(st.one_of(rich.music, _NOTED), min_size=1, max_size=4).map(lambda parts: _numbered("\n".join(parts))),
)
_ACTS = {
    Act.ADDED: Kind.ADDED,
    Act.EMENDED: Kind.EMENDED,
    Act.REMOVED: Kind.REMOVED,
    Act.SUPPLIED_ILLEGIBLE: Kind.SUPPLIED_ILLEGIBLE,
    Act.SUPPLIED_LOST: Kind.SUPPLIED_LOST,
    Act.ILLEGIBLE: Kind.ILLEGIBLE,
    Act.LOST: Kind.LOST,
}
_SLURS = {Slur.ADDED: Kind.ADDED, Slur.DOUBTFUL: Kind.DOUBTFUL, Slur.REMOVED: Kind.REMOVED}
_LINES = {BarlineAct.ADDED: Kind.ADDED, BarlineAct.DOUBTFUL: Kind.DOUBTFUL, BarlineAct.REMOVED: Kind.REMOVED}
_ID = "{http://www.w3.org/XML/1998/namespace}id"


def _numbered(music: str) -> str:
    """Every reason with a number of its own, so that each can be found again."""
    count = iter(range(10_000))
    return re.sub(r"( EB: )", lambda found: f"{found[1]}{next(count)} ", music)


def _typed(value: object) -> Iterator[object]:
    """Every record inside a record, but those of what another source has, and of what cannot be read."""
    if isinstance(value, (SourceBar, Unread)):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _typed(item)
    elif is_record(value):
        yield value
        for part in parts(value):
            yield from _typed(part)


def _acts(tablature: Tablature) -> Counter[Kind]:
    """What was typed, by the kind it must have."""
    found: Counter[Kind] = Counter()
    for record in _typed(tablature.body):
        match record:
            case Reading(act=Act.PRINTED, edition=Sign() as sign, doubtful=False):
                found.update(_unread(sign))
            case Reading(act=Act.PRINTED, doubtful=doubtful):
                found[Kind.DOUBTFUL] += doubtful
            case Reading(act=act):
                found[_ACTS[act]] += 1
            case Stop(slur=slur) if slur in _SLURS:
                found[_SLURS[slur]] += 1
            case Group(added=True):
                found[Kind.ADDED] += 1
            case Barline(act=act) if act in _LINES:
                found[_LINES[act]] += 1
            case SourceBar(witness=witness):
                found[Kind.VARIANT if witness else Kind.EMENDED] += 1
            case Ditto():
                found[Kind.WRITTEN_OUT] += 1
            case Directive(kind=DirectiveKind.GAP):
                found[Kind.LOST] += 1
            case NoteLine(kind=NoteKind.WITNESS):
                found[Kind.VARIANT] += 1
            case NoteLine(kind=NoteKind.PIN):
                found[Kind.PINNED] += 1
            case _:
                pass
    return +found


def _unread(sign: Sign) -> list[Kind]:
    if sign.state in (FretState.ILLEGIBLE, FretState.LOST):
        return [Kind.ILLEGIBLE if sign.state is FretState.ILLEGIBLE else Kind.LOST]
    return {"?": [Kind.ILLEGIBLE], "*": [Kind.LOST]}.get(sign.course_sign, [])


def _made(piece: tuple[str, str]) -> tuple[VoicedPiece, Score, Apparatus]:
    heading, music = piece
    voiced = spell(lead(resolved(music, heading)[0]))
    return voiced, notate(voiced), apparatus(voiced)


@law(200)
@given(PIECES)
def test_every_act_typed_stands_in_it_once_and_nothing_else(piece: tuple[str, str]) -> None:
    voiced, _, made = _made(piece)
    kinds = Counter(entry.kind for entry in made.entries)
    for kind in (Kind.RESTORED, Kind.ASKED, Kind.REMARK):
        del kinds[kind]
    assert kinds == _acts(voiced.sounding.tablature)


@law(200)
@given(PIECES)
def test_every_reason_typed_stands_in_it(piece: tuple[str, str]) -> None:
    """At the acts that it speaks of, or once as a remark."""
    voiced, _, made = _made(piece)
    remarks = Counter(entry.reason for entry in made.entries if entry.kind is Kind.REMARK)
    at_acts = " ; ".join(entry.reason for entry in made.entries if entry.kind is not Kind.REMARK) + " "
    lines = [line for line in _typed(voiced.sounding.tablature.body) if isinstance(line, NoteLine)]
    for line in lines:
        if line.kind is NoteKind.REASON:
            assert (remarks[line.text] == 1) != (line.text in at_acts)
    assert sum(remarks.values()) <= sum(line.kind is NoteKind.REASON for line in lines)


@law(100)
@given(PIECES)
def test_every_octave_read_stands_in_it_once(piece: tuple[str, str]) -> None:
    voiced, _, made = _made(piece)
    octaves = [e.at for e in made.entries if e.kind in (Kind.RESTORED, Kind.ASKED)]
    assert sorted(octaves) == sorted(note.led.id for note in voiced.notes if note.led.restored is not None)


@law(100)
@given(PIECES)
def test_in_the_order_of_print(piece: tuple[str, str]) -> None:
    _, _, made = _made(piece)
    assert [entry.number for entry in made.entries] == sorted(entry.number for entry in made.entries)
    placed = [(e.number, e.event) for e in made.entries if not e.part and e.course]
    assert placed == sorted(placed)


@law(150)
@given(PIECES)
def test_the_archive_is_valid_and_loses_no_name(piece: tuple[str, str]) -> None:
    """Whatever the engraver is shown by name stands in the archive's form too, once; the engraver's form is as without
    an apparatus, to the byte."""
    _, score, made = _made(piece)
    forms = write_mei_forms(cast_off(score), made)
    assert faults(forms.archive) == []
    assert forms.drawn == write_mei(cast_off(score))
    drawn, archive = (Counter(_ids(document)) for document in (forms.drawn, forms.archive))
    assert all(count == 1 for count in archive.values())
    assert drawn - archive == Counter()


def _ids(document: bytes) -> list[str]:
    return [element.get(_ID, "") for element in etree.fromstring(document).iter() if element.get(_ID)]


@law(100)
@given(PIECES)
def test_musicxml_with_it_is_valid_and_sounds_the_same(piece: tuple[str, str]) -> None:
    _, score, made = _made(piece)
    document = write_musicxml(score, made)
    if not score.measures:
        return
    schema = musicxml_schema()
    assert schema.validate(etree.fromstring(document)), schema.error_log
    assert heads_by_partitura(document) == heads_by_partitura(write_musicxml(score))


@law(60)
@given(PIECES)
def test_page_and_table_have_a_row_for_each_entry(piece: tuple[str, str]) -> None:
    _, _, made = _made(piece)
    rows = etree.HTML(write_report(made, "law")).findall(".//table[@aria-labelledby]/tbody/tr")
    assert len(rows) == len(made.entries)
    assert write_table(made).count(b"\r\n") == len(made.entries) + 1
    of_signs = [entry for entry in made.entries if entry.kind not in OF_THE_READING]
    assert sum(1 for row in rows if len(row) == 8) == len(of_signs)
