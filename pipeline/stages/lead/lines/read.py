"""Read the lines of a tablature: voices, lengths and restored octaves in one reading."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from pipeline.model.time import WHOLE
from pipeline.stages.lead.lines.arrays import FREE, NEVER, Floats, Ints, LineArrays, StopArrays
from pipeline.stages.lead.lines.features import REACH
from pipeline.stages.lead.lines.net import Tree, Weighed, weigh
from pipeline.stages.lead.lines.octaves import choose, find_habit
from pipeline.stages.lead.lines.thread import links_of, thread

#: More lines than this are not told apart.
MOST = 6
#: Shares of the events at which a further line must sound, and begin, with all the others. From the training part.
TOGETHER, AT_ONCE = 0.02, 0.002


def read_lines(stops: StopArrays, voices: int | None = None, tree: Tree | None = None) -> LineArrays:
    """Read every stop's line, length and octave, together.

    ``voices`` is the number of lines where the piece declares it, else it is found. Pins are followed. The time
    taken grows linearly with the number of stops. Empty in, empty out.
    """
    if not len(stops):
        return _nothing()
    weighed = weigh(stops, tree)
    habit, evidence = find_habit(stops, weighed.low)
    likely = np.where(stops.pin_octave == FREE, weighed.low > 0.5, stops.pin_octave)
    height = (stops.pitch + 12 * likely).astype(np.float32)
    count = voices or count_voices(stops.onset, _ends(weighed, stops))
    pinned = stops.pin_voice[stops.pin_voice != FREE]
    count = max(count, int(pinned.max())) if len(pinned) else count
    links, link = links_of(weighed, height)
    line = np.array(thread(links, count, stops.pin_voice), dtype=np.int64)
    line, registers = _by_height(line, height, count)
    if len(pinned):
        line = np.array(thread(links, count, stops.pin_voice, registers), dtype=np.int64)
    follows = _follows(line, stops.onset)
    at, back = np.arange(len(line)), np.arange(len(line)) - follows - 1
    near, back = (follows >= 0) & (back < REACH), np.clip(back, 0, REACH - 1)
    chance = np.where(near, np.exp(link[at, back] / 2), 0.0)
    alike = np.where(near, 1 / (1 + np.exp(-weighed.same[np.maximum(follows, 0), back])), 0.0)
    octave, asked = choose(stops, weighed.low, follows, alike, chance, habit)
    length = _lengths(stops, weighed, follows)
    return LineArrays(
        line + 1, follows, length, octave, weighed.low, asked, chance.astype(np.float32), count, habit, evidence
    )


def _nothing() -> LineArrays:
    none = np.zeros(0, dtype=np.int64)
    return LineArrays(none, none, none, none, none.astype(np.float32), none > 0, none.astype(np.float32), 0, "none", {})


def _ends(weighed: Weighed, stops: StopArrays) -> Ints:
    """The event at which each stop most likely ends, seen by itself, as a tick."""
    share, onset = _end_shares(weighed, stops)
    found: Ints = np.minimum(onset[np.arange(len(stops)), share.argmax(axis=1)], stops.next_strike)
    return found


def _end_shares(weighed: Weighed, stops: StopArrays) -> tuple[Floats, Ints]:
    """For each stop and each of the next REACH stops: the chance that it ends when that one begins (summed
    over the stops of an event, given to the first of them), and that one's onset."""
    rows = len(stops)
    ahead = np.minimum(np.arange(rows)[:, None] + np.arange(1, REACH + 1), rows - 1)
    shares = np.exp(weighed.end - weighed.end.max(axis=1, keepdims=True))
    shares /= shares.sum(axis=1, keepdims=True)
    event = weighed.seen.event[ahead]
    for d in range(REACH - 1, 0, -1):
        same = event[:, d] == event[:, d - 1]
        shares[:, d - 1] += np.where(same, shares[:, d], 0)
        shares[:, d] = np.where(same, 0, shares[:, d])
    return shares, stops.onset[ahead]


def count_voices(onset: Ints, end: Ints) -> int:
    """How many lines there are: as many as sound together now and then, and now and then begin together.

    A few fuller chords do not count; they are doublings. ``end`` is when each stop ends, taken by itself.
    """
    moments, sizes = np.unique(onset, return_counts=True)
    sounding = np.searchsorted(np.sort(onset), moments, "right") - np.searchsorted(np.sort(end), moments, "right")
    count = 1
    while count < MOST and (sounding > count).mean() > TOGETHER and (sizes > count).mean() > AT_ONCE:
        count += 1
    return count


def _by_height(line: Ints, height: Floats, count: int) -> tuple[Ints, list[float]]:
    """Number the lines from the highest down."""
    sums, sizes = np.bincount(line, height, count), np.bincount(line, minlength=count)
    means = np.where(sizes > 0, sums / np.maximum(sizes, 1), -1e9)
    order = np.argsort(-means, kind="stable")
    place = np.empty(count, dtype=np.int64)
    place[order] = np.arange(count)
    return place[line], [float(max(means[at], 0.0)) for at in order]


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


def _lengths(stops: StopArrays, weighed: Weighed, follows: Ints) -> Ints:
    """Until the most likely end that lies before the line moves on and the course is struck again."""
    rows = len(stops)
    moves = np.full(rows, NEVER, dtype=np.int64)
    later = np.flatnonzero(follows >= 0)
    moves[follows[later]] = stops.onset[later]
    cap = np.minimum(moves, stops.next_strike)
    shares, onset = _end_shares(weighed, stops)
    shares = np.where((onset <= cap[:, None]) & (onset > stops.onset[:, None]), shares, 0)
    best = shares.argmax(axis=1)
    found = onset[np.arange(rows), best]
    end_of_all = stops.onset[-1] + WHOLE // 2
    unsure = shares.max(axis=1) < 0.05
    last = np.where(cap < NEVER, cap, end_of_all)
    end = np.where(unsure, last, found)
    length = np.maximum(end - stops.onset, 1)
    pinned = stops.pin_length != FREE
    allowed: npt.NDArray[np.int64] = np.minimum(stops.pin_length, stops.next_strike - stops.onset)
    result: Ints = np.where(pinned, allowed, length)
    return result
