"""Stops that fit badly where another reading, for which they may be a misprint, would fit well."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import exp, log

import numpy as np

from pipeline.model.sounding import SoundingStop
from pipeline.model.tablature import Act, FretState, Signs
from pipeline.stages.misprints.context import Context, Passages
from pipeline.stages.misprints.judge import Tree, fits
from pipeline.stages.misprints.lookalikes import Lookalike, lookalikes
from pipeline.stages.misprints.seen import Readings, seen

#: How likely a stop is to be a misprint for one given other reading, before anything is weighed; how far the scores
#: are trusted; and from what chance on a stop is suspected. Set on the development part of the corpus.
BEFORE = 1 / 2000
TRUST = 1.0
SUSPECTED = 0.12
#: A slur stays on its course: what a line makes or breaks of slurs counts so much (log odds, own, no source).
_SLUR = 3.0
_MOST = 40.0
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


def suspect_stops(
    context: Context, passages: Passages, signs: Signs, tree: Tree, suspected: float = SUSPECTED
) -> tuple[SuspectStop, ...]:
    """Every suspicious stop, in order; one a bar, the likeliest, unless another is as good as certain. Linear."""
    found = [stop for stop in weighed_stops(context, passages, signs, tree) if stop.chance >= suspected]
    best: dict[int, SuspectStop] = {}
    for stop in found:
        bar = context.bars[context.event[stop.row]].index
        if bar not in best or stop.chance > best[bar].chance:
            best[bar] = stop
    return tuple(best.values())


def weighed_stops(context: Context, passages: Passages, signs: Signs, tree: Tree) -> Iterator[SuspectStop]:
    """Every stop that has another reading, with the chances of each; in blocks, so that memory stays small."""
    cases = list(_cases(context, signs))
    for at in range(0, len(cases), _BLOCK):
        yield from _weighed(context, passages, cases[at : at + _BLOCK], tree)


def _weighed(
    context: Context, passages: Passages, cases: list[tuple[int, list[Lookalike]]], tree: Tree
) -> Iterator[SuspectStop]:
    rows = [
        (row, course, fret, context.bars[context.event[row]].instrument.sounding(course, fret)[0])
        for row, others in cases
        for course, fret in (_typed(context, row), *((one.course, one.fret) for one in others))
    ]
    table = np.array(rows, dtype=np.int64)
    readings = Readings(table[:, 0], table[:, 1], table[:, 2], table[:, 3])
    scores = (TRUST * fits(seen(context, readings, passages), tree)).tolist()
    at = 0
    for row, others in cases:
        typed, *rest = scores[at : at + 1 + len(others)]
        at += 1 + len(others)
        odds = [
            exp(max(-_MOST, min(_MOST, score - typed + log(BEFORE) + _slurs(context, row, one))))
            for score, one in zip(rest, others, strict=True)
        ]
        total = 1 + sum(odds)
        slips = sorted(
            (StopSlip(row, one, each / total) for one, each in zip(others, odds, strict=True)),
            key=lambda slip: -slip.chance,
        )
        yield SuspectStop(row, 1 - 1 / total, tuple(slips))


def _typed(context: Context, row: int) -> tuple[int, int]:
    return int(context.course[row]), int(context.fret[row])


def _cases(context: Context, signs: Signs) -> Iterator[tuple[int, list[Lookalike]]]:
    known: dict[tuple[int, int, int], tuple[Lookalike, ...]] = {}
    for row, stop in enumerate(context.stops):
        place = int(context.event[row])
        if context.events[place].repeated or not _as_printed(stop):
            continue
        typed = [each.reading.edition for each in context.events[place].event.stops]
        taken = {sign.course for sign in typed if sign is not None}
        instrument = context.bars[place].instrument
        kind = (id(instrument), stop.course, stop.fret)
        if kind not in known:
            known[kind] = lookalikes(stop.course, stop.fret, instrument, signs)
        found = [one for one in known[kind] if one.course == stop.course or one.course not in taken]
        if found:
            yield row, found


def _as_printed(stop: SoundingStop) -> bool:
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
