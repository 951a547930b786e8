"""The part of two staves: what sounds, voice by voice."""

from __future__ import annotations

from collections import deque

from lxml.etree import _Element

from pipeline.model.score import (
    UPPER_STAFF,
    Editorial,
    Kind,
    Layer,
    Measure,
    Notehead,
    Place,
    Score,
    StaffEvent,
    Words,
    WordsKind,
)
from pipeline.model.time import Metre
from pipeline.writers.musicxml import directions, notes
from pipeline.writers.musicxml.attributes import staff_attributes
from pipeline.writers.musicxml.barlines import Frame, left_barline, right_barline
from pipeline.writers.musicxml.joins import arpeggiate, slurs, spreads
from pipeline.writers.musicxml.pen import Cursor, Pen
from pipeline.writers.musicxml.rows import block, hidden_rest
from pipeline.writers.musicxml.spanners import End, Line, Spanners
from pipeline.writers.musicxml.staffnote import staff_note, staff_rest

_NO_ENDS: list[End] = []


def staves_part(root: _Element, score: Score, frames: list[Frame], pen: Pen) -> None:
    """``part``: measure, measure …"""
    part = block(root, "part", {"id": "staves"})
    spanners = Spanners(score, tablature=False)
    metre: Metre | None = None
    for measure, frame in zip(score.measures, frames, strict=True):
        metre = measure.metre or metre
        element = block(part, "measure", frame.attributes)
        _MeasureWriter(element, measure, metre, pen, spanners).write(frame)


class _MeasureWriter:
    """One measure in the making."""

    def __init__(
        self, element: _Element, measure: Measure, metre: Metre | None, pen: Pen, spanners: Spanners
    ) -> None:
        self.element = element
        self.measure = measure
        self.metre = metre
        self.pen = pen
        self.spanners = spanners
        self.cursor = Cursor(element, pen)
        self.arpeggios = spreads(measure)
        self.lettered = {word.at for word in measure.words if word.kind is WordsKind.FOOTNOTE}
        self.words = _words_in_time(measure)

    def write(self, frame: Frame) -> None:
        """attributes, barline (left), notes with directions, backups and forwards, barline (right)."""
        staff_attributes(self.element, self.measure, self.pen, first=frame.first)
        left_barline(self.element, frame)
        reached = _reached(self.measure)
        for layer in self.measure.layers:
            self.cursor.move_to(0, layer.voice, layer.staff)
            self._layer(layer, to_end=reached)
            reached = True
        if not reached:
            hidden_rest(self.element, self.measure.ticks // self.pen.unit, 1, UPPER_STAFF)
        self._words_until(None)
        right_barline(self.element, frame)

    def _layer(self, layer: Layer, *, to_end: bool) -> None:
        """One voice, its whole measure long; words stand with the voice that is written first. Unless ``to_end``, no
        voice sounds to the end of the measure, and this one must."""
        start = self.measure.onset
        for event in layer.events:
            if event.kind is Kind.SPACE:
                continue
            self.cursor.move_to(event.onset - start, layer.voice, layer.staff)
            if self.words:
                self._words_until(event.onset - start + event.ticks)
            if event.kind is Kind.REST:
                self.element.append(staff_rest(self.pen, event, layer.voice, self.metre))
            else:
                self._chord(event, layer.voice)
            self.cursor.at += event.ticks
        if not to_end:
            rest = (self.measure.ticks - self.cursor.at) // self.pen.unit
            hidden_rest(self.element, rest, layer.voice, layer.staff)
            self.cursor.at = self.measure.ticks
        self.cursor.move_to(self.measure.ticks, layer.voice, layer.staff)
        self._words_until(None)

    def _chord(self, event: StaffEvent, voice: int) -> None:
        """Directions, then a note for each head from low to high, then the brackets that end here."""
        element, pen, ends = self.element, self.pen, self.spanners.ends
        brackets: list[End] = []
        for head in event.heads:
            if head.octave is not None or head.footnote or head.editorial is not Editorial.PLAIN:
                self._signs(head, voice)
            for end in ends.get(head.id, _NO_ENDS):
                if end.line is Line.BRACKET and not end.starts:
                    brackets.append(end)
                elif end.line is not Line.SLUR:
                    # a bracket stands over the voice's own staff, though it may begin with a note in the other
                    staff = event.staff if end.line is Line.BRACKET else head.staff
                    directions.end_of_line(element, end, self.spanners, staff=staff)
        for index, head in enumerate(event.heads):
            note = staff_note(pen, event, head, voice, first=index == 0)
            element.append(note)
            if head.id in ends:
                slurs(note, ends[head.id], self.spanners)
            if head.id in self.arpeggios:
                arpeggiate(note, self.arpeggios[head.id])
            if head.octave is not None or head.footnote:
                notes.add_footnote(note, self._footnote(head))
        for end in brackets:
            directions.end_of_line(element, end, self.spanners, staff=event.staff)

    def _signs(self, head: Notehead, voice: int) -> None:
        """What stands over a head: octave sign, question mark, letter of a note at the foot."""
        if head.octave is not None:
            directions.octave(self.element, head.octave, voice=voice, staff=head.staff)
        if head.editorial is not Editorial.PLAIN and head.editorial is not Editorial.BRACKETED:
            directions.direction(self.element, "?", voice=voice, staff=head.staff)
        if head.footnote and head.id not in self.lettered:
            said = self.pen.footnote(head.footnote, self.measure.id)
            directions.letter(self.element, head.footnote, said, voice=voice, staff=head.staff)

    def _footnote(self, head: Notehead) -> str:
        said = [directions.octave_footnote(head.octave)] if head.octave is not None else []
        if head.footnote:
            said.append(self.pen.footnote(head.footnote, self.measure.id))
        return " ".join(said)

    def _words_until(self, end: int | None) -> None:
        """Words that begin before ``end`` (ticks in the measure; None: all), each at its moment."""
        while self.words and (end is None or self.words[0][0].offset < end):
            word, staff = self.words.popleft()
            footnote = self.pen.footnote(word.text, self.measure.id) if word.kind is WordsKind.FOOTNOTE else ""
            offset = (word.offset - self.cursor.at) // self.pen.unit
            directions.words(self.element, word, offset=offset, footnote=footnote, staff=staff)


def _reached(measure: Measure) -> bool:
    """Whether a note or rest of some voice lasts to the end of the measure, or there is no time to fill."""
    end = measure.onset + measure.ticks
    return not measure.ticks or any(
        event.kind is not Kind.SPACE and event.onset + event.ticks == end
        for layer in measure.layers
        for event in layer.events[-1:]
    )


def _words_in_time(measure: Measure) -> deque[tuple[Words, int]]:
    """The words of the staves in order of time, each with its staff: that of the sign it hangs on, else the outer."""
    words = [word for word in measure.words if not word.tablature]
    if not words:
        return deque()
    wanted = {word.at for word in words}
    staff_of = {
        id_: staff
        for layer in measure.layers
        for event in layer.events
        for id_, staff in ((event.id, event.staff), *((head.id, head.staff) for head in event.heads))
        if id_ in wanted
    }
    words.sort(key=lambda word: word.offset)
    return deque((word, staff_of.get(word.at) or _outer_staff(word)) for word in words)


def _outer_staff(word: Words) -> int:
    return UPPER_STAFF + 1 if word.place is Place.BELOW else UPPER_STAFF
