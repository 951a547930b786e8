"""Read the lines of a tablature: voices, lengths and restored octaves in one reading."""

from __future__ import annotations

from dataclasses import dataclass, fields
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt

from pipeline.edition.lead.lines.arrays import FREE, NEVER, Flags, Floats, Ints, LineArrays, StopArrays
from pipeline.edition.lead.lines.net import Tree, Weighed, weigh
from pipeline.edition.lead.lines.octaves import already_struck, choose, find_habit, stated
from pipeline.edition.lead.lines.pairs import REACH
from pipeline.edition.lead.lines.voices import ALL, CHORD, OF_VOICES, REGISTERS, thread
from pipeline.model.time import WHOLE

#: Of longer pieces, full of dittos, each bar is read once: real pieces are shorter.
LONG = 4_000
#: In a chord struck with the hand what sounds below G3 stands with the bass, on whose staff it is read more easily.
LOW = 55
#: Single strokes on the same courses in the same order, over and over, in at least this share of a piece are one
#: figure, of so many strokes: they run on in one line over a bass (common practice), and are not divided among parts.
BROKEN, FIGURES = 0.9, range(3, 9)
#: A register, tune to bass, that has a smaller share of the stops than this is given up; a bass is struck more seldom.
#: From the development part, where .03 to .08 do equally well.
SELDOM = np.array([0.08, 0.08, 0.08, 0.08, 0.04])


def read_lines(stops: StopArrays, voices: int | None = None, tree: Tree | None = None) -> LineArrays:
    """Read every stop's line, length and octave, together.

    ``voices`` is the highest number of lines where the piece declares it, else it is found. Pins are followed. The
    time taken grows linearly with the number of stops. Empty in, empty out.
    """
    if not len(stops):
        return _nothing()
    if len(stops) > LONG and len(kept := np.unique(_twins(stops))) < len(stops) // 2:
        return _read_once(stops, kept, voices, tree)
    weighed = weigh(stops, tree)
    low = weighed.low
    habit, evidence = find_habit(stops, low)
    by_rule = habit == "lute"  # then every note of these courses is meant an octave up, in chords too
    struck = already_struck(stops) & (not by_rule)
    likely = np.where(stops.pin_octave == FREE, (low > 0.5) & ~struck, stops.pin_octave)
    lines = _lines(stops, weighed, voices)
    declared = voices is not None
    lines, line, fillers = _threaded(stops, weighed, likely, lines, declared=declared)
    alike = _twins(stops)
    free = stops.pin_octave == FREE
    block = _blocks(stops)
    barred = struck | (fillers & (not by_rule)) | block
    line = _as_blocks(stops, block, line, lines)
    link = _linked(weighed, _follows(line, stops.onset))
    octave, asked = choose(stops, low, link.follows, barred, alike=link.same, weight=link.chance, habit=habit)
    octave, asked = np.where(free, octave[alike], octave), np.where(free, asked[alike], asked)
    if (octave != likely).any():  # the lines once more, through what will be printed
        lines, line, _ = _threaded(stops, weighed, octave, lines, declared=declared)
        line = _as_blocks(stops, block, line, lines)
    line = np.where(stops.pin_voice == FREE, line[alike], line)
    place = np.full(REGISTERS, -1, dtype=np.int64)
    place[list(lines)] = np.arange(len(lines))
    voice = place[line]
    link = _linked(weighed, _follows(voice, stops.onset))
    length = _lengths(stops, weighed, link.follows, alike)
    if len(lines) > 1:
        length = _ringing(stops, length, link.follows, voice == len(lines) - 1)
    length = _even(length, voice, stops)
    return LineArrays(
        voice + 1,
        link.follows,
        length,
        octave,
        stated(low[alike], habit),
        asked,
        link.chance,
        len(lines),
        habit,
        evidence,
    )


def _read_once(stops: StopArrays, kept: Ints, voices: int | None, tree: Tree | None) -> LineArrays:
    """The bars that differ, read one after another; all others like them."""
    columns: dict[str, Any] = {
        field.name: value[kept] if isinstance(value := getattr(stops, field.name), np.ndarray) else value
        for field in fields(StopArrays)
    }
    read = read_lines(StopArrays(**columns), voices, tree)
    row = np.searchsorted(kept, _twins(stops))
    voice = read.voice[row]
    follows = _follows(voice - 1, stops.onset)
    end = np.minimum(_moves(stops.onset, follows), stops.next_strike)
    length = np.minimum(read.length[row], np.maximum(end - stops.onset, 1))
    return LineArrays(
        voice,
        follows,
        _even(length, voice - 1, stops),
        read.octave[row],
        read.chance[row],
        read.asked[row],
        read.link[row],
        read.voices,
        read.habit,
        read.evidence,
    )


def _threaded(
    stops: StopArrays, weighed: Weighed, octave: Ints, lines: tuple[int, ...], *, declared: bool
) -> tuple[tuple[int, ...], Ints, Flags]:
    """The lines, those that hold next to nothing given up unless ``declared``; the line of each stop; the fillers."""
    height = (stops.pitch + 12 * octave).astype(np.float32)
    line, fillers = thread(stops, weighed, height, lines, declared=declared)
    while not declared and (fewer := _much_used(line, lines, stops)) != lines:
        lines = fewer
        line, fillers = thread(stops, weighed, height, lines)
    return lines, line, fillers


