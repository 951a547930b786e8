"""How long each stop lasts: until its line moves on, its course is struck again, or the net says that it ends."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from pipeline.edition.lead.lines.arrays import CHORD, FREE, NEVER, Flags, Floats, Ints, StopArrays
from pipeline.edition.lead.lines.figures import Broken
from pipeline.edition.lead.lines.net import Weighed
from pipeline.edition.lead.lines.pairs import REACH
from pipeline.model.time import WHOLE


def lengths(
    stops: StopArrays,
    weighed: Weighed,
    follows: Ints,
    alike: Ints,
    *,
    voice: Ints,
    voices: int,
    fillers: Flags,
    broken: Broken,
) -> Ints:
    """How long each stop lasts; ``voice`` counts from 0, ``fillers`` last as long as the line on whose stem they
    stand, and each row is read like the one that is ``alike``."""
    length = _likely(stops, weighed, follows, alike)
    if voices > 1:
        length = _ringing(stops, length, follows, voice == voices - 1)
    length = _of_broken(stops, length, follows, broken)
    length = _of_runs(stops, length, follows, voice)
    sounds = np.where(stops.pin_length == FREE, stops.next_strike - stops.onset, stops.pin_length)
    return _within_bars(stops, even(np.where(fillers, sounds, length), voice, stops))


def _bar_ends(stops: StopArrays, last: int = NEVER) -> Ints:
    """The tick at which the bar of each stop ends: where the next that has any begins, ``last`` for the last."""
    start = stops.onset - stops.phase
    bars = np.unique(start)
    found: Ints = np.append(bars[1:], last)[np.searchsorted(bars, start)]
    return found


def _events(stops: StopArrays) -> tuple[Ints, Ints, Ints]:
    """When there are events, the event of each stop, and how many stops each event has."""
    moments, event, size = np.unique(stops.onset, return_inverse=True, return_counts=True)
    return moments, event, size


def _likely(stops: StopArrays, weighed: Weighed, follows: Ints, alike: Ints) -> Ints:
    """Until the most likely end that lies before the line moves on and the course is struck again."""
    rows = len(stops)
    cap = np.minimum(moves_of(stops.onset, follows), stops.next_strike)
    shares, onset = _end_shares(weighed, stops)
    shares = np.where((onset <= cap[:, None]) & (onset > stops.onset[:, None]), shares, 0)
    best = shares.argmax(axis=1)
    found = onset[np.arange(rows), best]
    closing = (cap == NEVER) & (stops.onset > stops.onset[-1] - WHOLE // 2)  # it rings to the end with the others
    unsure = (shares.max(axis=1) < 0.05) | closing
    last = np.where(cap < NEVER, cap, stops.onset[-1] + WHOLE // 2)
    end = np.where(unsure, last, found)
    length = np.maximum(end - stops.onset, 1)
    length = np.maximum(1, np.minimum(length[alike], last - stops.onset))
    allowed: npt.NDArray[np.int64] = np.minimum(stops.pin_length, stops.next_strike - stops.onset)
    result: Ints = np.where(stops.pin_length != FREE, allowed, length)
    return result


def _ringing(stops: StopArrays, length: Ints, follows: Ints, bass: Flags) -> Ints:
    """An open bass string rings until the next bass or the end of its bar: nobody stops it (common practice)."""
    end = np.minimum(np.minimum(moves_of(stops.onset, follows), stops.next_strike), _bar_ends(stops))
    rings = bass & stops.diapason & (stops.pin_length == FREE) & (end < NEVER)
    found: Ints = np.where(rings, np.maximum(length, end - stops.onset), length)
    return found


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


def _of_broken(stops: StopArrays, length: Ints, follows: Ints, broken: Broken) -> Ints:
    """The notes of a figure last until the next stroke, its bass until the next bass or the end of its bar, and a tune
    over it until its next note."""
    moments, event, _ = _events(stops)
    stroke = np.append(moments[1:], moments[-1] + WHOLE)[event] - stops.onset
    last = int((stops.onset - stops.phase)[-1]) + 4 * WHOLE
    end = np.minimum(np.minimum(moves_of(stops.onset, follows), stops.next_strike), _bar_ends(stops, last))
    rings = end - stops.onset
    free = stops.pin_length == FREE
    found = np.where(broken.figure & free, np.minimum(length, stroke), length)
    result: Ints = np.where((broken.bass | broken.tune) & free, np.maximum(found, rings), found)
    return result


def _of_runs(stops: StopArrays, length: Ints, follows: Ints, voice: Ints) -> Ints:
    """The last note of an even run does not hang over the bass that is struck alone after it, in whose time the next
    run leaves a gap of one note (common practice, no source)."""
    moments, event, size = _events(stops)
    stroke = np.append(np.diff(moments), WHOLE)[event]
    before = np.where(follows >= 0, stops.onset - stops.onset[np.maximum(follows, 0)], -1)
    moves = moves_of(stops.onset, follows) - stops.onset
    after = np.minimum(event + 1, len(moments) - 1)
    first = np.searchsorted(stops.onset, moments)
    alone = (size[after] == 1) & (voice[first[after]] > voice)
    beat = (stops.phase[first[after]] % (WHOLE // 4) == 0) | (stops.phase[first[after]] % (3 * WHOLE // 8) == 0)
    run = (before == stroke) & (before[np.maximum(follows, 0)] == before)
    last = run & (moves == 2 * stroke) & alone & beat & (size[event] == 1)
    result: Ints = np.where(last & (stops.pin_length == FREE), np.minimum(length, stroke), length)
    return result


def _within_bars(stops: StopArrays, length: Ints) -> Ints:
    """A chord does not hang over a bar line by less than a crotchet (common practice, no source)."""
    after, (_, event, size) = _bar_ends(stops), _events(stops)
    over = stops.onset + length - after
    hangs = (over > 0) & (over < WHOLE // 4) & (stops.pin_length == FREE)
    together = np.bincount(event, hangs) >= size - 1  # all but perhaps the bass: no suspension of one part
    hangs &= (size >= CHORD)[event] & together[event]
    result: Ints = np.where(hangs, after - stops.onset, length)
    return result


def even(length: Ints, line: Ints, stops: StopArrays) -> Ints:
    """The stops of one line, or of one block, that begin together last equally long: as long as the shortest, unless
    pinned."""
    line = np.where(blocks(stops), 0, line)
    event = np.cumsum(np.diff(stops.onset, prepend=stops.onset[0]) > 0)
    chord = event * (int(line.max()) + 1) + line
    shortest = np.full(int(chord.max()) + 1, NEVER, dtype=np.int64)
    np.minimum.at(shortest, chord, length)
    result: Ints = np.where(stops.pin_length == FREE, shortest[chord], length)
    return result


def follows_of(line: Ints, onset: Ints) -> Ints:
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


def moves_of(onset: Ints, follows: Ints) -> Ints:
    """When the line of each stop moves on; NEVER for its last."""
    moves = np.full(len(onset), NEVER, dtype=np.int64)
    later = np.flatnonzero(follows >= 0)
    moves[follows[later]] = onset[later]
    return moves


def chords(stops: StopArrays) -> Flags:
    """The stops that are struck with others, at least ``CHORD`` together."""
    _, event, size = _events(stops)
    found: Flags = size[event] >= CHORD
    return found


def blocks(stops: StopArrays) -> Flags:
    """The stops of marked chords of at least ``CHORD``."""
    return stops.strummed & chords(stops)
