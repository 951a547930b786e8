"""The tablature part: courses and frets as the source has them, with the pitch that sounds."""

from __future__ import annotations

from lxml.etree import SubElement, _Element

from pipeline.model.instrument import Course, Instrument
from pipeline.model.notes import Editorial, RhythmSign, TabEvent
from pipeline.model.score import Measure, Score, WordsKind
from pipeline.writers.folios import folio_mark
from pipeline.writers.musicxml import directions, notes
from pipeline.writers.musicxml.attributes import scordatura, tablature_attributes
from pipeline.writers.musicxml.barlines import Frame, left_barline, right_barline
from pipeline.writers.musicxml.grids import grid_beams
from pipeline.writers.musicxml.joins import slurs
from pipeline.writers.musicxml.moments import Moments
from pipeline.writers.musicxml.pen import Cursor, Pen
from pipeline.writers.musicxml.rows import block, hidden_rest, row
from pipeline.writers.musicxml.spanners import End, Line, Spanners
from pipeline.writers.musicxml.sungpart import reach
from pipeline.writers.musicxml.tabnote import First, tab_note, tab_rest, unread_figure
from pipeline.writers.musicxml.values import LUTE_DURATIONS

_VOICE, _STAFF = 1, 1
_NO_ENDS: list[End] = []
_DOUBTFUL = {Editorial.DOUBTFUL, Editorial.BRACKETED_DOUBTFUL}
_BRACKETED = {Editorial.BRACKETED, Editorial.BRACKETED_DOUBTFUL}


def tablature_part(root: _Element, score: Score, frames: list[Frame], pen: Pen) -> None:
    """``part``: measure, measure …"""
    part = block(root, "part", {"id": "tablature"})
    spanners = Spanners(score, tablature=True)
    strung = score.instrument
    for measure, frame in zip(score.measures, frames, strict=True):
        element = block(part, "measure", frame.attributes)
        tablature_attributes(element, measure, score, pen, first=frame.first)
        left_barline(element, frame)
        tuned = measure.retuned or strung
        courses = _to_tune(strung, tuned, score.lines, first=frame.first)
        if courses:
            scordatura(element, courses)
        strung = tuned
        _MeasureWriter(element, measure, pen, spanners).write()
        right_barline(element, frame)


def _to_tune(before: Instrument, after: Instrument, lines: int, *, first: bool) -> list[Course]:
    """Courses to be named: at first those that have no line, then those that are tuned anew."""
    old = before.courses
    return [
        course
        for index, course in enumerate(after.courses)
        if (first and course.number > lines) or index >= len(old) or old[index] != course
    ]


class _MeasureWriter:
    """One measure in the making."""

    def __init__(self, element: _Element, measure: Measure, pen: Pen, spanners: Spanners) -> None:
        self.element = element
        self.measure = measure
        self.pen = pen
        self.spanners = spanners
        self.cursor = Cursor(element, pen)
        self.beams = grid_beams(measure.tab)
        words = [(word, 0) for word in measure.words if word.tablature]
        self.moments = Moments(pen, measure.id, words, [(sign, 0) for sign in measure.chord_signs if not sign.staff])
        self.lettered = {word.at for word in measure.words if word.kind is WordsKind.FOOTNOTE}

    def write(self) -> None:
        """Notes and rests with their directions; places left blank have rests that are not printed."""
        for folio in self.measure.folios:
            if folio:
                directions.direction(self.element, folio_mark(folio), style=directions.STYLES[WordsKind.FOLIO])
        for letter in self.measure.footnote.split():
            self._letter(letter)
        for event in self.measure.tab:
            start = event.onset - self.measure.onset
            self.cursor.move_to(start, _VOICE, _STAFF)
            self.moments.until(start + event.ticks, self.element, self.cursor)
            self._signs(event)
            if event.ticks:
                self._body(event)
                self.cursor.at += event.ticks
        self.cursor.move_to(self.measure.ticks, _VOICE, _STAFF)
        if self.measure.sung:
            self.cursor.fill_to(reach(self.measure), _VOICE)
        self.moments.until(None, self.element, self.cursor)

    def _body(self, event: TabEvent) -> None:
        if event.figures:
            self._chord(event)
        elif event.rest:
            self.element.append(tab_rest(self.pen, event, self.beams.get(event.id, ())))
        else:
            hidden_rest(self.element, event.ticks // self.pen.unit, _VOICE)

    def _chord(self, event: TabEvent) -> None:
        """A note for each figure that sounds, or a single one without pitch: readers stumble over more."""
        ends = self.spanners.ends
        first: First | None = First(self.beams.get(event.id, ()))
        figures = event.figures
        if any(figure.pitch is None for figure in figures):
            unread = tuple(unread_figure(figure) for figure in figures if figure.pitch is None)
            first = First(self.beams.get(event.id, ()), unread)
            figures = tuple(figure for figure in figures if figure.pitch is not None) or figures[:1]
        for figure in figures:
            note = tab_note(self.pen, event, figure, first)
            first = None
            self.element.append(note)
            if figure.id in ends:
                slurs(note, ends[figure.id], self.spanners)
            if figure.footnote:
                notes.add_footnote(note, self.pen.footnote(figure.footnote, self.measure.id))

    def _signs(self, event: TabEvent) -> None:
        """What stands over and under an event: lines that begin or end, its signs, letters of notes at the foot."""
        if self.spanners.ends:
            self._holds(event)
        sign = event.sign
        if sign is not None and (sign.editorial is not Editorial.PLAIN or not (event.figures or event.rest)):
            rhythm_sign(self.element, sign)
        if event.id not in self.lettered:
            if event.footnote:
                self._letter(event.footnote)
            # the event and its rhythm sign may carry the same letter
            if sign is not None and sign.footnote and sign.footnote != event.footnote:
                self._letter(sign.footnote)
        if event.arpeggio:
            directions.direction(self.element, "÷", above=False)
        if event.strum:
            directions.direction(self.element, event.arrow, above=False)
        if event.and_so_on:
            directions.direction(self.element, "etc.")
        for figure in event.figures:
            if figure.editorial is not Editorial.PLAIN and figure.editorial in _DOUBTFUL:
                directions.direction(self.element, "?")
            if figure.footnote and figure.id not in self.lettered:
                self._letter(figure.footnote)

    def _holds(self, event: TabEvent) -> None:
        for id_ in (event.id, *(figure.id for figure in event.figures)):
            for end in self.spanners.ends.get(id_, _NO_ENDS):
                if end.line is Line.HOLD:
                    directions.end_of_line(self.element, end, self.spanners)

    def _letter(self, letter: str) -> None:
        directions.letter(self.element, letter, self.pen.footnote(letter, self.measure.id))


def rhythm_sign(measure: _Element, sign: RhythmSign) -> None:
    """``direction``: direction-type (words and symbol), level.

    For a sign that a stem cannot show: the editor's, a doubtful one, one over a blank place.
    """
    element = row(measure, "direction", {"placement": "above"})
    holder = SubElement(element, "direction-type")
    bracketed = sign.editorial in _BRACKETED
    if bracketed:
        SubElement(holder, "words").text = "["
    SubElement(holder, "symbol").text = LUTE_DURATIONS[max(-2, min(5, sign.flags))]
    after = "." * sign.value.dots + ("]" if bracketed else "") + ("?" if sign.editorial in _DOUBTFUL else "")
    if after:
        SubElement(holder, "words").text = after
    notes.level(element, sign.editorial)
