"""Two pieces held against each other by what sounds: the same music in another key, on another instrument.

Signs, courses, rhythm signs as printed, words and headings play no part; pitches and times do. By how much the one is
moved is found first: the distance by which most notes of the one are notes of the other at the same place of their bar.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import partial

from pipeline.desk.compare.differ.align import Pair, aligned
from pipeline.model.interval import Interval, plainest
from pipeline.model.pitch import Semitones
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.text import Span
from pipeline.model.time import Ticks


class Apart(Enum):
    """How a note of the one differs from the other, moved."""

    OCTAVE = "octave"
    MISSING = "missing"  # the second lacks it
    ADDED = "added"  # the first lacks it
    BAR_MISSING = "bar missing"
    BAR_ADDED = "bar added"


@dataclass(frozen=True, slots=True)
class SoundApart:
    """One such note. ``bar`` is the name of its bar; ``event`` counts in it, 0 for a whole bar. ``pitch`` is what
    sounds in the second, or would; ``by`` octaves above (+) or below the place that it has in the first."""

    kind: Apart
    bar: str
    event: int
    pitch: Semitones
    by: int
    span: Span


@dataclass(frozen=True, slots=True)
class Sounded:
    """Two pieces by their sound: ``interval`` is how far the second lies from the first."""

    one: str
    two: str
    interval: Interval
    notes: int
    apart: tuple[SoundApart, ...]


#: A bar as it sounds: for each moment from its beginning, the pitches struck.
HeardBar = tuple[tuple[Ticks, tuple[Semitones, ...]], ...]


def by_sound(one: SoundingPiece, two: SoundingPiece, names: tuple[str, str]) -> Sounded:
    """What of the music is the same but for a move of all of it. Linear time, as long as the bars agree in number."""
    beside = beside_each_other(one, two)
    left, move = beside.one, beside.move
    apart = tuple(_apart(one.bars, two.bars, left, beside.two, move, beside.pairs))
    notes = sum(len(pitches) for bar in left for _, pitches in bar)
    return Sounded(*names, plainest(move), notes, apart)


@dataclass(frozen=True, slots=True)
class Beside:
    """The bars of two pieces as they sound, which of the one is which of the other (None: none), and by how many
    semitones the second lies above the first."""

    one: Sequence[HeardBar]
    two: Sequence[HeardBar]
    move: int
    pairs: Sequence[Pair]


def beside_each_other(one: SoundingPiece, two: SoundingPiece) -> Beside:
    """Bar beside bar, by what sounds but for a move of all of it."""
    left, right = [_heard(bar) for bar in one.bars], [_heard(bar) for bar in two.bars]
    move = _distance(left, right)
    return Beside(left, right, move, aligned([moved_bar(bar, move) for bar in left], right, _alike))


def _heard(bar: SoundingBar) -> HeardBar:
    struck: dict[Ticks, list[Semitones]] = {}
    for event in bar.events:
        pitches = [stop.pitch for stop in event.stops if not stop.held]
        if pitches:
            struck.setdefault(event.onset - bar.onset, []).extend(pitches)
    return tuple((onset, tuple(sorted(pitches))) for onset, pitches in sorted(struck.items()))


def moved_bar(bar: HeardBar, move: int) -> HeardBar:
    return tuple((onset, tuple(pitch + move for pitch in pitches)) for onset, pitches in bar)


def _distance(one: Sequence[HeardBar], two: Sequence[HeardBar]) -> int:
    """By how many semitones the second lies above the first: by class from the bars, then the octave."""
    votes: Counter[int] = Counter()
    for before, after in zip(one, two, strict=False):
        there = dict(after)
        for onset, pitches in before:
            votes.update(other - pitch for pitch in pitches for other in there.get(onset, ()))
    classes: Counter[int] = Counter()
    for move, count in votes.items():
        classes[move % 12] += count
    if not classes:
        return 0
    best = max(range(12), key=lambda kind: (classes[kind], kind == 0, -kind))
    return max(range(best - 36, best + 37, 12), key=lambda move: (votes[move], -abs(move)))


def _alike(one: HeardBar, two: HeardBar) -> int:
    """From 0 to 100: how much of two bars has the same class at the same moment."""
    left = Counter((onset, pitch % 12) for onset, pitches in one for pitch in pitches)
    right = Counter((onset, pitch % 12) for onset, pitches in two for pitch in pitches)
    both = sum((left & right).values())
    return 100 * both // max(1, sum(left.values()), sum(right.values()))


def _apart(
    bars_one: Sequence[SoundingBar],
    bars_two: Sequence[SoundingBar],
    one: Sequence[HeardBar],
    two: Sequence[HeardBar],
    move: int,
    pairs: Sequence[Pair],
) -> Iterator[SoundApart]:
    for before, after in pairs:
        if before is not None and after is not None:
            yield from _notes(bars_one[before], moved_bar(one[before], move), two[after])
        elif before is not None and one[before]:
            yield _whole(bars_one[before], Apart.BAR_MISSING)
        elif after is not None and two[after]:
            yield _whole(bars_two[after], Apart.BAR_ADDED)


def _whole(bar: SoundingBar, kind: Apart) -> SoundApart:
    return SoundApart(kind, _name(bar), 0, 0, 0, bar.bar.span)


def _name(bar: SoundingBar) -> str:
    return f"bar {bar.label}" if bar.label else f"upbeat (bar {bar.index + 1} as typed)"


def _notes(bar: SoundingBar, one: HeardBar, two: HeardBar) -> Iterator[SoundApart]:
    before, after = dict(one), dict(two)
    numbers = {event.onset - bar.onset: number for number, event in enumerate(bar.events, start=1)}
    spans = {event.onset - bar.onset: event.event.span for event in bar.events}
    for onset in sorted({*before, *after}):
        left, right = Counter(before.get(onset, ())), Counter(after.get(onset, ()))
        lost, gained = sorted((left - right).elements()), sorted((right - left).elements())
        number, span = numbers.get(onset, 0), spans.get(onset, bar.bar.span)
        for pitch in lost:
            twins = [other for other in gained if not (other - pitch) % 12]
            twin = min(twins, key=partial(_away, pitch)) if twins else None
            if twin is None:
                yield SoundApart(Apart.MISSING, _name(bar), number, pitch, 0, span)
            else:
                gained.remove(twin)
                yield SoundApart(Apart.OCTAVE, _name(bar), number, twin, (twin - pitch) // 12, span)
        for pitch in gained:
            yield SoundApart(Apart.ADDED, _name(bar), number, pitch, 0, span)


def _away(pitch: Semitones, other: Semitones) -> tuple[int, Semitones]:
    """How far another pitch lies; of two as far the lower first."""
    return abs(other - pitch), other
