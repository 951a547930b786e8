"""The lines, named while they are threaded: a beam over events that gives each stop a register, tune to bass.

Stops struck together keep their order from high to low. What no line leads through fills the chord of a neighbour.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations, pairwise, permutations

import numpy as np
import numpy.typing as npt

from pipeline.edition.lead.lines.arrays import CHORD, FREE, Flags, Floats, Ints, StopArrays
from pipeline.edition.lead.lines.figures import Broken
from pipeline.edition.lead.lines.lengths import follows_of, moves_of
from pipeline.edition.lead.lines.net import Weighed
from pipeline.edition.lead.lines.pairs import REACH

Doubles = npt.NDArray[np.float64]
#: Registers, from the tune to the bass; those that so many declared voices have.
REGISTERS = 5
OF_VOICES = {1: (0,), 2: (0, 4), 3: (0, 2, 4), 4: (0, 1, 3, 4)}
ALL = tuple(range(REGISTERS))
#: Readings kept side by side.
BEAM = 12
#: What a semitone of leap costs where the net saw no link, in the logarithm of its chance.
LEAP = 0.12
#: What it costs to pass the note where another line last stood.
CROSSING = 1.2
#: What it costs to call a stop a filler.
FILLING = 2.0
#: How much the register of a stop by itself weighs against its links.
NAMED = 1.0
#: What it costs to call a note that is struck alone an inner voice: a broken chord runs on in the tune.
ALONE = 2.0
#: No line leads to or from a stop where the logarithms of the chances of that sum to more than this.
_BY_ITSELF = -0.1
#: What speaks for a bass where the net is in doubt: pieces of one line alone are rarer than among those learned from.
BASS = 0.5
#: How much a typed bass says that the stop which plays its note is the bass, and that another is not.
BASSO, OTHER = 20.0, 4.0
#: How much a figure of broken chords says that its first stroke is the bass, and the others are not.
FIGURE = 80.0
#: How firmly a line leads through the lowest stop of a chord.
_LEADS = 30.0
#: What each semitone beyond a sixth costs where the net does see a link.
WIDE = 1.0
_SIXTH = 9
#: What it costs a filler to go with a note that moves on while another of its chord is held.
CUT = 12.0
#: What it costs a filler that sounds below F3 to go with another line than the bass: it would hang on ladders.
HANGING, UNDER = 12.0, 53
#: In a chord struck with the hand what sounds below G3 stands with the bass, on whose staff it is read more easily.
LOW = 55
_NOT = -1e4
_FLOOR = -14.0
#: Of an event with more stops than this only the outermost and likeliest lead lines.
_MANY = 7


@cache
def _ways(stops: int, lines: tuple[int, ...], *, full: bool, ordered: bool) -> tuple[Ints, Ints]:
    """All ways to give stops, the highest first, to lines, in their order if ``ordered``; ``REGISTERS`` is the filler;
    none if ``full``. Also as places in a row of (stops · (REGISTERS + 1)) gains. Both (ways, stops)."""
    chosen = combinations if ordered else permutations
    found: list[list[int]] = []
    for leading in range(min(stops, len(lines)), stops - 1 if full else 0, -1):
        for which in combinations(range(stops), leading):
            for taken in chosen(lines, leading):
                way = [REGISTERS] * stops
                for place, line in zip(which, taken, strict=True):
                    way[place] = line
                found.append(way)
    ways = np.array(found, dtype=np.int64)
    return ways, ways + (REGISTERS + 1) * np.arange(stops)


def _best(total: Doubles) -> Ints:
    """The places of the highest, the highest first."""
    if len(total) <= BEAM:
        return np.argsort(-total, kind="stable")
    top = np.sort(np.argpartition(-total, BEAM - 1)[:BEAM])
    return top[np.argsort(-total[top], kind="stable")]


def thread(
    stops: StopArrays,
    weighed: Weighed,
    height: Floats,
    lines: tuple[int, ...],
    broken: Broken,
    *,
    declared: bool = False,
) -> tuple[Ints, Flags]:
    """The register of each stop, and which stops fill the chord of a line that does not lead through them. Where the
    lines are ``declared``, nothing is a filler that a line has room for."""
    rows = len(stops)
    bounds = [*np.flatnonzero(np.diff(stops.onset, prepend=stops.onset[0] - 1)).tolist(), rows]
    order = _order(stops, weighed, height, bounds)
    beam = _Beam(stops, weighed, height, lines, declared=declared)
    chords = np.array(bounds[:-1])[np.diff(bounds) >= CHORD]
    beam.lead_chords(chords[~broken.figure[chords]])
    beam.lead_broken(broken)
    for first, end in pairwise(bounds):
        beam.step(order[first:end])
    return beam.best()


def _order(stops: StopArrays, weighed: Weighed, height: Floats, bounds: list[int]) -> Ints:
    """The rows of each event, the highest first.

    The bass is the note on the lowest course (Fleury 1660), which comes first in its event: what sounds below it on a
    course that is tuned down stands above it, unless lines lead through both and name the bass otherwise.
    """
    sizes = np.diff(bounds)
    lowest = np.repeat(height[bounds[:-1]], sizes)
    bass = weighed.register[:, REGISTERS - 1]
    named = np.repeat(bass[bounds[:-1]], sizes) > bass
    by_itself = weighed.no_last + weighed.no_next > _BY_ITSELF
    above = stops.re_entrant & (height < lowest) & (named | by_itself)
    return np.lexsort((np.arange(len(stops)), -np.where(above, lowest + 0.5, height), stops.onset))


#: Which lines a note must not lie above, and which not below, as sums over lines. (lines, lines)
_OVER = np.triu(np.ones((REGISTERS, REGISTERS)), 1)
_UNDER = _OVER.T.copy()
#: What a state knows of each line: the row of its last note, whether there is one, its height, the chance in
#: logarithms that it is the last, the tick to which it is pinned.
_LAST, _ACTIVE, _HEIGHT, _NO_NEXT, _HELD_TO = range(5)
#: A line is passed where its last note lies so many stops back at most.
_RECENT = 12


class _Beam:
    """The best readings so far: ``lines`` (readings, five facts, registers and one place for fillers)."""

    def __init__(
        self, stops: StopArrays, weighed: Weighed, height: Floats, lines: tuple[int, ...], *, declared: bool
    ) -> None:
        self.stops, self.height, self.names, self.declared = stops, height, lines, declared
        link = np.maximum(weighed.ahead + weighed.back, _FLOOR * 2)
        self.link = np.pad(link, [(0, 0), (0, 1)], constant_values=-1e9).ravel()
        filler = np.clip(weighed.filler, 1e-4, 1 - 1e-4)
        self.own = np.empty((len(stops), REGISTERS + 1))
        self.own[:, :REGISTERS] = (NAMED * weighed.register + np.log(1 - filler)[:, None]).astype(np.float64)
        self.own[:, REGISTERS] = np.log(filler) + weighed.no_last - FILLING
        starts = np.diff(stops.onset, prepend=-1) > 0
        alone = starts & np.append(starts[1:], True)
        self.own[alone, 1 : REGISTERS - 1] -= ALONE
        self.own[:, REGISTERS - 1] += BASS
        self.accompanies = bool(stops.basso.any())
        if self.accompanies:
            self.own[:, REGISTERS - 1] += np.where(stops.basso, BASSO, -OTHER)
        self.register = weighed.register.copy()
        self._follow_pins()
        held = stops.pin_length != FREE
        held_to = np.where(held, np.minimum(stops.onset + stops.pin_length, stops.next_strike), 0)
        self.any_held = bool(held.any())
        self.no_last = weighed.no_last.astype(np.float64)
        rows = np.arange(len(stops))
        self.facts = np.stack([rows, np.ones(len(stops)), height, weighed.no_next, held_to], axis=1).astype(np.float64)
        self.lines = np.zeros((1, 5, REGISTERS + 1))
        self.lines[:, _LAST] = -1e9
        self.gain = np.zeros(1)
        self.trail: list[tuple[Ints, Ints, Ints]] = []

    def _follow_pins(self) -> None:
        for row in np.flatnonzero(self.stops.pin_voice != FREE).tolist():
            line = self.pinned_to(row)
            keep = np.isin(np.arange(REGISTERS + 1), (line, REGISTERS))
            self.own[row, ~keep] = _NOT
            self.own[row, REGISTERS] -= 20
            self.register[row] = np.where(np.arange(REGISTERS) == line, 0, _NOT)

    def lead_chords(self, lowest: Ints) -> None:
        """A line leads through the note on the lowest course of a chord, and not the tune if there is any other; but
        where the typed bass holds its note, the whole chord lies over it."""
        free = lowest[self.stops.pin_voice[lowest] == FREE]
        if self.accompanies:
            free = free[self.stops.basso[free]]
        if len(self.names) > 1:
            self.own[free, 0] -= _LEADS
            self.own[free, REGISTERS] -= _LEADS

    def lead_broken(self, broken: Broken) -> None:
        """The bass of broken chords is the bass, their figures are not, nor are these the tune that rings over them."""
        if REGISTERS - 1 in self.names and len(self.names) > 1:
            self.own[broken.bass, REGISTERS - 1] += FIGURE
            self.own[broken.figure | broken.tune, REGISTERS - 1] -= FIGURE
            self.own[broken.tune, 0] += FIGURE
            self.own[broken.inner, 0] -= FIGURE

    def pinned_to(self, row: int) -> int:
        return self.names[min(max(int(self.stops.pin_voice[row]), 1), len(self.names)) - 1]

    def step(self, rows: Ints) -> None:
        """Go on over the stops of one event, the highest first."""
        if len(rows) > _MANY:
            keep = np.sort(np.argsort(self.own[rows, REGISTERS], kind="stable")[:_MANY])
            rows = rows[keep]
        pins = self.stops.pin_voice[rows]
        pins = pins[pins != FREE]
        apart = len(set(pins.tolist())) == len(pins)
        full = (self.declared or len(pins) > 0) and apart and len(rows) <= len(self.names)
        ways, places = _ways(len(rows), self.names, full=full, ordered=not len(pins))
        gains = self._gains(rows).reshape(len(self.lines), -1)
        total = gains.take(places, axis=1).sum(axis=2)
        total += self.gain[:, None]
        best = _best(total.ravel())
        state, way = best // len(ways), best % len(ways)
        self.gain = total.ravel()[best]
        chosen = ways[way]
        self.lines = self.lines[state]
        self.lines[np.arange(len(state))[:, None], :, chosen] = self.facts[rows]
        self.trail.append((state, chosen, rows))

    def _gains(self, rows: Ints) -> Doubles:
        """(readings, stops, registers and filler)"""
        lines = self.lines[:, :, None, :REGISTERS]
        last = lines[:, _LAST]
        away = (self.height[rows][:, None] - lines[:, _HEIGHT]) * lines[:, _ACTIVE]
        leap = np.abs(away)
        far = lines[:, _NO_NEXT] + self.no_last[rows][:, None] - LEAP * leap
        back = np.minimum(rows[:, None] - last, REACH + 1).astype(np.int64) - 1
        near = self.link.take(np.maximum(last, 0).astype(np.int64) * (REACH + 1) + back)
        near -= WIDE * np.maximum(leap - _SIXTH, 0)
        away *= last >= rows[0] - _RECENT
        crossed = (away > 0) @ _OVER + (away < 0) @ _UNDER
        found = np.empty((len(self.lines), len(rows), REGISTERS + 1))
        found[..., :REGISTERS] = np.maximum(near, far) - CROSSING * crossed
        found[..., REGISTERS] = 0
        if self.any_held:
            found[..., :REGISTERS][np.broadcast_to(lines[:, _HELD_TO] > self.stops.onset[rows[0]], crossed.shape)] = (
                _NOT
            )
        found += self.own[rows]
        return found

    def best(self) -> tuple[Ints, Flags]:
        line = np.full(len(self.stops), -1, dtype=np.int64)
        state = int(self.gain.argmax())
        for states, chosen, rows in reversed(self.trail):
            line[rows] = np.where(chosen[state] < REGISTERS, chosen[state], -1)
            state = int(states[state])
        fillers = line < 0
        self._fill(line)
        return line, fillers

    def _fill(self, line: Ints) -> None:
        """Each filler goes with the neighbour above it or below it, whichever its register likes better; rather with
        the one that is held longer, for the hand holds the chord."""
        onset = self.stops.onset
        moves = moves_of(onset, np.where(line >= 0, follows_of(line, onset), -1))
        for row in np.flatnonzero(line < 0).tolist():
            if self.stops.pin_voice[row] != FREE:
                line[row] = self.pinned_to(row)
                continue
            low, high = np.searchsorted(onset, (onset[row], onset[row] + 1))
            mates = [mate for mate in range(low, high) if line[mate] >= 0 and mate != row]
            up = [mate for mate in mates if self.height[mate] >= self.height[row]]
            down = [mate for mate in mates if self.height[mate] < self.height[row]]
            near = [min(up, key=lambda m: self.height[m])] if up else []
            near += [max(down, key=lambda m: self.height[m])] if down else []
            if self.accompanies:  # the typed bass is the bass, and nothing else
                near = [mate for mate in near if line[mate] < REGISTERS - 1] or near
            held = min(max(moves[mate] for mate in near), self.stops.next_strike[row])
            line[row] = line[max(near, key=lambda m: self._liking(row, m, line) - CUT * (moves[m] < held))]

    def _liking(self, row: int, mate: int, line: Ints) -> float:
        away = abs(float(self.height[mate] - self.height[row]))
        hangs = HANGING if line[mate] < REGISTERS - 1 and self.height[row] < UNDER else 0.0
        return float(self.register[row, line[mate]]) - 0.25 * away - hangs
