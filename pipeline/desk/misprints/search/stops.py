"""Stops that fit badly where another reading, for which they may be a misprint, would fit well."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from pipeline.desk.misprints.search.context import Context, Passages
from pipeline.desk.misprints.search.judge import Tree, fits
from pipeline.desk.misprints.search.lookalikes import Lookalike, lookalikes
from pipeline.desk.misprints.search.seen import Readings, seen
from pipeline.desk.misprints.search.weights import STOPS
from pipeline.model.signs import Act, FretState, Signs
from pipeline.model.sounding import SoundingStop

#: From what chance on a stop is suspected. Set on the development part of the corpus.
SUSPECTED = 0.07
#: A slur stays on its course: what a line makes or breaks of slurs counts so much (log odds, own, no source).
_SLUR = 3.0
#: A constant, and how much the fit of two readings says which of two sources is right (log odds); by
#: ``python -m tests.benchmarks.misprints.learn_prints``.
PRINTS = (1.316, 0.420)
#: Scores beyond these tell no more.
_LEAST, _MOST = -12.0, 25.0
#: A stop counts at most so much for how unruly its piece is; so many stops of usual music stand beside its own.
_ODDEST, _USUAL, _BESIDE = 3.0, 0.1, 20
#: Stops weighed at a time.
_BLOCK = 1024


@dataclass(frozen=True, slots=True)
class StopSlip:
    """Another reading of stop ``row`` of the context, with the chance that it is the right one."""

    row: int
    other: Lookalike
    chance: float


@dataclass(frozen=True, slots=True)
class SuspectStop:
    """A stop that is probably wrong, with what it may be, likeliest first; ``chance`` that one of them is right."""

    row: int
    chance: float
    slips: tuple[StopSlip, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """A stop beside the readings it may be a misprint of: ``ahead`` is by how much each fits better than what is
    typed (log odds), ``crowd`` how many stops of the bar may be misprinted in the same way (a logarithm), ``unruly``
    how badly the other stops of the piece fit (likewise)."""

    row: int
    others: tuple[Lookalike, ...]
    ahead: tuple[float, ...]
    crowd: tuple[float, ...]
    unruly: float


def suspect_stops(
    context: Context, passages: Passages, signs: Signs, tree: Tree, suspected: float = SUSPECTED
) -> tuple[SuspectStop, ...]:
    """Every suspicious stop, in order; one a bar, the likeliest. Linear."""
    best: dict[int, SuspectStop] = {}
    for one in compared(context, passages, signs, tree):
        stop = _weighed(context, one)
        bar = context.bars[context.event[stop.row]].index
        if stop.chance >= suspected and (bar not in best or stop.chance > best[bar].chance):
            best[bar] = stop
    return tuple(best.values())


def _weighed(context: Context, one: Compared) -> SuspectStop:
    """The chance of each reading, all of them and the typed one weighed against each other."""
    odds = []
    for other, ahead, crowd in zip(one.others, one.ahead, one.crowd, strict=True):
        weights = STOPS[other.slip]
        numbers = (1.0, ahead, crowd, one.unruly)
        odds.append(exp(sum(a * b for a, b in zip(weights, numbers, strict=True)) + _slurs(context, one.row, other)))
    total = 1 + sum(odds)
    slips = [StopSlip(one.row, other, each / total) for other, each in zip(one.others, odds, strict=True)]
    return SuspectStop(one.row, 1 - 1 / total, tuple(sorted(slips, key=lambda slip: -slip.chance)))


def weighed_against(
    context: Context, passages: Passages, tree: Tree, readings: Sequence[tuple[int, Lookalike]]
) -> list[StopSlip]:
    """How likely it is that the reading which another source has of a stop is right, and not the one that is typed: one
    of the two is a slip, either as likely before the music is asked."""
    scores = ahead_of(context, passages, tree, readings)
    return [
        StopSlip(row, other, 1 / (1 + exp(-PRINTS[0] - PRINTS[1] * ahead)))
        for (row, other), (ahead,) in zip(readings, scores, strict=True)
    ]


def ahead_of(
    context: Context, passages: Passages, tree: Tree, readings: Sequence[tuple[int, Lookalike]]
) -> list[tuple[float, ...]]:
    """By how much each reading fits its row better than what is typed there (log odds), one number each."""
    return list(_ahead(context, passages, [(row, (other,)) for row, other in readings], tree)) if readings else []


def compared(context: Context, passages: Passages, signs: Signs, tree: Tree) -> list[Compared]:
    """Every stop that has another reading, beside it; in blocks, so that memory stays small."""
    cases = list(_cases(context, signs))
    ahead: list[tuple[float, ...]] = []
    for at in range(0, len(cases), _BLOCK):
        ahead += _ahead(context, passages, cases[at : at + _BLOCK], tree)
    odd = [min(log(1 + sum(map(exp, scores))), _ODDEST) for scores in ahead]
    whole, count = sum(odd) + _BESIDE * _USUAL, len(odd) + _BESIDE - 1
    bars = [context.bars[context.event[row]].index for row, _ in cases]
    crowd = Counter(
        (bar, slip) for bar, (_, others) in zip(bars, cases, strict=True) for slip in {one.slip for one in others}
    )
    return [
        Compared(
            row,
            others,
            scores,
            tuple(log(crowd[bar, one.slip]) for one in others),
            log((whole - own) / count + 0.02),
        )
        for (row, others), scores, own, bar in zip(cases, ahead, odd, bars, strict=True)
    ]


def _ahead(
    context: Context, passages: Passages, cases: list[tuple[int, tuple[Lookalike, ...]]], tree: Tree
) -> Iterator[tuple[float, ...]]:
    rows = [
        (row, course, fret, context.bars[context.event[row]].instrument.sounding(course, fret)[0])
        for row, others in cases
        for course, fret in (_typed(context, row), *((one.course, one.fret) for one in others))
    ]
    table = np.array(rows, dtype=np.int64)
    readings = Readings(table[:, 0], table[:, 1], table[:, 2], table[:, 3])
    scores = fits(seen(context, readings, passages), tree).tolist()
    at = 0
    for _, others in cases:
        typed, *rest = scores[at : at + 1 + len(others)]
        at += 1 + len(others)
        yield tuple(max(_LEAST, min(_MOST, score - typed)) for score in rest)


def _typed(context: Context, row: int) -> tuple[int, int]:
    return int(context.course[row]), int(context.fret[row])


def _cases(context: Context, signs: Signs) -> Iterator[tuple[int, tuple[Lookalike, ...]]]:
    known: dict[tuple[int, int, int], tuple[Lookalike, ...]] = {}
    for row, stop in enumerate(context.stops):
        place = int(context.event[row])
        if context.events[place].repeated or not as_printed(stop):
            continue
        typed = [each.reading.edition for each in context.events[place].event.stops]
        taken = {sign.course for sign in typed if sign is not None}
        instrument = context.bars[place].instrument
        kind = (id(instrument), stop.course, stop.fret)
        if kind not in known:
            known[kind] = lookalikes(stop.course, stop.fret, instrument, signs)
        found = [one for one in known[kind] if one.course == stop.course or one.course not in taken]
        if found:
            yield row, tuple(found)


def as_printed(stop: SoundingStop) -> bool:
    """Whether the editor has left the reading as it stands, and it is one figure."""
    reading = stop.stop.reading
    sign = reading.edition
    return reading.act is Act.PRINTED and sign is not None and sign.state is FretState.READ and sign.course is not None


def _slurs(context: Context, row: int, other: Lookalike) -> float:
    """What another line makes of the slurs to and from a stop."""
    stop, place = context.stops[row], int(context.event[row])
    if other.course == stop.course:
        return 0.0
    total = 0.0
    if stop.slurred:
        before = {course for course, _ in context.figures[place - 1]} if place else set()
        total += _SLUR * ((other.course in before) - (stop.course in before))
    if place + 1 < len(context.events):
        after = {each.course for each in context.events[place + 1].stops if each.slurred}
        total += _SLUR * ((other.course in after) - (stop.course in after))
    return total
