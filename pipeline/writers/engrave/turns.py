"""Where a page can be turned: between systems where a singer rests and a player's last notes are long.

Right-hand pages have odd numbers, so only they are turned.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from pipeline.model.notes import Kind
from pipeline.model.parts import whole_id
from pipeline.model.score import Measure, Score, SungEvent
from pipeline.model.time import WHOLE, Ticks
from pipeline.writers.engrave.drawing import System

#: What turning costs where nobody rests, against empty room on the pages; the rest that makes it free.
_COST = 0.08
_ENOUGH: Ticks = WHOLE // 2


def turn_costs(score: Score, systems: Sequence[System]) -> tuple[float, ...]:
    """For each system, what a page turn before it costs; empty for an edition, which is studied at a table."""
    if not score.copy or not systems:
        return ()
    measures = {measure.id: measure for measure in score.measures}
    costs = [0.0]
    for before, after in pairwise(systems):
        last = measures.get(whole_id(before.measures[-1])) if before.measures else None
        first = measures.get(whole_id(after.measures[0])) if after.measures else None
        costs.append(_COST * (1 - min(1.0, _rest(last, first) / _ENOUGH)))
    return tuple(costs)


def _rest(last: Measure | None, first: Measure | None) -> Ticks:
    """How long everybody who reads this page may look away: the shortest rest of any voice around the turn, or in a
    piece without voices the longest last note or rest."""
    if last is None or first is None:
        return 0
    voices = [
        _silence(reversed(staff.events)) + _silence(next((s.events for s in first.sung if s.staff == staff.staff), ()))
        for staff in last.sung
    ]
    if voices:
        return min(voices)
    return min((layer.events[-1].ticks for layer in last.layers if layer.events), default=0)


def _silence(events: Iterable[SungEvent]) -> Ticks:
    """How long a voice rests from here."""
    silent = 0
    for event in events:
        if event.kind is Kind.NOTE:
            break
        silent += event.ticks
    return silent
