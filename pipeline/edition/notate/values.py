"""Lengths written as note values: which ones, and where a length is cut and tied."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from pipeline.model.time import WHOLE, Metre, Ticks, Value

_UNITS = (0, 1, 2, 4, 8, 16, 32, 64, 128, 256)
_PLAIN: dict[Ticks, Value] = {Value(unit).ticks: Value(unit) for unit in _UNITS}
_DOTTED: dict[Ticks, Value] = {Value(unit, 1).ticks: Value(unit, 1) for unit in _UNITS}
_TWO_DOTS: dict[Ticks, Value] = {Value(unit, 2).ticks: Value(unit, 2) for unit in _UNITS}
_SINGLE = {**_PLAIN, **_DOTTED}
_SMALLEST = WHOLE // 256


def single_value(ticks: Ticks) -> Value | None:
    """The one value, with at most two dots, that lasts so long; None if no single value does."""
    return _SINGLE.get(ticks) or _TWO_DOTS.get(ticks)


@dataclass(frozen=True, slots=True)
class Grid:
    """The metric levels of a bar, longest first: bar, half or compound beat, beat, and its halves.

    ``shift`` is where the first event stands in a full bar: an upbeat stands at the end of one.
    """

    levels: tuple[Ticks, ...]
    compound: bool
    shift: Ticks = 0

    def strongest_inside(self, start: Ticks, end: Ticks) -> Ticks:
        """The metrically strongest place strictly between two places; ``start`` if there is none."""
        start, end = start + self.shift, end + self.shift
        for level in self.levels:
            place = (start // level + 1) * level
            if place < end:
                return place - self.shift
        return start - self.shift


@lru_cache(maxsize=64)
def grid_of(metre: Metre | None, shift: Ticks = 0) -> Grid:
    """The grid of a metre; without one, crotchets and their halves."""
    if metre is None or not metre.beats:
        return Grid(_halves(WHOLE // 4), compound=False)
    beat = WHOLE // metre.unit
    compound = metre.beats in (6, 9, 12) and metre.unit >= 4
    levels = [metre.ticks]
    if compound:
        levels.append(3 * beat)
    elif metre.beats % 2 == 0 and metre.beats > 2:
        levels.append(2 * beat)
    return Grid((*levels, *_halves(beat)), compound, shift)


def _halves(beat: Ticks) -> tuple[Ticks, ...]:
    levels = []
    while beat >= _SMALLEST:
        levels.append(beat)
        beat //= 2
    return tuple(levels)


def note_values(start: Ticks, end: Ticks, grid: Grid, two_dots: bool = False) -> list[tuple[Ticks, Value]]:
    """Cut a note from ``start`` to ``end`` (ticks in its bar) into values to be tied, each with its ticks.

    One value wherever one does; else cut at the metrically strongest place inside. ``two_dots`` allows
    double dots, where the source itself has them.
    """
    found: list[tuple[Ticks, Value]] = []
    left = [(start, end)]
    while left:  # a note may last for thousands of beats: no recursion
        start, end = left.pop()
        ticks = end - start
        value = _SINGLE.get(ticks) or (_TWO_DOTS.get(ticks) if two_dots else None)
        if value is not None:
            found.append((ticks, value))
        elif (place := grid.strongest_inside(start, end)) == start:
            found.extend(_greedy(ticks))
        else:
            left += [(place, end), (start, place)]
    return found


def _greedy(ticks: Ticks) -> list[tuple[Ticks, Value]]:
    """Longest plain values first, for lengths that lie on no grid; the last takes what is left over."""
    found: list[tuple[Ticks, Value]] = []
    for size, value in _PLAIN.items():
        while ticks >= size:
            found.append((size, value))
            ticks -= size
    if ticks and found:
        size, value = found[-1]
        found[-1] = (size + ticks, value)
    return found or [(ticks, Value(_UNITS[-1]))]


def rest_values(start: Ticks, end: Ticks, grid: Grid) -> list[tuple[Ticks, Value]]:
    """Cut a rest into values that show the beats: plain values on their own multiples, dots in compound time."""
    found: list[tuple[Ticks, Value]] = []
    while start < end:
        ticks, value = _longest_rest(start, end, grid)
        found.append((ticks, value))
        start += ticks
    return found


def _longest_rest(start: Ticks, end: Ticks, grid: Grid) -> tuple[Ticks, Value]:
    place = start + grid.shift
    if grid.compound and place % grid.levels[1] == 0 and end - start >= grid.levels[1]:
        whole = _DOTTED.get(grid.levels[1])
        if whole is not None:
            return grid.levels[1], whole
    for size, value in _PLAIN.items():
        if size <= end - start and place % size == 0 and size <= grid.levels[0]:
            return size, value
    ticks, value = _greedy(end - start)[0]
    return ticks, value
