"""Broken chords: a figure over the first stroke of each group, which is the bass and rings under it.

A single stroke on a beat, lower than all that follows it in equal time until the next group, is the bass though no
longer than they are; the others are one line, or one chord after another, each as long as it is written (common
practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pipeline.edition.lead.lines.arrays import Flags, Ints, StopArrays
from pipeline.model.time import WHOLE

#: Strokes of a group and groups in a row at least; semitones from a bass up to the next stroke.
STROKES, GROUPS, RISE = 3, 3, 3
#: How long groups are, the shortest first.
_SPANS = (WHOLE // 4, 3 * WHOLE // 8, WHOLE // 2, 3 * WHOLE // 4, WHOLE)
#: First row, and the one behind the last.
_Rows = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Broken:
    """The stops that are the bass of a broken chord, and those of the figures over them."""

    bass: Flags
    figure: Flags


def broken_chords(stops: StopArrays, height: Ints) -> Broken:
    """Every run of at least ``GROUPS`` groups of one length; ``height`` is the pitch as it is likely meant. Linear
    time."""
    rows = len(stops)
    bass, figure = np.zeros(rows, dtype=np.bool_), np.zeros(rows, dtype=np.bool_)
    onset, pitch = stops.onset.tolist(), height.tolist()
    start = (stops.onset - stops.phase).tolist()
    for span in _SPANS:
        for run in _runs(onset, pitch, start, span):
            first, last = run[0][0], run[-1][1]
            if not figure[first:last].any():
                figure[first:last] = True
                heads = [one for one, _ in run]
                figure[heads], bass[heads] = False, True
    return Broken(bass, figure)


def _runs(onset: list[int], pitch: list[int], start: list[int], span: int) -> Iterator[list[_Rows]]:
    """Groups of ``span`` ticks that are figures, as long as one follows the other."""
    run: list[_Rows] = []
    for first, end in _groups(onset, start, span):
        good = _is_figure(onset, pitch, first, end, span)
        if not good or (run and onset[first] - onset[run[-1][0]] != span):
            if len(run) >= GROUPS:
                yield run
            run = []
        if good:
            run.append((first, end))
    if len(run) >= GROUPS:
        yield run


def _groups(onset: list[int], start: list[int], span: int) -> Iterator[_Rows]:
    """The rows of each group of ``span`` ticks, counted from the beginning of each bar."""
    key = [(bar, (at - bar) // span) for at, bar in zip(onset, start, strict=True)]
    firsts = [row for row in range(len(key)) if row == 0 or key[row] != key[row - 1]]
    yield from pairwise([*firsts, len(key)])


def _is_figure(onset: list[int], pitch: list[int], first: int, end: int, span: int) -> bool:
    """Strokes in equal time that fill the group, the first a single one and lower than all others; of only two the
    second is a chord."""
    moments = sorted(set(onset[first:end]))
    count = len(moments)
    if span % count or moments != [onset[first] + place * span // count for place in range(count)]:
        return False
    chord = count == 2 and end - first >= 3
    if not (count >= STROKES or chord) or onset[first + 1] == onset[first]:
        return False
    if end < len(onset) and onset[end] != onset[first] + span:
        return False
    return pitch[first + 1] >= pitch[first] + RISE and min(pitch[first + 1 : end]) > pitch[first]
