"""The state of one writing: how long a division is, note elements made before, what notes at the foot say."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from math import gcd

from lxml.etree import SubElement, _Element

from pipeline.model.score import Footnote, Measure, Score
from pipeline.model.time import WHOLE, Ticks
from pipeline.writers.musicxml.rows import hidden_rest, row

_QUARTER: Ticks = WHOLE // 4


class Pen:
    """What the functions of this package share while they write one score.

    ``unit`` is the length of one division in ticks, ``divisions`` how many make a crotchet; ``signs`` those of the
    tablature, ``clefs`` those of the two staves, ``copy`` whether notes stand as they are meant, without the places
    where they are stopped.
    ``models`` keeps one note element for each combination of
    properties met so far: notes repeat, and a copy costs a third of building the same element again.
    """

    def __init__(self, score: Score) -> None:
        self.unit: Ticks = gcd(_QUARTER, *set(_lengths(score)))
        self.divisions = _QUARTER // self.unit
        self.signs = score.signs
        self.copy = score.copy
        self.clefs = score.clefs
        self.models: dict[Hashable, _Element] = {}
        self._footnotes: dict[str, list[Footnote]] = {}
        for note in score.footnotes:
            self._footnotes.setdefault(note.letter, []).append(note)

    def footnote(self, letter: str, measure: str) -> str:
        """The number and what its note at the foot says; where a number is used twice, the measure's own."""
        notes = self._footnotes.get(letter, [])
        note = next((note for note in notes if note.measure == measure), notes[0] if notes else None)
        return f"({letter}) {note.text}" if note else letter


def _lengths(score: Score) -> Iterator[Ticks]:
    """Every length and place that must be a whole number of divisions."""
    for measure in score.measures:
        start = measure.onset
        yield measure.ticks
        for word in measure.words:
            yield word.offset
        for event in measure.tab:
            yield event.ticks
            yield event.onset - start
        for layer in measure.layers:
            for chord in layer.events:
                yield chord.ticks
                yield chord.onset - start
        yield from _sung_lengths(measure)


def _sung_lengths(measure: Measure) -> Iterator[Ticks]:
    """The same for sung lines, figures and chord signs."""
    for staff in measure.sung:
        for sung in staff.events:
            yield sung.ticks
            yield sung.onset - measure.onset
    for column in measure.figures:
        yield column.offset
        yield column.ticks
    for sign in measure.chord_signs:
        yield sign.offset


class Cursor:
    """Where the writing stands in a measure, in ticks from its start; writes the steps over gaps and back."""

    __slots__ = ("_unit", "at", "measure")

    def __init__(self, measure: _Element, pen: Pen) -> None:
        self.measure = measure
        self.at: Ticks = 0
        self._unit = pen.unit

    def move_to(self, place: Ticks, voice: int, staff: int) -> None:
        """``forward``: duration, voice, staff · ``backup``: duration."""
        if place == self.at:
            return
        steps = (place - self.at) // self._unit
        if steps > 0:
            forward = row(self.measure, "forward")
            SubElement(forward, "duration").text = str(steps)
            SubElement(forward, "voice").text = str(voice)
            SubElement(forward, "staff").text = str(staff)
        elif steps < 0:
            SubElement(row(self.measure, "backup"), "duration").text = str(-steps)
        self.at = place

    def fill_to(self, place: Ticks, voice: int, staff: int = 0) -> None:
        """Reach a later place by a rest that is not printed: readers measure a bar by its notes and rests."""
        if place > self.at:
            hidden_rest(self.measure, (place - self.at) // self._unit, voice, staff)
            self.at = place
