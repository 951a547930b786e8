"""How a piece writes rhythm: what its bars that add up tell of its signs, its figures and its beats."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import log

from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.time import WHOLE, Ticks, Value
from pipeline.source.measuring.stretches import is_off

#: What is struck in an event: courses with their frets.
Figure = tuple[tuple[int, int], ...]
_LEVELS = 7


def figure_of(event: SoundingEvent) -> Figure:
    """What the left hand stops and the right hand strikes."""
    return tuple(sorted((stop.course, stop.fret) for stop in event.stops if not stop.held))


def level(onset: Ticks) -> int:
    """How strong a moment of the bar is: 0 on the whole note, 1 on the half, … 6 weaker than a 32nd."""
    for rank in range(_LEVELS - 1):
        if onset % (WHOLE >> rank) == 0:
            return rank
    return _LEVELS - 1


def counts_for_rhythm(bar: SoundingBar) -> bool:
    """Whether the bar adds up and shows rhythm: as typed, with signs in force."""
    if not bar.expected or not bar.events or bar.bar.ditto is not None or is_off(bar):
        return False
    return all(event.sign is not None for event in bar.events)


@dataclass(slots=True)
class RhythmHabits:
    """Counts over the bars that add up; made once by ``habits_of``, then only read.

    ``rhythms`` whole bars; ``at`` lengths by place in the bar, ``after`` lengths by the length before; ``figures``
    lengths by what is struck here and next; ``sizes`` and ``basses`` how many stops, and how often a low one, by
    strength of the beat; ``said`` (in force already, all) signs inside bars, ``opened`` the same at bar starts.
    """

    rhythms: Counter[tuple[Ticks, ...]] = field(default_factory=Counter)
    at: dict[Ticks, Counter[Ticks]] = field(default_factory=lambda: defaultdict(Counter))
    after: dict[Ticks, Counter[Ticks]] = field(default_factory=lambda: defaultdict(Counter))
    lengths: Counter[Ticks] = field(default_factory=Counter)
    figures: dict[tuple[Figure, Figure], Counter[Ticks]] = field(default_factory=lambda: defaultdict(Counter))
    sizes: list[list[float]] = field(default_factory=lambda: [[1.0, 2.0] for _ in range(_LEVELS)])
    basses: list[list[float]] = field(default_factory=lambda: [[0.5, 1.0] for _ in range(_LEVELS)])
    said: list[int] = field(default_factory=lambda: [0, 0])
    opened: list[int] = field(default_factory=lambda: [0, 0])
    low: int = 6

    def length_here(self, onset: Ticks, length: Ticks) -> float:
        """How usual a length is at its place, as a logarithm."""
        here = self.at.get(onset, _NONE)
        share = (self.lengths[length] + 0.3) / (self.lengths.total() + 6)
        return log((here[length] + 2 * share) / (here.total() + 2))

    def length_after(self, before: Ticks, length: Ticks) -> float:
        """How usual a length is behind another."""
        here = self.after.get(before, _NONE)
        share = (self.lengths[length] + 0.3) / (self.lengths.total() + 6)
        return log((here[length] + 2 * share) / (here.total() + 2))

    def elsewhere(self, here: Figure, following: Figure, length: Ticks) -> float:
        """How usual a length is where the same is struck here and next; 0 where that stands nowhere else."""
        found = self.figures.get((here, following), _NONE)
        return log((found[length] + 0.2) / (found.total() + 0.6)) if found.total() else 0.0

    def weight(self, onset: Ticks) -> tuple[float, float]:
        """How many stops a moment of this strength has, and how often a low one (log odds)."""
        place = level(onset)
        size, low = self.sizes[place], self.basses[place]
        share = min(max(low[0] / low[1], 0.02), 0.98)
        return size[1] / size[0], log(share / (1 - share))

    @property
    def silence(self) -> float:
        """How strictly the piece leaves out a sign whose value holds already (log odds; about 3 and more: always)."""
        again, all_of_them = self.said
        return log((all_of_them - again + 1) / (again + 0.3))


_NONE: Counter[Ticks] = Counter()


def habits_of(bars: Iterable[SoundingBar]) -> RhythmHabits:
    """Read the habits from the bars that add up. Linear."""
    habits = RhythmHabits()
    chosen = [bar for bar in bars if counts_for_rhythm(bar)]
    habits.low = _low_course(chosen)
    for bar in chosen:
        _learn(habits, bar)
    return habits


def _low_course(bars: Sequence[SoundingBar]) -> int:
    """The course from which on a stop counts as low: so that a third of the stops are."""
    courses = Counter(stop.course for bar in bars for event in bar.events for stop in event.stops)
    left = courses.total() / 3
    for course in sorted(courses, reverse=True):
        left -= courses[course]
        if left <= 0:
            return course
    return 6


def _learn(habits: RhythmHabits, bar: SoundingBar) -> None:
    lengths = tuple(event.length for event in bar.events)
    habits.rhythms[lengths] += 1
    figures = [figure_of(event) for event in bar.events]
    onset, before = 0, 0
    held: Value | None = None
    for number, event in enumerate(bar.events):
        length = event.length
        habits.lengths[length] += 1
        habits.at[onset][length] += 1
        if number:
            habits.after[before][length] += 1
        if number + 1 < len(figures):
            habits.figures[figures[number], figures[number + 1]][length] += 1
        _learn_weight(habits, onset, figures[number])
        if event.drawn:
            if number:
                habits.said[0] += event.sign == held
                habits.said[1] += 1
            habits.opened[0] += not number
        habits.opened[1] += not number
        held = event.sign
        onset, before = onset + length, length


def _learn_weight(habits: RhythmHabits, onset: Ticks, figure: Figure) -> None:
    place = level(onset)
    habits.sizes[place][0] += 1
    habits.sizes[place][1] += len(figure)
    habits.basses[place][0] += any(course >= habits.low for course, _ in figure)
    habits.basses[place][1] += 1
