"""The part of two staves: what sounds, voice by voice."""

from __future__ import annotations

from lxml.etree import _Element

from pipeline.edition.perform import CROTCHETS
from pipeline.model.notes import LOWER_STAFF, UPPER_STAFF, Editorial, Kind, Layer, Notehead, Octave, Place, StaffEvent
from pipeline.model.record import replace
from pipeline.model.score import ChordSign, FigureColumn, Measure, Score, Words, WordsKind
from pipeline.model.time import Metre, Ticks
from pipeline.writers.musicxml import directions, notes
from pipeline.writers.musicxml.attributes import staff_attributes
from pipeline.writers.musicxml.barlines import Frame, left_barline, right_barline
from pipeline.writers.musicxml.figures import columns_under, figured_basses
from pipeline.writers.musicxml.joins import arpeggiate, slurs, spreads
from pipeline.writers.musicxml.moments import Moments
from pipeline.writers.musicxml.pen import Cursor, Pen
from pipeline.writers.musicxml.rows import block, row
from pipeline.writers.musicxml.spanners import End, Line, Spanners
from pipeline.writers.musicxml.staffnote import small_note, staff_note, staff_rest
from pipeline.writers.musicxml.sungpart import reach, top_line

_NO_ENDS: list[End] = []


def staves_part(root: _Element, score: Score, frames: list[Frame], pen: Pen) -> None:
    """``part``: measure, measure …"""
    part = block(root, "part", {"id": "staves"})
    spanners = Spanners(score, tablature=False)
    sung_above = top_line(score) is not None
    metre: Metre | None = None
    for measure, frame in zip(score.measures, frames, strict=True):
        metre = measure.metre or metre
        element = block(part, "measure", frame.attributes)
        shown = replace(measure, words=()) if sung_above else measure
        _MeasureWriter(element, shown, metre, pen, spanners, top=not score.tablature).write(frame)


def _pace(measure: Measure) -> int:
    """The crotchets a minute that the piece begins with: as its tempo words say, else an easy pace."""
    return next((word.crotchets for word in measure.words if word.crotchets and not word.offset), CROTCHETS)


