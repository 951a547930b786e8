"""Chords that are struck one string after another, found so that they are read as chords and not as lines.

An arpeggio: at least two groups in even notes, each of three or more different courses none of which is struck
twice, mostly by leaps. A scale over several courses (bell-like) moves by step and is left alone: it is one line.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from pipeline.edition.lead.lines.arrays import Flags, Ints, StopArrays

#: Fewest courses in a group, most, and fewest groups in a row.
FEWEST, LARGEST, IN_A_ROW = 3, 8, 3
#: Most steps of a second or less in an arpeggio, as a share.
STEPWISE = 0.5


def arpeggios(stops: StopArrays) -> Ints:
    """For each row the number of the arpeggiated group that it belongs to, from 0; -1 for none."""
    group = np.full(len(stops), -1, dtype=np.int64)
    firsts = np.flatnonzero(np.diff(stops.onset, prepend=-1))
    sizes = np.diff(np.append(firsts, len(stops))).tolist()
    gaps = np.append(np.diff(stops.onset[firsts]), 0).tolist()
    number = 0
    for begin, end in _runs(sizes, gaps):
        events = firsts[begin:end].tolist()
        groups = _groups(events, sizes[begin:end], stops.course.tolist())
        for chain in _chains(groups):
            if _leaps(stops, chain):
                for rows in chain:
                    group[rows] = number
                    number += 1
    return group


def _runs(sizes: list[int], gaps: list[int]) -> list[tuple[int, int]]:
    """Stretches of events in even notes: all but the last of a stretch last equally long, and are one stop, or
    two."""
    found, begin = [], 0
    for at in range(1, len(sizes) + 1):
        if at == len(sizes) or gaps[at - 1] != gaps[begin] or sizes[at] > 2:
            if at - begin >= FEWEST * IN_A_ROW:
                found.append((begin, at))
            begin = at
    return found


def _groups(events: list[int], sizes: list[int], course: list[int]) -> list[list[int]]:
    """Rows in groups, each as long as no course returns; a pair of stops begins a group."""
    groups: list[list[int]] = []
    used: set[int] = set()
    for first, size in zip(events, sizes, strict=True):
        rows = list(range(first, first + size))
        if not groups or size > 1 or any(course[row] in used for row in rows) or len(groups[-1]) >= LARGEST:
            groups.append([])
            used = set()
        groups[-1] += rows
        used |= {course[row] for row in rows}
    return groups


def _chains(groups: list[list[int]]) -> list[list[list[int]]]:
    """Neighbouring groups that are large enough, where there are enough of them and most are alike in size."""
    chains: list[list[list[int]]] = [[]]
    for rows in groups:
        if len(rows) >= FEWEST:
            chains[-1].append(rows)
        elif chains[-1]:
            chains.append([])
    return [chain for chain in chains if len(chain) >= IN_A_ROW]


def _leaps(stops: StopArrays, chain: list[list[int]]) -> bool:
    """Whether the courses change and the groups leap rather than step, in either octave of a re-entrant course."""
    steps = stepwise = 0
    for rows in chain:
        for row, after in pairwise(rows):
            if stops.onset[after] == stops.onset[row]:
                continue
            rise = int(stops.pitch[after] - stops.pitch[row])
            lift = 12 * (int(stops.re_entrant[after]) - int(stops.re_entrant[row]))
            steps += 1
            stepwise += 1 <= min(abs(rise), abs(rise + lift)) <= 2
    return stepwise < STEPWISE * steps


def as_chords(stops: StopArrays, group: Ints) -> tuple[Ints, Ints, Flags]:
    """The onsets with each group struck at once, the order that sorts the rows by them, and which rows were moved."""
    onset = stops.onset.copy()
    inside = np.flatnonzero(group >= 0)
    if len(inside):
        first = np.full(int(group.max()) + 1, np.iinfo(np.int64).max)
        np.minimum.at(first, group[inside], onset[inside])
        onset[inside] = first[group[inside]]
    return onset, np.lexsort((-stops.course, onset)), onset != stops.onset
