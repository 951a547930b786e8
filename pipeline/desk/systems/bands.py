"""Bands of ruled lines on a picture: rows that are darker than those around them over most of the width, gathered by
the space between them.

A proposal, which the editor looks at: a crumpled or very crooked page defeats it. No source: the usual row profile of
page segmentation, from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

import numpy as np
from numpy.typing import NDArray

#: Blocks of columns, each shifted as a whole against the others where the page is crooked.
_BLOCKS = 32
#: How far lines may rise over the width, and in what steps it is tried, as shares of the width.
_STEEPEST, _STEP = 0.04, 0.001
#: Rows around one that it is held against, as a share of the height; the share of the darkest rows that a line has.
_AROUND, _DARK = 0.02, 0.4
#: Lines further apart than so many times the usual space begin another system. A system has at least so many lines.
_APART, _LEAST = 2.6, 4
#: How much of the room between two systems belongs to what stands over the lower one, and under the upper one.
_OVER, _UNDER = 0.45, 0.35


@dataclass(frozen=True, slots=True)
class Bands:
    """Systems from the top as (top, bottom), in percent of the height, with the room that their signs take above and
    below the lines; ``left`` and ``right`` in percent of the width."""

    systems: tuple[tuple[float, float], ...]
    left: float = 0.0
    right: float = 100.0


def bands_of(grey: NDArray[np.uint8]) -> Bands:
    """The systems on a picture, a row of brightness for each row of it. Nothing is found on an empty one."""
    high, wide = grey.shape
    if high < _BLOCKS or wide < _BLOCKS:
        return Bands(())
    blocks = _darkness(grey)
    rows = _straightened(blocks, wide)
    profile = rows.mean(axis=1)
    groups = [group for group in _groups(_lines(profile)) if len(group) >= _LEAST]
    if not groups:
        return Bands(())
    left, right = _across(rows, groups)
    return Bands(tuple(_with_room([(group[0], group[-1]) for group in groups], high)), left, right)


def _darkness(grey: NDArray[np.uint8]) -> NDArray[np.float64]:
    """How much darker each row is than those around it, in blocks of columns: (rows, blocks)."""
    bright = grey.astype(np.float64)
    around = max(2, round(len(grey) * _AROUND))
    padded = np.pad(bright, ((around + 1, around), (0, 0)), mode="edge")
    sums = padded.cumsum(axis=0)
    usual = (sums[2 * around + 1 :] - sums[: -2 * around - 1]) / (2 * around + 1)
    darker = np.clip(usual - bright, 0, None)
    return np.stack([block.mean(axis=1) for block in np.array_split(darker, _BLOCKS, axis=1)], axis=1)


def _straightened(blocks: NDArray[np.float64], wide: int) -> NDArray[np.float64]:
    """The blocks shifted so that lines lie level: the slope at which rows differ most from each other."""
    middles = (np.arange(_BLOCKS) + 0.5) / _BLOCKS - 0.5
    slopes = np.arange(-_STEEPEST, _STEEPEST + _STEP / 2, _STEP)
    # Of slopes that are as good, the flattest.
    order = sorted(slopes.tolist(), key=abs)
    shifts = [np.rint(middles * slope * wide).astype(int) for slope in order]
    tried = [_shifted(blocks, shift) for shift in shifts]
    return max(tried, key=lambda rows: float((rows.sum(axis=1) ** 2).sum()))


def _shifted(blocks: NDArray[np.float64], shifts: NDArray[np.int_]) -> NDArray[np.float64]:
    return np.stack([np.roll(blocks[:, place], -shift) for place, shift in enumerate(shifts.tolist())], axis=1)


def _lines(profile: NDArray[np.float64]) -> list[float]:
    """The middles of dark rows that touch each other."""
    darkest = np.sort(profile)[-max(3, len(profile) // 50) :].mean()
    dark = np.flatnonzero(profile > max(1.0, _DARK * darkest)).tolist()
    found: list[list[int]] = []
    for row in dark:
        if found and row - found[-1][-1] <= 1:
            found[-1].append(row)
        else:
            found.append([row])
    return [(run[0] + run[-1]) / 2 for run in found]


def _groups(lines: Sequence[float]) -> list[list[float]]:
    """Lines that stand as near to each other as most do."""
    if len(lines) < _LEAST:
        return []
    space = median(after - before for before, after in pairwise(lines))
    groups = [[lines[0]]]
    for before, after in pairwise(lines):
        if after - before > _APART * space:
            groups.append([])
        groups[-1].append(after)
    return groups


def _with_room(groups: Sequence[tuple[float, float]], high: int) -> list[tuple[float, float]]:
    """The bands with the room that their signs take, in whole percent."""
    between = [lower[0] - upper[1] for upper, lower in pairwise(groups)]
    usual = median(between) if between else groups[0][1] - groups[0][0]
    over, under = [usual, *between], [*between, usual]
    bands = zip(groups, over, under, strict=True)
    return [
        (
            float(max(0, round(100 * (top - _OVER * above) / high))),
            float(min(100, round(100 * (bottom + _UNDER * below) / high))),
        )
        for (top, bottom), above, below in bands
    ]


def _across(rows: NDArray[np.float64], groups: Sequence[Sequence[float]]) -> tuple[float, float]:
    """Where the lines begin and end, in percent of the width, with a little room."""
    at = sorted({round(line) for group in groups for line in group})
    columns = rows[at].mean(axis=0)
    there = np.flatnonzero(columns > _DARK * float(np.median(columns)))
    step = 100 / _BLOCKS
    return float(max(0, round(step * int(there[0]) - 1))), float(min(100, round(step * (int(there[-1]) + 1) + 1)))
