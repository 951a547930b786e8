"""Read the lines of a tablature: voices, lengths and restored octaves in one reading."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from pipeline.edition.lead.lines.arrays import FREE, NEVER, Floats, Ints, LineArrays, StopArrays
from pipeline.edition.lead.lines.features import REACH
from pipeline.edition.lead.lines.net import Tree, Weighed, weigh
from pipeline.edition.lead.lines.octaves import choose, find_habit
from pipeline.edition.lead.lines.textures import arpeggios, as_chords
from pipeline.edition.lead.lines.thread import links_of, thread
from pipeline.model.record import replace
from pipeline.model.time import WHOLE

#: More lines than this are not told apart.
MOST = 6
#: Shares of the events at which a further line must sound, and begin, with all the others. From the development part.
TOGETHER, AT_ONCE = 0.02, 0.002


def read_lines(stops: StopArrays, voices: int | None = None, tree: Tree | None = None) -> LineArrays:
    """Read every stop's line, length and octave, together.

    ``voices`` is the number of lines where the piece declares it, else it is found. Pins are followed. Chords that
    are struck one string after another are read as chords, and written as a bass and one running line. The time taken
    grows linearly with the number of stops. Empty in, empty out.
    """
    if not len(stops):
        return _nothing()
    group = arpeggios(stops)
    if not (group >= 0).any():
        return _read(stops, voices, tree)
    onset, order, _ = as_chords(stops, group)
    fields = (
        "pitch",
        "course",
        "fret",
        "re_entrant",
        "diapason",
        "next_strike",
        "pin_voice",
        "pin_octave",
        "pin_length",
    )
    moved = {name: getattr(stops, name)[order] for name in fields}
    phase = (stops.phase - (stops.onset - onset))[order]
    read = _read(replace(stops, onset=onset[order], phase=phase, **moved), voices, tree)
    return _broken(stops, group, _put_back(read, order), keep=voices is not None)


def _read(stops: StopArrays, voices: int | None, tree: Tree | None) -> LineArrays:
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
    chance = np.where(near, np.exp(link[at, back] / 2), 0.0).astype(np.float32)
    alike = np.where(near, 1 / (1 + np.exp(-weighed.same[np.maximum(follows, 0), back])), 0.0).astype(np.float32)
    octave, asked = choose(stops, weighed.low, follows, alike=alike, weight=chance, habit=habit)
    length = _even(_lengths(stops, weighed, follows), line, stops)
    none = np.full(len(line), -1, dtype=np.int64)
    return LineArrays(line + 1, follows, length, octave, weighed.low, asked, chance, none, count, habit, evidence)


def _put_back(read: LineArrays, order: Ints) -> LineArrays:
    """The reading in the order of the rows before they were sorted anew."""
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.arange(len(order))
    follows = np.where(read.follows >= 0, order[np.maximum(read.follows, 0)], -1)
    return replace(
        read,
        voice=read.voice[place],
        follows=follows[place],
        length=read.length[place],
        octave=read.octave[place],
        chance=read.chance[place],
        asked=read.asked[place],
        link=read.link[place],
        group=read.group[place],
    )


def _broken(stops: StopArrays, group: Ints, read: LineArrays, *, keep: bool) -> LineArrays:
    """Arpeggiated chords as a musician writes them: the lowest course is the bass and rings, the others run on in the
    highest line. Lines that nothing is left of are dropped, unless ``keep``."""
    voices = max(2, read.voices)
    voice, inside = read.voice.copy(), np.flatnonzero(group >= 0)
    lowest = np.full(int(group.max()) + 1, -1, dtype=np.int64)
    for row in inside[np.argsort(stops.course[inside], kind="stable")].tolist():
        lowest[group[row]] = row
    voice[inside] = 1
    voice[lowest[lowest >= 0]] = voices
    voice = np.where(stops.pin_voice == FREE, voice, read.voice)
    if not keep and (stops.pin_voice == FREE).all():
        left, voice = np.unique(voice, return_inverse=True)
        voices, voice = len(left), voice.astype(np.int64) + 1
    follows = _follows(voice - 1, stops.onset)
    moves = _moves(stops.onset, follows)
    end = np.where(group >= 0, np.minimum(moves, stops.next_strike), stops.onset + read.length)
    last = int(stops.onset[-1]) + WHOLE // 2
    end = np.where(end < NEVER, np.minimum(end, moves), np.maximum(last, stops.onset + 1))
    length = np.where(stops.pin_length == FREE, end - stops.onset, read.length)
    length = _even(np.maximum(length, 1), voice - 1, stops)
    return replace(read, voice=voice, follows=follows, length=length, group=group, voices=voices)


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
    event = weighed.event[ahead]
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


def _moves(onset: Ints, follows: Ints) -> Ints:
    """When the line of each stop moves on; NEVER for its last."""
    moves = np.full(len(onset), NEVER, dtype=np.int64)
    later = np.flatnonzero(follows >= 0)
    moves[follows[later]] = onset[later]
    return moves


def _lengths(stops: StopArrays, weighed: Weighed, follows: Ints) -> Ints:
    """Until the most likely end that lies before the line moves on and the course is struck again."""
    rows = len(stops)
    moves = _moves(stops.onset, follows)
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
