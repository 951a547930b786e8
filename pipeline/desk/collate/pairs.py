"""Which bars of the other source stand against each bar of the text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from pipeline.desk.collate.views import NOTHING, View, cut, joined, sound_key
from pipeline.desk.compare.differ.align import Pair, aligned
from pipeline.model.pitch import Semitones
from pipeline.model.time import Ticks

_Sound = tuple[tuple[Ticks, tuple[Semitones, ...]], ...]
#: More bars than this are not taken for bars that the other source divides otherwise.
_MOST_BARS = 8


def assigned(one: Sequence[View], two: Sequence[View]) -> list[list[int]]:
    """For each bar of the one the bars of the other, in order: none where the other lacks it, several where it has
    more. Bars that stand alone on both sides between two pairs are taken for each other, one by one."""
    found: list[list[int]] = [[] for _ in one]
    waiting: list[int] = []
    left: list[int] = []
    right: list[int] = []
    last = -1
    pairs: list[Pair] = [*aligned([sound_key(view) for view in one], [sound_key(view) for view in two], alike)]
    for before, after in (*pairs, (len(one), len(two))):
        if after is None and before is not None:
            left.append(before)
            continue
        if before is None and after is not None:
            right.append(after)
            continue
        for here, there in zip(left, right, strict=False):
            found[here].append(there)
        last = left[-1] if left else last
        more = right[len(left) :]
        if last >= 0:
            found[last].extend(more)
        else:
            waiting.extend(more)
        left, right = [], []
        if before is not None and after is not None and before < len(one):
            found[before].extend([*waiting, after])
            waiting, last = [], before
    if waiting and one:
        found[0].extend(waiting)
    return found


def alike(one: _Sound, two: _Sound) -> int:
    """From 0 to 100: how much is struck in both at the same time."""
    left = Counter((onset, pitch) for onset, pitches in one for pitch in pitches)
    right = Counter((onset, pitch) for onset, pitches in two for pitch in pitches)
    most = left.total() + right.total()
    return 200 * (left & right).total() // most if most else 100


def held_against(one: Sequence[View], two: Sequence[View], places: Sequence[Sequence[int]]) -> list[View]:
    """What the other source has for each bar, in one view; where it only divides the bars otherwise, its music cut at
    the bar lines of the one."""
    against = [joined([two[place] for place in bars]) for bars in places]
    start = 0
    while start < len(one):
        size = _divided_otherwise(one, against, start)
        if size:
            lengths = [view.length for view in one[start : start + size]]
            parts = cut(joined([view for view in against[start : start + size] if view is not NOTHING]), lengths)
            against[start : start + size] = parts or against[start : start + size]
        start += max(1, size)
    return against


def _divided_otherwise(one: Sequence[View], against: Sequence[View], start: int) -> int:
    """How many bars from here on hold the same music as the other source, which divides it otherwise; 0 for none."""
    if one[start].length == against[start].length:
        return 0
    for size in range(2, min(_MOST_BARS, len(one) - start) + 1):
        here = joined(one[start : start + size])
        there = joined([view for view in against[start : start + size] if view is not NOTHING])
        if here.length == there.length and sound_key(here) == sound_key(there):
            lengths = [view.length for view in one[start : start + size]]
            return size if cut(there, lengths) is not None else 0
    return 0


def tails(one: Sequence[View], two: Sequence[View]) -> tuple[int, int]:
    """How many bars at the end of each stand alone."""
    pairs = aligned([sound_key(view) for view in one], [sound_key(view) for view in two], alike)
    ends = [0, 0]
    for before, after in reversed(pairs):
        if before is not None and after is not None:
            break
        ends[before is None] += 1
    return ends[0], ends[1]
