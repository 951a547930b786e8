"""The whole document: what is declared, the readings of the piece as a whole, then bar by bar."""

from __future__ import annotations

from lxml.etree import Element, _Element, tostring

from pipeline.model.heading import Heading
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import frequency
from pipeline.model.score import Score
from pipeline.model.signs import Event, Signs, Unread
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingBar
from pipeline.model.tablature import Barline, SourceBreak
from pipeline.model.time import show
from pipeline.model.voiced import VoicedPiece
from pipeline.model.xmltext import legal
from pipeline.writers.events import signs
from pipeline.writers.events.song import song_part
from pipeline.writers.events.sounding import EventWriter
from pipeline.writers.events.xml import NAMESPACE, Places, add, tag, yes

# lxml's stubs know no default namespace
_DEFAULT: dict[str, str] = {None: NAMESPACE}  # type: ignore[dict-item]


def write_events(voiced: VoicedPiece, score: Score | None = None, song: Song | None = None) -> bytes:
    """The piece as an events document (``schemas/events.rng``), UTF-8.

    Times are fractions of a whole note from the start of the piece; lines and columns count from 1. With the
    ``score`` each reading also says on which staff it stands; with the ``song`` the layers beside the tablature follow
    the bars. Takes linear time.
    """
    piece = voiced.sounding
    places = Places(piece.tablature.name)
    root = Element(tag("events"), {"form": "1", "file": legal(places.file)}, nsmap=_DEFAULT)
    _heading(root, piece.heading)
    _readings(root, voiced)
    notes = {note.led.id: note for note in voiced.notes}
    writer = EventWriter(piece.heading, places, notes, _staves(score) if score is not None else {})
    before = piece.heading.instrument
    for bar in piece.bars:
        for line in bar.directives:
            signs.directive(root, line, places)
        _bar(root, bar, before, writer, places)
        before = bar.instrument
    for line in piece.closing:
        signs.directive(root, line, places)
    if song is not None:
        song_part(root, song, piece.heading, places)
    return tostring(root, encoding="UTF-8", xml_declaration=True, pretty_print=True)


def _staves(score: Score) -> dict[str, int]:
    """Stop id → staff of its first notehead."""
    staves: dict[str, int] = {}
    for measure in score.measures:
        for layer in measure.layers:
            for event in layer.events:
                for head in event.heads:
                    staves.setdefault(head.stop, head.staff)
    return staves


def _heading(root: _Element, heading: Heading) -> None:
    """``heading``: title, composer, remark …, source …, editor …, mark …, instrument."""
    attributes = {
        "signs": heading.signs.value,
        "values": str(heading.values),
        "plain-stem": str(heading.plain_stem),
        "a4": f"{heading.pitch:g}" if heading.pitch is not None else "",
        "strings": " ".join(f"{length:g}" for length in heading.strings or ()),
        "metre": legal(heading.metre.sign) if heading.metre is not None else "",
        "key": f"{heading.key.tonic} {heading.key.mode}" if heading.key is not None else "",
        "voices": str(heading.voices or ""),
        "written-out": yes(heading.written_out),
        "arpeggio": heading.arpeggio.value,
        "lines": str(heading.lines or ""),
        "course-1-above": yes(heading.course_1_above and heading.signs is Signs.ITALIAN),
    }
    element = add(root, "heading", attributes)
    for name, content in (("title", heading.title), ("composer", heading.composer)):
        if content:
            add(element, name, text=content)
    for remark in heading.remarks:
        add(element, "remark", text=remark)
    for witness in heading.witnesses:
        add(element, "witness", {"siglum": legal(witness.siglum)}, witness.text)
    for initials, name in heading.editors:
        add(element, "editor", {"initials": legal(initials)}, name)
    if heading.issue is not None:
        add(element, "edition", {"version": legal(heading.issue.version), "date": heading.issue.date})
    if heading.licence is not None:
        add(element, "licence", {"address": legal(heading.licence.address)}, heading.licence.text)
    for canvas in heading.canvases:
        add(element, "canvas", {"folio": legal(canvas.folio)}, canvas.address)
    for mark in heading.marks:
        given = {"letter": mark.letter, "printed": mark.printed, "meaning": mark.meaning, "place": mark.place}
        add(element, "declared-mark", {key: legal(value) for key, value in given.items()})
    _instrument(element, heading.instrument, heading.pitch)


def _instrument(parent: _Element, instrument: Instrument, a4: float | None) -> None:
    """``instrument``: course (string …) …"""
    element = add(parent, "instrument", {"name": legal(instrument.name), "stopped": str(instrument.stopped)})
    for course in instrument.courses:
        holder = add(element, "course", {"number": str(course.number)})
        for string in course.strings:
            given = {"pitch": string.name, "semitones": str(string.semitones)}
            if a4 is not None:
                given["hertz"] = f"{frequency(string.semitones, a4):.2f}"
            add(holder, "string", given)


def _readings(root: _Element, voiced: VoicedPiece) -> None:
    """``readings``: method, habit, across …: what was read of the piece as a whole."""
    led = voiced.led
    attributes = {"voices": str(led.voices), "fifths": str(voiced.fifths), "key-found": yes(voiced.key_found)}
    element = add(root, "readings", attributes)
    add(element, "method", text=led.method)
    habit = add(element, "habit", {"found": led.habit})
    for name, figure in led.evidence:
        add(habit, "evidence", {"figure": f"{figure:.3f}"}, name)
    for first, last in led.bells:
        add(element, "across", {"first": first, "last": last})


def _bar(root: _Element, bar: SoundingBar, before: Instrument, writer: EventWriter, places: Places) -> None:
    """``bar``: instrument (where retuned), folio …, barline (opening), its signs in order, variant …, note …"""
    metre, heading = bar.metre, writer.heading
    attributes = {
        "index": str(bar.index + 1),
        "label": legal(bar.label),
        "onset": show(bar.onset),
        "length": show(bar.length),
        "expected": show(bar.expected) if bar.expected else "",
        "kind": bar.bar.kind.name.lower(),
        "metre": legal(metre.sign) if metre is not None else "",
        "beats": str(metre.beats) if metre is not None and metre.beats else "",
        "unit": str(metre.unit) if metre is not None and metre.beats else "",
        "ending": str(bar.ending or ""),
        "ditto": legal(f"ditto {bar.bar.ditto.typed}".strip()) if bar.bar.ditto is not None else "",
    }
    element = add(root, "bar", {**attributes, **places.of(bar.bar.span)})
    if bar.instrument != before:
        _instrument(element, bar.instrument, heading.pitch)
    for folio, span in bar.folios:
        add(element, "folio", {"name": legal(folio), **places.of(span)})
    if bar.opening is not None:
        signs.barline(element, bar.opening, places)
    _items(element, bar, writer, places)
    signs.barline(element, bar.bar.closing, places)
    signs.variants(element, bar.bar, heading, places)
    for note in bar.bar.notes:
        signs.note(element, note, places)


def _items(element: _Element, bar: SoundingBar, writer: EventWriter, places: Places) -> None:
    """The words of a bar in typed order; a bar that stands for another has that one's events."""
    events = iter(bar.events)
    for item in bar.bar.items:
        match item:
            case Event():
                event = next(events, None)
                if event is not None:
                    writer.event(element, event, bar.instrument)
            case Barline():
                signs.barline(element, item, places)
            case SourceBreak():
                signs.source_break(element, item, places)
            case Unread():
                signs.unread(element, item, places)
    for event in events:
        writer.event(element, event, bar.instrument)