@dataclass(frozen=True, slots=True)
class _Linked:
    """For each stop the one that it follows, how likely it does, and that both are meant alike."""

    follows: Ints
    chance: Floats
    same: Floats


def _linked(weighed: Weighed, follows: Ints) -> _Linked:
    at, back = np.maximum(follows, 0), np.arange(len(follows)) - follows - 1
    near, back = (follows >= 0) & (back < REACH), np.clip(back, 0, REACH - 1)
    sure = np.exp((weighed.ahead[at, back] + weighed.back[at, back]) / 2)
    chance = np.where(near, sure, 0.0).astype(np.float32)
    same = np.where(near, weighed.same[at, back], 0.0).astype(np.float32)
    return _Linked(follows, chance, same)


def _lines(stops: StopArrays, weighed: Weighed, voices: int | None) -> tuple[int, ...]:
    """The registers that the piece has: as many as are declared, else those that hold more than a few stops, and at
    least as many as pins name."""
    most = int(stops.pin_voice.max()) if (stops.pin_voice != FREE).any() else 1
    if voices is not None:
        return OF_VOICES.get(max(voices, most), ALL)
    share = np.exp(weighed.register).mean(axis=0)
    struck = np.unique(stops.onset, return_counts=True)[1]
    if (struck >= CHORD).mean() >= SELDOM[0] or stops.basso.any():
        share[-1] = 1
    if (struck == 1).mean() >= BROKEN and _broken(stops.course):
        share[1:-1] = 0
    lines = tuple(np.flatnonzero(share >= SELDOM).tolist()) or (int(share.argmax()),)
    return lines if len(lines) >= most else OF_VOICES.get(most, ALL)


def _blocks(stops: StopArrays) -> Flags:
    """The stops of marked chords of at least ``CHORD``."""
    _, event, size = np.unique(stops.onset, return_inverse=True, return_counts=True)
    return stops.strummed & (size[event] >= CHORD)


def _as_blocks(stops: StopArrays, block: Flags, line: Ints, lines: tuple[int, ...]) -> Ints:
    """Chords struck with the hand are not led: the note on the lowest course is the bass, with it stands what lies
    low, and all else is one chord of the tune (common practice)."""
    first = np.diff(stops.onset, prepend=-1) > 0
    free = block & (stops.pin_voice == FREE)
    found: Ints = np.where(free, np.where(first | (stops.pitch < LOW), lines[-1], lines[0]), line)
    return found


def _broken(course: Ints) -> bool:
    """True where one figure is repeated throughout."""
    return any(len(course) >= 3 * size and (course[size:] == course[:-size]).mean() >= BROKEN for size in FIGURES)


def _much_used(line: Ints, lines: tuple[int, ...], stops: StopArrays) -> tuple[int, ...]:
    """The lines that hold more than a few stops; all where fewer than the pins name would be left."""
    share = np.bincount(line, minlength=REGISTERS) / len(line)
    kept = tuple(one for one in lines if share[one] >= SELDOM[one])
    pinned = stops.pin_voice[stops.pin_voice != FREE]
    return kept if len(kept) >= (int(pinned.max()) if len(pinned) else 1) else lines


def _twins(stops: StopArrays) -> Ints:
    """For each row the row that it is read like: its own, or that of the first bar that is the same and stands
    between the same neighbours: the same in stops, pins, marks of the hand and typed bass."""
    start = stops.onset - stops.phase
    firsts = np.flatnonzero(np.diff(start, prepend=start[0] - 1)).tolist()
    ends = [*firsts[1:], len(start)]
    pins = (stops.pin_voice, stops.pin_octave, stops.pin_length)
    columns = np.stack([stops.phase, stops.course, stops.pitch, *pins, stops.strummed, stops.basso], 1)
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
    """The stops of one line, or of one block, that begin together last equally long: as long as the shortest, unless
    pinned."""
    line = np.where(_blocks(stops), 0, line)
    event = np.cumsum(np.diff(stops.onset, prepend=stops.onset[0]) > 0)
    chord = event * (int(line.max()) + 1) + line
    shortest = np.full(int(chord.max()) + 1, NEVER, dtype=np.int64)
    np.minimum.at(shortest, chord, length)
    result: Ints = np.where(stops.pin_length == FREE, shortest[chord], length)
    return result


def _nothing() -> LineArrays:
    none = np.zeros(0, dtype=np.int64)
    return LineArrays(none, none, none, none, none.astype(np.float32), none > 0, none.astype(np.float32), 0, "none", {})


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
    start = stops.onset - stops.phase
    bars = np.unique(start)
    after = np.append(bars[1:], NEVER)[np.searchsorted(bars, start)]
    end = np.minimum(np.minimum(_moves(stops.onset, follows), stops.next_strike), after)
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
