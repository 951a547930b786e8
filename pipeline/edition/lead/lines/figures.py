"""Broken chords: a figure over the first stroke of each group, which is the bass and rings under it.

A single stroke on a beat, lower than all that follows it in equal time until the next group, is the bass though no
longer than they are; the others are one line, or one chord after another, each as long as it is written. Where a
higher note than all of them is struck with each bass, and these notes go on by small steps on strings that the figure
leaves alone, they are a tune that rings over the figure (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from pipeline.edition.lead.lines.arrays import Flags, Ints, StopArrays
from pipeline.model.time import WHOLE

#: Strokes of a group and groups in a row at least; semitones from a bass up to the next stroke.
STROKES, GROUPS, RISE = 3, 3, 3
#: Semitones from one note of a tune over figures to the next at most.
STEP = 5
#: How long groups are, the shortest first.
_SPANS = (WHOLE // 4, 3 * WHOLE // 8, WHOLE // 2, 3 * WHOLE // 4, WHOLE)
#: First row, and the one behind the last.
_Rows = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Broken:
    """The stops that are the bass of a broken chord, those of the figures over them, and those of a tune that rings
    over its figure; ``inner`` are the stops of figures under such a tune."""

    bass: Flags
    figure: Flags
    tune: Flags
    inner: Flags

    @property
    def every(self) -> Flags:
        return self.bass | self.figure | self.tune

    def without_tunes(self) -> Broken:
        """Only the figures that lie over a bass alone."""
        none = np.zeros_like(self.tune)
        under = ~(self.inner | self.tune)
        bass = self.bass & np.append(under[1:], True)  # the tune is struck with its bass, and stands behind it
        return Broken(bass, self.figure & under, none, none)


def broken_chords(stops: StopArrays, height: Ints) -> Broken:
    """Every run of at least ``GROUPS`` groups of one length; ``height`` is the pitch as it is likely meant. Linear
    time."""
    rows = len(stops)
    bass, figure, tune, inner = (np.zeros(rows, dtype=np.bool_) for _ in range(4))
    struck = _Struck(stops.onset.tolist(), height.tolist(), stops.next_strike.tolist())
    start = (stops.onset - stops.phase).tolist()
    for span in _SPANS:
        for crowned, run in _runs(struck, start, span):
            first, last = run[0][0], run[-1][1]
            if figure[first:last].any():
                continue
            figure[first:last] = True
            heads = [one for one, _ in run]
            figure[heads], bass[heads] = False, True
            if crowned:
                tops = [one + 1 for one in heads]
                figure[tops], tune[tops] = False, True
                inner[first:last] = figure[first:last]
    return Broken(bass, figure, tune, inner)


@dataclass(frozen=True, slots=True)
class _Struck:
    """Of each stop when it is struck, how high it is meant, and when its course is struck again."""

    onset: list[int]
    pitch: list[int]
    again: list[int]


def _runs(struck: _Struck, start: list[int], span: int) -> Iterator[tuple[bool, list[_Rows]]]:
    """Groups of ``span`` ticks that are figures, as long as one follows the other; true where a tune lies over them."""
    run: list[_Rows] = []
    kind: bool | None = None
    for group in _groups(struck.onset, start, span):
        this = _kind_of(struck, *group, span)
        goes_on = this is not None and this == kind and struck.onset[group[0]] - struck.onset[run[-1][0]] == span
        if goes_on and this:
            goes_on = abs(struck.pitch[group[0] + 1] - struck.pitch[run[-1][0] + 1]) <= STEP
        if not goes_on:
            if kind is not None and len(run) >= GROUPS:
                yield kind, run
            run, kind = [], this
        if this is not None:
            run.append(group)
    if kind is not None and len(run) >= GROUPS:
        yield kind, run


def _groups(onset: list[int], start: list[int], span: int) -> Iterator[_Rows]:
    """The rows of each group of ``span`` ticks, counted from the beginning of each bar."""
    key = [(bar, (at - bar) // span) for at, bar in zip(onset, start, strict=True)]
    firsts = [row for row in range(len(key)) if row == 0 or key[row] != key[row - 1]]
    yield from pairwise([*firsts, len(key)])


def _kind_of(struck: _Struck, first: int, end: int, span: int) -> bool | None:
    """False for a figure over a bass, true for one with a tune over it, None for neither: strokes in equal time that
    fill the group, the first lower than all others; of only two the second is a chord."""
    onset, pitch = struck.onset, struck.pitch
    moments = [at for at, _ in groupby(onset[first:end])]
    count = len(moments)
    if span % count or moments != [onset[first] + place * span // count for place in range(count)]:
        return None
    if end < len(onset) and onset[end] != onset[first] + span:
        return None
    if end - first < 3 or min(pitch[first + 1 : end]) <= pitch[first]:
        return None
    if onset[first + 1] != onset[first]:
        return False if count >= 2 and pitch[first + 1] >= pitch[first] + RISE else None
    single = count >= STROKES and end - first == count + 1 and pitch[first + 2] >= pitch[first] + RISE
    rings = struck.again[first + 1] >= onset[first] + span
    return True if single and rings and max(pitch[first + 2 : end]) < pitch[first + 1] else None
