"""Read the lines of a tablature: voices, lengths and restored octaves in one reading."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import numpy.typing as npt

from pipeline.model.time import WHOLE
from pipeline.stages.lead.lines.arrays import FREE, NEVER, Floats, Ints, LineArrays, StopArrays
from pipeline.stages.lead.lines.net import Tree, Weighed, weigh
from pipeline.stages.lead.lines.octaves import choose, find_habit
from pipeline.stages.lead.lines.pairs import REACH
from pipeline.stages.lead.lines.voices import OF_VOICES, REGISTERS, thread

#: A register that has a smaller share of the stops than this is given up. From the development part.
SELDOM = 0.03


def read_lines(stops: StopArrays, voices: int | None = None, tree: Tree | None = None) -> LineArrays:
    """Read every stop's line, length and octave, together.

    ``voices`` is the highest number of lines where the piece declares it, else it is found. Pins are followed. The
    time taken grows linearly with the number of stops. Empty in, empty out.
    """
    if not len(stops):
        return _nothing()
    weighed = weigh(stops, tree)
    low = weighed.low
    habit, evidence = find_habit(stops, low)
    likely = np.where(stops.pin_octave == FREE, low > 0.5, stops.pin_octave)
    height = (stops.pitch + 12 * likely).astype(np.float32)
    lines = _lines(stops, weighed, voices)
    pinned = stops.pin_voice != FREE
    line = thread(stops, weighed, height, lines, declared=voices is not None or bool(pinned.any()))
    if voices is None and not pinned.any():
        used = np.bincount(line, minlength=REGISTERS) / len(line)
        fewer = tuple(one for one in lines if used[one] >= SELDOM)
        if fewer != lines:
            line = thread(stops, weighed, height, fewer)
            lines = fewer
    alike = _twins(stops)
    line = np.where(pinned, line, line[alike])
    place = np.full(REGISTERS, -1, dtype=np.int64)
    place[list(lines)] = np.arange(len(lines))
    voice = place[line]
    follows = _follows(voice, stops.onset)
    at, back = np.maximum(follows, 0), np.arange(len(line)) - follows - 1
    near, back = (follows >= 0) & (back < REACH), np.clip(back, 0, REACH - 1)
    sure = np.exp((weighed.ahead[at, back] + weighed.back[at, back]) / 2)
    chance = np.where(near, sure, 0.0).astype(np.float32)
    same = np.where(near, weighed.same[at, back], 0.0).astype(np.float32)
    octave, asked = choose(stops, low, follows, alike=same, weight=chance, habit=habit)
    free = stops.pin_octave == FREE
    octave, asked = np.where(free, octave[alike], octave), np.where(free, asked[alike], asked)
    length = _lengths(stops, weighed, follows, alike)
    length = _even(length, voice, stops)
    none = np.full(len(line), -1, dtype=np.int64)
    return LineArrays(voice + 1, follows, length, octave, low[alike], asked, chance, none, len(lines), habit, evidence)


def _lines(stops: StopArrays, weighed: Weighed, voices: int | None) -> tuple[int, ...]:
    """The registers that the piece may have."""
    pinned = stops.pin_voice[stops.pin_voice != FREE]
    if voices is None and not len(pinned):
        return tuple(range(REGISTERS))
    count = max(voices or 3, int(pinned.max()) if len(pinned) else 1)
    return OF_VOICES.get(count, tuple(range(REGISTERS)))


def _twins(stops: StopArrays) -> Ints:
    """For each row the row that it is read like: its own, or that of the first bar that is the same and stands
    between the same neighbours. Bars with pins are read by themselves."""
    start = stops.onset - stops.phase
    firsts = np.flatnonzero(np.diff(start, prepend=start[0] - 1)).tolist()
    ends = [*firsts[1:], len(start)]
    columns = np.stack([stops.phase, stops.course, stops.pitch, stops.pin_voice, stops.pin_octave, stops.pin_length], 1)
    keys = [columns[first:end].tobytes() for first, end in zip(firsts, ends, strict=True)]
    moments = [int(start[first]) for first in firsts]
    spans = [after - before for before, after in pairwise(moments)]
    known: dict[tuple[object, ...], int] = {}
    alike = np.arange(len(start))
    for bar, (first, end) in enumerate(zip(firsts, ends, strict=True)):
        around = slice(max(0, bar - 1), bar + 1)
        before = keys[bar - 1] if bar else None
        after = keys[bar + 1] if bar + 1 < len(keys) else None
        own = known.setdefault((before, keys[bar], after, tuple(spans[around])), first)
        alike[first:end] = np.arange(own, own + end - first)
    return alike


def _even(length: Ints, line: Ints, stops: StopArrays) -> Ints:
    """The stops of one line that begin together last equally long: as long as the shortest, unless pinned."""
    event = np.cumsum(np.diff(stops.onset, prepend=stops.onset[0]) > 0)
    chord = event * (int(line.max()) + 1) + line
    shortest = np.full(int(chord.max()) + 1, NEVER, dtype=np.int64)
    np.minimum.at(shortest, chord, length)
    result: Ints = np.where(stops.pin_length == FREE, shortest[chord], length)
    return result


def _nothing() -> LineArrays:
    none = np.zeros(0, dtype=np.int64)
    return LineArrays(
        none, none, none, none, none.astype(np.float32), none > 0, none.astype(np.float32), none, 0, "none", {}
    )


def _follows(line: Ints, onset: Ints) -> Ints:
    """The row of the note before in the same line; of a chord, its first row; -1 for the first."""
    rows = len(line)
    order = np.lexsort((np.arange(rows), onset, line))
    follows = np.full(rows, -1, dtype=np.int64)
    starts = np.flatnonzero(np.diff(line[order], prepend=-1) | np.diff(onset[order], prepend=-1))
    group = np.cumsum(np.isin(np.arange(rows), starts)) - 1
    first = order[starts]
    before = np.where(group > 0, first[np.maximum(group - 1, 0)], -1)
    same = (before >= 0) & (line[before] == line[order])
    follows[order] = np.where(same, before, -1)
    return follows


def _moves(onset: Ints, follows: Ints) -> Ints:
    """When the line of each stop moves on; NEVER for its last."""
    moves = np.full(len(onset), NEVER, dtype=np.int64)
    later = np.flatnonzero(follows >= 0)
    moves[follows[later]] = onset[later]
    return moves


def _lengths(stops: StopArrays, weighed: Weighed, follows: Ints, alike: Ints) -> Ints:
    """Until the most likely end that lies before the line moves on and the course is struck again."""
    rows = len(stops)
    cap = np.minimum(_moves(stops.onset, follows), stops.next_strike)
    shares, onset = _end_shares(weighed, stops)
    shares = np.where((onset <= cap[:, None]) & (onset > stops.onset[:, None]), shares, 0)
    best = shares.argmax(axis=1)
    found = onset[np.arange(rows), best]
    unsure = shares.max(axis=1) < 0.05
    last = np.where(cap < NEVER, cap, stops.onset[-1] + WHOLE // 2)
    end = np.where(unsure, last, found)
    length = np.maximum(end - stops.onset, 1)
    length = np.maximum(1, np.minimum(length[alike], last - stops.onset))
    allowed: npt.NDArray[np.int64] = np.minimum(stops.pin_length, stops.next_strike - stops.onset)
    result: Ints = np.where(stops.pin_length != FREE, allowed, length)
    return result


def _end_shares(weighed: Weighed, stops: StopArrays) -> tuple[Floats, Ints]:
    """For each stop and each of the next REACH stops: the chance that it ends when that one begins (summed
    over the stops of an event, given to the first of them), and that one's onset."""
    rows = len(stops)
    ahead = np.minimum(np.arange(rows)[:, None] + np.arange(1, REACH + 1), rows - 1)
    shares, onset = np.exp(weighed.end), stops.onset[ahead]
    for d in range(REACH - 1, 0, -1):
        same = onset[:, d] == onset[:, d - 1]
        shares[:, d - 1] += np.where(same, shares[:, d], 0)
        shares[:, d] = np.where(same, 0, shares[:, d])
    return shares, onset