class _MeasureWriter:
    """One measure in the making."""

    def __init__(
        self, element: _Element, measure: Measure, metre: Metre | None, pen: Pen, spanners: Spanners, *, top: bool
    ) -> None:
        self.element = element
        self.measure = measure
        self.metre = metre
        self.pen = pen
        self.spanners = spanners
        self.cursor = Cursor(element, pen)
        self.arpeggios = spreads(measure)
        self.lettered = {word.at for word in measure.words if word.kind is WordsKind.FOOTNOTE}
        chords = _chord_signs(measure) if top else []
        self.moments = Moments(pen, measure.id, _words_in_time(measure, top=top), chords)
        self.columns = _columns(measure) if measure.figures else {}

    def write(self, frame: Frame) -> None:
        """attributes, barline (left), notes with directions, backups and forwards, barline (right)."""
        staff_attributes(self.element, self.measure, self.pen, first=frame.first)
        if frame.first:
            row(self.element, "sound", {"tempo": str(_pace(self.measure))})
        left_barline(self.element, frame)
        reached = _reached(self.measure)
        for layer in self.measure.layers:
            self.cursor.move_to(0, layer.voice, layer.staff)
            self._layer(layer, to_end=reached)
            reached = True
        if not reached:
            self.cursor.fill_to(self.measure.ticks, 1, UPPER_STAFF)
        if self.measure.sung:
            self.cursor.move_to(self.measure.ticks, 1, UPPER_STAFF)
            self.cursor.fill_to(reach(self.measure), 1, UPPER_STAFF)
        self.moments.until(None, self.element, self.cursor)
        right_barline(self.element, frame)

    def _layer(self, layer: Layer, *, to_end: bool) -> None:
        """One voice, its whole measure long; words stand with the voice that is written first. Unless ``to_end``, no
        voice sounds to the end of the measure, and this one must."""
        start = self.measure.onset
        for event in layer.events:
            if event.kind is Kind.SPACE:
                continue
            self.cursor.move_to(event.onset - start, layer.voice, layer.staff)
            self.moments.until(event.onset - start + event.ticks, self.element, self.cursor)
            if event.id in self.columns:
                figured_basses(self.element, self.pen, self.columns[event.id], event.ticks)
            if event.kind is Kind.REST:
                self.element.append(staff_rest(self.pen, event, layer.voice, self.metre))
            else:
                self._chord(event, layer.voice)
            self.cursor.at += event.ticks
        if not to_end:
            self.cursor.fill_to(self.measure.ticks, layer.voice, layer.staff)
        self.cursor.move_to(self.measure.ticks, layer.voice, layer.staff)
        self.moments.until(None, self.element, self.cursor)

    def _chord(self, event: StaffEvent, voice: int) -> None:
        """Directions, then a note for each head from low to high, then the brackets that end here."""
        element, pen, ends = self.element, self.pen, self.spanners.ends
        brackets: list[End] = []
        for index, head in enumerate(event.small):
            ends_beam = index == len(event.small) - 1
            element.append(small_note(head, voice, "end" if ends_beam else "continue" if index else "begin"))
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
        if head.octave is not None and not (head.octave.in_run and not self.pen.copy):
            self._octave(head.octave, voice, head.staff)
        if head.editorial is not Editorial.PLAIN and head.editorial is not Editorial.BRACKETED:
            directions.direction(self.element, "?", voice=voice, staff=head.staff)
        if head.footnote and head.id not in self.lettered:
            said = self.pen.footnote(head.footnote, self.measure.id)
            directions.letter(self.element, head.footnote, said, voice=voice, staff=head.staff)

    def _octave(self, octave: Octave, voice: int, staff: int) -> None:
        """The sign of a restored octave: at what sounds, or, in a copy without tablature, at what is meant."""
        if self.pen.copy:
            directions.lower_octave(self.element, octave, voice=voice, staff=staff)
        else:
            directions.octave(self.element, octave, voice=voice, staff=staff)

    def _footnote(self, head: Notehead) -> str:
        said = []
        if head.octave is not None:
            says = directions.lower_octave_footnote if self.pen.copy else directions.octave_footnote
            said.append(says(head.octave))
        if head.footnote:
            said.append(self.pen.footnote(head.footnote, self.measure.id))
        return " ".join(said)


def _reached(measure: Measure) -> bool:
    """Whether a note or rest of some voice lasts to the end of the measure, or there is no time to fill."""
    end = measure.onset + measure.ticks
    return not measure.ticks or any(
        event.kind is not Kind.SPACE and event.onset + event.ticks == end
        for layer in measure.layers
        for event in layer.events[-1:]
    )


def _words_in_time(measure: Measure, *, top: bool) -> list[tuple[Words, int]]:
    """The words of the staves, each with its staff: that of the sign it hangs on, else the outer. ``top`` says that
    these staves stand at the top of a copy without tablature, so that all words stand above them."""
    words = [word for word in measure.words if not word.tablature]
    if top:
        return [(directions.above(word), UPPER_STAFF) for word in words]
    wanted = {word.at for word in words}
    staff_of = {
        id_: staff
        for layer in measure.layers
        for event in layer.events
        for id_, staff in ((event.id, event.staff), *((head.id, head.staff) for head in event.heads))
        if id_ in wanted
    }
    return [(word, staff_of.get(word.at) or _outer_staff(word)) for word in words]


def _outer_staff(word: Words) -> int:
    return UPPER_STAFF + 1 if word.place is Place.BELOW else UPPER_STAFF


def _chord_signs(measure: Measure) -> list[tuple[ChordSign, int]]:
    """Those above the accompaniment itself; where there is a tablature they stand above that."""
    return [(sign, UPPER_STAFF) for sign in measure.chord_signs if not sign.staff]


def _columns(measure: Measure) -> dict[str, list[tuple[Ticks, FigureColumn]]]:
    """Figures under the lower staff, by the event that they are written before: the lowest voice there, or any."""
    own = [column for column in measure.figures if not column.staff]
    if not own:
        return {}
    layers = sorted(measure.layers, key=lambda layer: (layer.staff != LOWER_STAFF, -layer.voice))
    return columns_under(own, measure.onset, [layer.events for layer in layers])
