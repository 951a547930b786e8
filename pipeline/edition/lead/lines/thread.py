"""Thread the stops of each event onto the lines, from left to right, at most one stop a line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipeline.edition.lead.lines.arrays import Floats, Ints
from pipeline.edition.lead.lines.features import REACH
from pipeline.edition.lead.lines.net import Weighed
from pipeline.edition.lead.lines.pairs import from_later

#: What a semitone of leap costs where the net saw no link, in the logarithm of its chance.
_LEAP = 0.12
#: A line left silent for long is taken up again, rather than a new one begun, within so many semitones' cost.
_FRESH = -1.0
#: Links less likely than this, as a logarithm, are as good as none.
_FLOOR = -14.0
#: From here on (both ways of looking give it a half) no link can lose to "no link".
_LIKELY = -1.386
#: Beyond this many stops in one event the best threading is looked for one stop after another.
_MANY = 6


@dataclass(frozen=True, slots=True)
class Links:
    """Logarithms of chances, as lists for the loop. ``link[j][d]`` that stop j - d - 1 goes on to j (both ways of
    looking taken together), ``no_last[j]``, ``no_next[i]`` that there is none within reach."""

    link: list[list[float]]
    no_last: list[float]
    no_next: list[float]
    event_rows: list[tuple[int, int]]
    height: list[float]
    onset: list[float]


def link_chances(weighed: Weighed) -> tuple[Floats, Floats, Floats]:
    """Logarithms: ``link`` (stops, REACH) from the later stop back, ``no_last``, ``no_next``.

    A link's chance is the mean of how the earlier stop sees it among its nexts and the later among its lasts.
    """
    both = np.logaddexp(weighed.tight, weighed.rest)
    ahead = np.logaddexp(np.logaddexp.reduce(both, axis=1), weighed.no_next)
    forward = both - ahead[:, None]
    back = from_later(both, -30.0)
    behind = np.logaddexp(np.logaddexp.reduce(back, axis=1), weighed.no_last)
    backward = back - behind[:, None]
    link = from_later(forward, -30.0) + backward
    return link, weighed.no_last - behind, weighed.no_next - ahead


def links_of(weighed: Weighed, height: Floats) -> tuple[Links, Floats]:
    link, no_last, no_next = link_chances(weighed)
    event = weighed.event
    firsts = np.flatnonzero(np.diff(event, prepend=-1))
    ends = np.append(firsts[1:], len(event))
    return Links(
        link.tolist(),
        no_last.tolist(),
        no_next.tolist(),
        list(zip(firsts.tolist(), ends.tolist(), strict=True)),
        height.tolist(),
        weighed.onset.tolist(),
    ), link


def thread(links: Links, voices: int, pins: Ints, registers: list[float] | None = None) -> list[int]:
    """The line of every stop, from 0, in order of first use (or of ``registers``, where their heights are given).

    ``pins`` holds a line from 1, or FREE; it needs ``registers``.
    """
    loop = _Loop(links, voices, registers, pins.tolist() if registers is not None else None)
    for first, end in links.event_rows:
        loop.event(first, end)
    return loop.line


class _Loop:
    def __init__(self, links: Links, voices: int, registers: list[float] | None, pins: list[int] | None) -> None:
        self.links, self.voices, self.registers, self.pins = links, voices, registers, pins
        self.line = [0] * len(links.height)
        self.last = [-1] * voices  # row that each line sounded last
        self.used = 0

    def event(self, first: int, end: int) -> None:
        options = [self._options(row) for row in range(first, end)]
        chosen = [max(found, key=found.__getitem__) for found in options]
        if len(set(chosen)) < len(chosen):
            chosen = self._settle(options)
        fresh: list[int] = []
        for row, line in zip(range(first, end), chosen, strict=True):
            if line >= self.used and self.registers is None:
                fresh.append(row)
                continue
            self.line[row], self.last[line] = line, row
        for row in fresh:
            if self.used < self.voices:
                self.line[row], self.last[self.used] = self.used, row
                self.used += 1

    def _options(self, row: int) -> dict[int, float]:
        """What each line would gain by this stop; a new line counts under its own number."""
        links = self.links
        if self.pins is not None and self.pins[row] >= 1:
            return {self.pins[row] - 1: 0.0}
        backs, none = links.link[row], links.no_last[row]
        found: dict[int, float] = {}
        ready = self.voices if self.registers is not None else self.used
        for line in range(ready):
            before = self.last[line]
            away = row - before - 1
            if before >= 0 and away < REACH:
                gain = backs[away]
                if gain < _LIKELY:
                    leap = _LEAP * abs(links.height[row] - links.height[before])
                    gain = max(gain, none + links.no_next[before] - leap - 1.0)
                found[line] = gain
            elif before >= 0:
                found[line] = none - _LEAP * abs(links.height[row] - links.height[before])
            else:
                found[line] = none - _LEAP * abs(links.height[row] - self.registers[line])  # type: ignore[index]
            if found[line] < _FLOOR:
                found[line] = _FLOOR - 0.01 * abs(links.height[row] - links.height[before])
        for line in range(ready, self.voices):  # lines not yet begun are alike
            found[line] = none + _FRESH - 0.01 * (line - ready)
        return found

    def _settle(self, options: list[dict[int, float]]) -> list[int]:
        """The best threading with a line for each stop; stops beyond the number of lines double the nearest."""
        count = len(options)
        if count > self.voices or count > _MANY or self.pins is not None:
            return self._one_by_one(options)
        best, best_gain = None, -1e18
        bound = [0.0] * (count + 1)
        for at in range(count - 1, -1, -1):
            bound[at] = bound[at + 1] + max(options[at].values())
        ranked = [sorted(found.items(), key=lambda item: -item[1]) for found in options]
        stack: list[tuple[int, float, tuple[int, ...]]] = [(0, 0.0, ())]
        while stack:
            at, gain, lines = stack.pop()
            if gain + bound[at] <= best_gain:
                continue
            if at == count:
                best, best_gain = lines, gain
                continue
            for line, more in reversed(ranked[at]):
                if line not in lines:
                    stack.append((at + 1, gain + more, (*lines, line)))
        return list(best) if best is not None else self._one_by_one(options)

    def _one_by_one(self, options: list[dict[int, float]]) -> list[int]:
        order = sorted(range(len(options)), key=lambda at: -max(options[at].values()))
        chosen = [0] * len(options)
        taken: set[int] = set()
        for at in order:
            free = {line: gain for line, gain in options[at].items() if line not in taken} or options[at]
            chosen[at] = max(free, key=free.__getitem__)
            taken.add(chosen[at])
        return chosen
