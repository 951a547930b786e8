"""Elements of an events document, read back one by one. Anything missing or strange raises ValueError or KeyError."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lxml.etree import _Element

from pipeline.desk.compare.content import (
    BarlineContent,
    DirectiveContent,
    EventContent,
    ItemContent,
    MarkContent,
    Marks,
    NoteContent,
    NoteReading,
    SignContent,
    StopContent,
    SungContent,
    SyllableContent,
    UnreadContent,
    VariantContent,
)
from pipeline.desk.compare.contents.layers import edited, printed_length
from pipeline.desk.compare.contents.names import ACTS, SLURS, Tag, fraction, labels, said, span, ticks
from pipeline.desk.compare.contents.names import value as value_name
from pipeline.desk.compare.contents.notes import NO_NOTES, BarNotes, Labelled, pinned
from pipeline.desk.compare.contents.order import in_order, marks_in_order
from pipeline.desk.compare.contents.signs import mark_name
from pipeline.model.signs import Act, Body, FretState, Reading
from pipeline.model.tablature import BarlineAct, BarlineKind, DirectiveKind, NoteKind, Pin
from pipeline.model.text import Span
from pipeline.model.time import Value

#: Acts under which the edition reads nothing, and those under which the source has something else.
_UNREAD = frozenset((Act.REMOVED, Act.ILLEGIBLE, Act.LOST))
_OTHERWISE = frozenset((Act.EMENDED, Act.REMOVED))


class Document:
    """What all elements of one document share. ``from_file`` are the names of lines that are not typed."""

    def __init__(self, file: str, heading: _Element, readings: _Element, from_file: frozenset[str]) -> None:
        self.file = file
        self.from_file = from_file
        self.values = fraction(heading.get("values", ""))
        marks = reversed(heading.findall(Tag.DECLARED_MARK))
        self.declared = {mark.get("letter", ""): mark.get("printed", "") for mark in marks}
        self.across: dict[str, str] = {}
        for pair in readings.iterfind(Tag.ACROSS):
            for name, word in (("first", "begins"), ("last", "ends")):
                stop = pair.get(name, "")
                self.across[stop] = f"{self.across.get(stop, '')}{word}"
        self._signs: dict[tuple[object, ...], SignContent] = {}

    def span(self, element: _Element) -> Span:
        return span(element, self.file)

    # --- lines between bars, and what stands in bars ----------------------------------------------------

    def directive(self, element: _Element) -> DirectiveContent:
        notes = tuple(_note_line(note).content for note in element.iterfind(Tag.NOTE))
        return DirectiveContent(DirectiveKind(element.get("kind")), element.get("text", ""), notes, self.span(element))

    def notes_of(self, bar: _Element) -> BarNotes:
        """The note lines under a bar."""
        lines = tuple(_note_line(note) for note in bar.iterfind(Tag.NOTE))
        return BarNotes(lines, lambda: _label_events(bar)) if lines else NO_NOTES

    def items(self, elements: Iterable[_Element], notes: BarNotes) -> Iterator[ItemContent]:
        """Events, bar lines and words that cannot be read; breaks are passed over."""
        for element in elements:
            if element.tag == Tag.EVENT:
                yield self.event(element, notes)
            elif element.tag == Tag.BARLINE:
                yield self.barline(element, notes)
            elif element.tag == Tag.UNREAD:
                yield UnreadContent(element.text or "", self.span(element))

    def barline(self, element: _Element, notes: BarNotes) -> BarlineContent:
        kind = BarlineKind[element.get("kind", "").upper().replace("-", "_")]
        act = BarlineAct[element.get("act", "").upper()]
        return BarlineContent(kind, act, notes.at(labels(element)), self.span(element))

    def variant(self, element: _Element) -> VariantContent:
        items = tuple(self.items(element, NO_NOTES))
        return VariantContent(element.get("witness", ""), items, self.span(element))

    # --- events --------------------------------------------------------------------------------------

    def event(self, element: _Element, notes: BarNotes) -> EventContent:
        body = Body[element.get("body", "stops").upper().replace("-", "_")]
        value, group = element.find(Tag.VALUE), element.find(Tag.GROUP)
        timed = element.get("onset") is not None
        stops = in_order(list(self._stops(element, notes)))
        at = notes.at([*labels(element), *(labels(value) if value is not None else ())])
        return EventContent(
            _value_reading(value) if value is not None else None,
            said(value if value is not None else element, "joined"),
            (int(group.get("notes", "")), int(group.get("time", "")), said(group, "added"))
            if group is not None
            else None,
            self.marks(element, notes),
            body,
            stops if body is Body.STOPS else (),
            at,
            stops if body is not Body.STOPS else (),
            value_name(element.get("sign", "")),
            ticks(element.get("onset")) if timed else 0,
            ticks(element.get("length")) if timed else 0,
            self.span(element),
        )

    def _stops(self, event: _Element, notes: BarNotes) -> Iterator[StopContent]:
        order = 0
        for element in event.iterfind(Tag.STOP):
            order += said(element, "after")
            slur = element.get("slur")
            read = element.find(Tag.READING)
            yield StopContent(
                self._stop_reading(element),
                SLURS[slur] if slur is not None else None,
                order,
                self.marks(element, notes),
                notes.at(labels(element)),
                element.get("sounds", ""),
                tuple(int(string.get("semitones", "")) for string in element.iterfind(Tag.STRING)),
                self._note_reading(read, element.get("id", "")) if read is not None else None,
                self.span(element),
            )

    def _stop_reading(self, element: _Element) -> Reading[SignContent]:
        act = ACTS[element.get("act", "")]
        edition = None if act in _UNREAD else self._sign(element)
        source = edition if act is Act.PRINTED else None
        other = element.find(Tag.SOURCE)
        if act in _OTHERWISE and other is not None:
            source = self._sign(other)
        return Reading(act, edition, source, said(element, "doubtful"), said(element, "source-doubtful"))

    def _sign(self, element: _Element) -> SignContent:
        given = tuple(element.get(name, "") for name in ("course", "fret", "state", "dots"))
        found = self._signs.get(given)
        if found is None:
            course, fret, name, dots = given
            state = FretState(name) if name else FretState.READ
            number = int(fret) if fret and state is FretState.READ else None
            found = self._signs[given] = SignContent(course, number, state, int(dots or 0))
        return found

    def _note_reading(self, element: _Element, stop: str) -> NoteReading:
        restored = element.find(Tag.RESTORED)
        return NoteReading(
            int(element.get("voice", "")),
            element.get("part", ""),
            ticks(element.get("length")),
            element.get("spelling", ""),
            element.get("decided", ""),
            int(restored.get("octaves", "")) if restored is not None else 0,
            restored is not None and said(restored, "asked"),
            restored.get("decided", "") if restored is not None else "",
            self.across.get(stop, ""),
        )

    def marks(self, element: _Element, notes: BarNotes) -> Marks:
        """The marks over an event, at a stop or over a sung note."""
        return marks_in_order(
            MarkContent(self._mark(mark), notes.at(labels(mark))) for mark in element.iterfind(Tag.MARK)
        )

    def _mark(self, element: _Element) -> Reading[str]:
        reading = _reading(element)
        edition = mark_name(reading.edition, self.declared)
        source = mark_name(reading.source, self.declared)
        return Reading(reading.act, edition, source, reading.doubtful, reading.source_doubtful)

    # --- layers --------------------------------------------------------------------------------------

    def sung(self, line: Iterable[_Element], name: str, notes: BarNotes) -> Iterator[SungContent]:
        """Notes of one line in one bar."""
        from_file = name in self.from_file
        for element in line:
            value = element.find(Tag.VALUE)
            act = element.get("act")
            yield SungContent(
                element.get("pitch", ""),
                ACTS[act] if act is not None else Act.PRINTED,
                element.findtext(Tag.SOURCE) or "",
                said(element, "doubtful"),
                said(element, "source-doubtful"),
                edited(_value_reading(value)) if value is not None else None,
                printed_length(ticks(element.get("length")), self.values, from_file=from_file),
                said(element, "tied"),
                said(element, "fermata"),
                self.marks(element, notes),
                tuple(self._syllable(one, notes) for one in element.iterfind(Tag.SYLLABLE)),
                tuple((ticks(one.get("offset")), one.text or "") for one in element.iterfind(Tag.FIGURE)),
                said(element, "unread"),
                notes.at(labels(element)),
                self.span(element),
            )

    def _syllable(self, element: _Element, notes: BarNotes) -> SyllableContent:
        stanza, place = int(element.get("stanza", "")), element.get("place", "")
        extends, noted = said(element, "extends"), notes.at(labels(element))
        return SyllableContent(stanza, element.text or "", place, extends, noted, *word_edited(element))


def word_edited(element: _Element) -> tuple[Act, str]:
    """What the editor did to a word, and what the source has."""
    act = element.get("act")
    return ACTS[act] if act is not None else Act.PRINTED, element.get("source", "")


def _reading(element: _Element) -> Reading[str]:
    """``reads``, ``act``, ``source``: a sign by its typed name."""
    act = ACTS[element.get("act", "")]
    edition = None if act in _UNREAD else element.get("reads", "")
    source = edition if act is Act.PRINTED else element.get("source") if act in _OTHERWISE else None
    return Reading(act, edition, source, said(element, "doubtful"), said(element, "source-doubtful"))


def _value_reading(element: _Element) -> Reading[str]:
    reading = _reading(element)
    value_name(reading.edition or "")
    value_name(reading.source or "")
    return reading


def _note_line(element: _Element) -> Labelled:
    kind = NoteKind(element.get("kind", "").replace("-", " "))
    label, who = element.get("label", ""), element.get("who", "")
    if kind is NoteKind.PIN:
        return pinned(label, who, _pin(element))
    return Labelled(label, NoteContent(kind, who, element.text or ""))


def _pin(element: _Element) -> Pin:
    voice, octave, lasts = element.get("voice"), element.get("octave"), element.get("lasts")
    return Pin(
        int(voice) if voice is not None else None,
        int(octave) if octave is not None else None,
        _value(lasts) if lasts is not None else None,
        element.get("lasts-to", ""),
    )


def _value(name: str) -> Value:
    unit = name.rstrip(".")
    return Value(int(unit), len(name) - len(unit))


def _label_events(bar: _Element) -> dict[str, int]:
    """Which event each label of a bar stands in, from 1."""
    found: dict[str, int] = {}
    for number, event in enumerate(bar.iterfind(Tag.EVENT), start=1):
        for element in event.iter():
            for label in labels(element):
                found.setdefault(label, number)
    return found
