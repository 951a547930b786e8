"""Read the lines of a tablature: voices, lengths and restored octaves in one reading."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from itertools import pairwise
from typing import Any

import numpy as np

from pipeline.edition.lead.lines.arrays import CHORD, FREE, Flags, Floats, Ints, LineArrays, StopArrays
from pipeline.edition.lead.lines.figures import Broken, broken_chords
from pipeline.edition.lead.lines.lengths import blocks, chords, even, follows_of, lengths, moves_of
from pipeline.edition.lead.lines.net import Tree, Weighed, weigh
from pipeline.edition.lead.lines.octaves import already_struck, choose, find_habit, stated
from pipeline.edition.lead.lines.pairs import REACH
from pipeline.edition.lead.lines.phrases import enough, near_pins, renumbered, within
from pipeline.edition.lead.lines.voices import ALL, LOW, OF_VOICES, REGISTERS, thread

#: Of longer pieces, full of dittos, each bar is read once: real pieces are shorter.
LONG = 4_000
#: From this share on broken chords are what the piece is.
BROKEN_SHARE = 0.6
#: The register between the figures' bass and a tune that rings over them.
_MIDDLE = 2
#: Share of what is no broken chord that tells how many lines there are.
_MUCH = 0.2
#: Notes over a typed bass, on average, that are chords rather than parts.
FULL = 2.2
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
    near = near_pins(stops)
    if near.all() or not near.any():
        return _read(stops, voices, tree)[0]
    free = np.full(len(stops), FREE, dtype=np.int64)
    unpinned = replace(stops, pin_voice=free, pin_octave=free, pin_length=free)
    without, lines = _read(unpinned, voices, tree)
    more = enough(lines, int(stops.pin_voice.max()))
    return within(near, _read(stops, voices, tree, more)[0], renumbered(without, lines, more), stops)


def _read(
    stops: StopArrays, voices: int | None, tree: Tree | None, lines: tuple[int, ...] = ()
) -> tuple[LineArrays, tuple[int, ...]]:
    """The reading and its registers: ``lines`` if given, else found."""
    weighed = weigh(stops, tree)
    low = weighed.low
    over_bass = _chords_over_bass(stops)
    habit, evidence = find_habit(stops, low, over_bass)
    by_rule = habit == "lute"  # then every note of these courses is meant an octave up, in chords too
    struck = already_struck(stops) & (not by_rule)
    likely = np.where(stops.pin_octave == FREE, (low > 0.5) & ~struck, stops.pin_octave)
    declared = voices is not None
    most = max(1, int(stops.pin_voice.max()))
    least = REGISTERS if declared or lines else most
    broken = broken_chords(stops, stops.pitch + 12 * likely)
    lines = lines or _lines(stops, weighed, voices, most, broken)
    lines, line, fillers = _threaded(stops, weighed, likely, lines, broken, declared=declared, least=least)
    alike = _twins(stops)
    free = stops.pin_octave == FREE
    block = blocks(stops)
    barred = struck | ((fillers | over_bass) & (not by_rule)) | block
    line = _as_blocks(stops, block, line, lines)
    link = _linked(weighed, follows_of(line, stops.onset))
    octave, asked = choose(stops, low, link.follows, barred, alike=link.same, weight=link.chance, habit=habit)
    octave, asked = np.where(free, octave[alike], octave), np.where(free, asked[alike], asked)
    if (octave != likely).any():  # the lines once more, through what will be printed
        lines, line, fillers = _threaded(stops, weighed, octave, lines, broken, declared=declared, least=least)
        line = _as_blocks(stops, block, line, lines)
    line = np.where(stops.pin_voice == FREE, line[alike], line)
    place = np.full(REGISTERS, -1, dtype=np.int64)
    place[list(lines)] = np.arange(len(lines))
    voice = place[line]
    link = _linked(weighed, follows_of(voice, stops.onset))
    broken = _for_lines(broken, lines)
    length = lengths(
        stops, weighed, link.follows, alike, voice=voice, voices=len(lines), fillers=fillers, broken=broken
    )
    found = LineArrays(
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
    return found, lines


def _read_once(stops: StopArrays, kept: Ints, voices: int | None, tree: Tree | None) -> LineArrays:
    """The bars that differ, read one after another; all others like them."""
    columns: dict[str, Any] = {
        field.name: value[kept] if isinstance(value := getattr(stops, field.name), np.ndarray) else value
        for field in fields(StopArrays)
    }
    read = read_lines(StopArrays(**columns), voices, tree)
    row = np.searchsorted(kept, _twins(stops))
    voice = read.voice[row]
    follows = follows_of(voice - 1, stops.onset)
    end = np.minimum(moves_of(stops.onset, follows), stops.next_strike)
    length = np.minimum(read.length[row], np.maximum(end - stops.onset, 1))
    return LineArrays(
        voice,
        follows,
        even(length, voice - 1, stops),
        read.octave[row],
        read.chance[row],
        read.asked[row],
        read.link[row],
        read.voices,
        read.habit,
        read.evidence,
    )


def _threaded(
    stops: StopArrays,
    weighed: Weighed,
    octave: Ints,
    lines: tuple[int, ...],
    broken: Broken,
    *,
    declared: bool,
    least: int,
) -> tuple[tuple[int, ...], Ints, Flags]:
    """The lines, those that hold next to nothing given up while ``least`` are left; the line of each stop; the
    fillers."""
    height = (stops.pitch + 12 * octave).astype(np.float32)
    line, fillers = thread(stops, weighed, height, lines, _for_lines(broken, lines), declared=declared)
    led = _led(broken)
    while (fewer := _much_used(line[led], lines, least)) != lines:
        lines = fewer
        line, fillers = thread(stops, weighed, height, lines, _for_lines(broken, lines))
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


def _lines(stops: StopArrays, weighed: Weighed, voices: int | None, most: int, broken: Broken) -> tuple[int, ...]:
    """The registers that the piece has: as many as are declared, else those that hold more than a few stops, and at
    least as many as pins name. Broken chords, and chords over a typed bass, have two; three with a tune over them."""
    figures = broken.every.mean() >= BROKEN_SHARE
    three = figures and 2 * broken.without_tunes().every.sum() < broken.every.sum()
    two = (figures and not three) or _accompanies(stops)
    most_found = 2 if two else 3 if three else REGISTERS
    if voices is not None:
        return OF_VOICES.get(max(min(voices, most_found), most), ALL)
    share = np.exp(weighed.register[_led(broken)]).mean(axis=0)
    struck = np.unique(stops.onset, return_counts=True)[1]
    if (struck >= CHORD).mean() >= SELDOM[0] or stops.basso.any() or broken.bass.any():
        share[-1] = 1
    if two or three:
        share[1:-1] = 0
    if three:
        share[[0, _MIDDLE]] = 1
    lines = tuple(np.flatnonzero(share >= SELDOM).tolist()) or (int(share.argmax()),)
    return lines if len(lines) >= most else OF_VOICES.get(most, ALL)


def _as_blocks(stops: StopArrays, block: Flags, line: Ints, lines: tuple[int, ...]) -> Ints:
    """Chords struck with the hand are not led: the note on the lowest course is the bass, with it stands what lies
    low, and all else is one chord of the tune (common practice)."""
    first = np.diff(stops.onset, prepend=-1) > 0
    free = block & (stops.pin_voice == FREE)
    found: Ints = np.where(free, np.where(first | (stops.pitch < LOW), lines[-1], lines[0]), line)
    return found


def _chords_over_bass(stops: StopArrays) -> Flags:
    """The notes of chords that accompany a typed bass: no line leads through them that could mean another octave."""
    return chords(stops) & _accompanies(stops)


def _for_lines(broken: Broken, lines: tuple[int, ...]) -> Broken:
    """Without the tunes that ring over figures where no line is left for what lies between them and the bass."""
    return broken if not lines[0] and len(lines) > 2 else broken.without_tunes()


def _led(broken: Broken) -> Flags:
    """The stops that tell how many lines there are: none of broken chords, if there is much else."""
    else_: Flags = ~broken.every
    return else_ if else_.mean() >= _MUCH else np.ones_like(else_)


def _accompanies(stops: StopArrays) -> bool:
    """True where chords accompany a typed bass: they are no parts, but one chord each (common practice)."""
    upper = ~stops.basso
    if not stops.basso.any() or not upper.any():
        return False
    return len(stops.onset[upper]) / len(np.unique(stops.onset[upper])) >= FULL


def _much_used(line: Ints, lines: tuple[int, ...], least: int) -> tuple[int, ...]:
    """The lines that hold more than a few stops; all where fewer than ``least`` would be left."""
    share = np.bincount(line, minlength=REGISTERS) / len(line)
    kept = tuple(one for one in lines if share[one] >= SELDOM[one])
    return kept if len(kept) >= least else lines


def _twins(stops: StopArrays) -> Ints:
    """For each row the row that it is read like: its own, or that of the first bar that is the same and stands
    between the same neighbours: the same in stops, pins, marks of the hand and typed bass. What is typed as the same as
    an earlier bar is read like the last one that is the same, whatever its neighbours."""
    start = stops.onset - stops.phase
    firsts = np.flatnonzero(np.diff(start, prepend=start[0] - 1)).tolist()
    ends = [*firsts[1:], len(start)]
    pins = (stops.pin_voice, stops.pin_octave, stops.pin_length)
    columns = np.stack([stops.phase, stops.course, stops.pitch, *pins, stops.strummed, stops.basso], 1)
    keys = [columns[first:end].tobytes() for first, end in zip(firsts, ends, strict=True)]
    moments = [int(start[first]) for first in firsts]
    spans = [after - before for before, after in pairwise(moments)]
    known: dict[tuple[object, ...], int] = {}
    latest: dict[bytes, int] = {}
    alike = np.arange(len(start))
    for bar, (first, end) in enumerate(zip(firsts, ends, strict=True)):
        around = slice(max(0, bar - 1), bar + 1)
        before = keys[bar - 1] if bar else None
        after = keys[bar + 1] if bar + 1 < len(keys) else None
        own = known.setdefault((before, keys[bar], after, tuple(spans[around])), first)
        if stops.ditto[first]:
            own = latest.get(keys[bar], own)
        latest[keys[bar]] = own
        alike[first:end] = np.arange(own, own + end - first)
    return alike


def _nothing() -> LineArrays:
    none = np.zeros(0, dtype=np.int64)
    return LineArrays(none, none, none, none, none.astype(np.float32), none > 0, none.astype(np.float32), 0, "none", {})
