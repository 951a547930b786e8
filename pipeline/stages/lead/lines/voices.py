"""The lines, named while they are threaded: a beam over events that gives each stop a register, tune to bass.

Stops struck together keep their order from high to low. What no line leads through fills the chord of a neighbour.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import numpy.typing as npt

from pipeline.stages.lead.lines.arrays import FREE, Floats, Ints, StopArrays
from pipeline.stages.lead.lines.net import Weighed
from pipeline.stages.lead.lines.pairs import REACH

Doubles = npt.NDArray[np.float64]
#: Registers, from the tune to the bass; those that so many declared voices have.
REGISTERS = 5
OF_VOICES = {1: (0,), 2: (0, 4), 3: (0, 2, 4), 4: (0, 1, 3, 4)}
#: Readings kept side by side.
BEAM = 12
#: What a semitone of leap costs where the net saw no link, in the logarithm of its chance.
LEAP = 0.12
#: What it costs to pass the note where another line last stood.
CROSSING = 0.7
#: What it costs to call a stop a filler.
FILLING = 1.0
#: How much the register of a stop by itself weighs against its links.
NAMED = 1.0
_NOT = -1e4
_FLOOR = -14.0
#: Of an event with more stops than this only the outermost and likeliest lead lines.
_MANY = 7


@cache
def _ways(stops: int, lines: tuple[int, ...]) -> Ints:
    """All ways to give stops, the highest first, to lines in their order; ``REGISTERS`` is the filler. (ways, stops)"""
    found: list[list[int]] = []
    for leading in range(min(stops, len(lines)), 0, -1):
        for which in combinations(range(stops), leading):
            for taken in combinations(lines, leading):
                way = [REGISTERS] * stops
                for place, line in zip(which, taken, strict=True):
                    way[place] = line
                found.append(way)
    return np.array(found, dtype=np.int64)


def thread(
    stops: StopArrays, weighed: Weighed, height: Floats, lines: tuple[int, ...], *, declared: bool = False
) -> Ints:
    """The register of each stop; of a filler that of the chord that it stands in. Where the lines are ``declared``,
    nothing is a filler that a line has room for."""
    rows = len(stops)
    firsts = np.flatnonzero(np.diff(stops.onset, prepend=stops.onset[0] - 1))
    ends = np.append(firsts[1:], rows)
    beam = _Beam(stops, weighed, height, lines)
    beam.declared = declared
    for first, end in zip(firsts.tolist(), ends.tolist(), strict=True):
        beam.step(first, end)
    return beam.best()


class _Beam:
    def __init__(self, stops: StopArrays, weighed: Weighed, height: Floats, lines: tuple[int, ...]) -> None:
        self.stops, self.height, self.lines = stops, height, lines
        self.link = np.maximum(weighed.ahead + weighed.back, _FLOOR * 2)
        self.no_next, self.no_last = weighed.no_next, weighed.no_last
        filler = np.clip(weighed.filler, 1e-4, 1 - 1e-4)
        self.own = np.empty((len(stops), REGISTERS + 1), dtype=np.float32)
        self.own[:, :REGISTERS] = NAMED * weighed.register + np.log(1 - filler)[:, None]
        self.own[:, REGISTERS] = np.log(filler) + self.no_last - FILLING
        self.register = weighed.register
        pinned = stops.pin_voice != FREE
        for row in np.flatnonzero(pinned).tolist():
            line = lines[min(max(int(stops.pin_voice[row]), 1), len(lines)) - 1]
            keep = np.isin(np.arange(REGISTERS + 1), (line, REGISTERS))
            self.own[row, ~keep] = _NOT
            self.own[row, REGISTERS] -= 20
            self.register[row] = np.where(np.arange(REGISTERS) == line, 0, _NOT)
        free = stops.pin_length == FREE
        self.held_to = np.where(free, 0, np.minimum(stops.onset + stops.pin_length, stops.next_strike))
        self.last = np.full((1, REGISTERS), -1, dtype=np.int64)
        self.gain = np.zeros(1)
        self.declared = False
        self.trail: list[tuple[Ints, Ints, Ints]] = []

    def step(self, first: int, end: int) -> None:
        """Go on over the stops of one event."""
        rows = np.arange(first, end)
        rows = rows[np.lexsort((rows, -self.height[rows]))]
        if len(rows) > _MANY:
            keep = np.sort(np.argsort(self.own[rows, REGISTERS], kind="stable")[:_MANY])
            rows = rows[keep]
        ways = _ways(len(rows), self.lines)
        if self.declared and len(rows) <= len(self.lines):
            ways = ways[(ways < REGISTERS).all(axis=1)]
        gains = self._gains(rows)
        total = self.gain[:, None] + sum(gains[:, at, ways[:, at]] for at in range(len(rows)))
        best = self._distinct(total)
        state, way = best // len(ways), best % len(ways)
        self.gain = total.ravel()[best]
        self.last = self.last[state].copy()
        chosen = ways[way]
        for at, row in enumerate(rows.tolist()):
            leads = np.flatnonzero(chosen[:, at] < REGISTERS)
            self.last[leads, chosen[leads, at]] = row
        self.trail.append((state, chosen, rows))

    def _distinct(self, total: Doubles) -> Ints:
        flat = total.ravel()
        if len(flat) <= BEAM:
            return np.argsort(-flat, kind="stable")
        top = np.argpartition(-flat, BEAM - 1)[:BEAM]
        return np.sort(top)[np.argsort(-flat[np.sort(top)], kind="stable")]

    def _gains(self, rows: Ints) -> Doubles:
        """(states, stops, registers and filler)"""
        last = self.last[:, None, :]
        row = rows[None, :, None]
        back = row - last
        none = self.no_last[row] + 0 * last
        held = np.maximum(last, 0)
        rise = np.abs(self.height[held] - self.height[row])
        far = self.no_next[held] + none - LEAP * rise
        near = self.link[held, np.clip(back - 1, 0, REACH - 1)]
        gain = np.where(last < 0, none, np.where(back <= REACH, np.maximum(near, far), far))
        gain = np.where((last >= 0) & (self.held_to[held] > self.stops.onset[row]), _NOT, gain)
        recent = (last >= 0) & (back <= 12)
        above = (self.height[held] < self.height[row]) & recent  # a line that would be passed if it lay above
        below = (self.height[held] > self.height[row]) & recent
        crossing = np.zeros_like(gain)
        crossing[..., 1:] += np.cumsum(above, axis=-1)[..., :-1]
        crossing[..., :-1] += np.cumsum(below[..., ::-1], axis=-1)[..., ::-1][..., 1:]
        found = np.empty((len(self.last), len(rows), REGISTERS + 1))
        found[..., :REGISTERS] = gain - CROSSING * crossing
        found[..., REGISTERS] = 0
        found += self.own[rows]
        return found

    def best(self) -> Ints:
        line = np.full(len(self.stops), -1, dtype=np.int64)
        state = int(self.gain.argmax())
        for states, chosen, rows in reversed(self.trail):
            line[rows] = np.where(chosen[state] < REGISTERS, chosen[state], -1)
            state = int(states[state])
        self._fill(line)
        return line

    def _fill(self, line: Ints) -> None:
        """Each filler goes with the neighbour above it or below it, whichever its register likes better."""
        onset = self.stops.onset
        for row in np.flatnonzero(line < 0).tolist():
            pin = int(self.stops.pin_voice[row])
            if pin != FREE:
                line[row] = self.lines[min(max(pin, 1), len(self.lines)) - 1]
                continue
            low, high = np.searchsorted(onset, (onset[row], onset[row] + 1))
            mates = [mate for mate in range(low, high) if line[mate] >= 0 and mate != row]
            up = [mate for mate in mates if self.height[mate] >= self.height[row]]
            down = [mate for mate in mates if self.height[mate] < self.height[row]]
            near = [min(up, key=lambda m: self.height[m])] if up else []
            near += [max(down, key=lambda m: self.height[m])] if down else []
            line[row] = line[max(near, key=lambda m: self._liking(row, m, line))]

    def _liking(self, row: int, mate: int, line: Ints) -> float:
        return float(self.register[row, line[mate]]) - 0.25 * abs(float(self.height[mate] - self.height[row]))
