"""Where a page can be turned: between systems where a singer rests and a player's last notes are long.

Right-hand pages have odd numbers, so only they are turned.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from pipeline.model.notes import Kind
from pipeline.model.parts import whole_id
from pipeline.model.score import BarStyle, Measure, Score, SungEvent, WordsKind
from pipeline.model.time import WHOLE, Ticks
from pipeline.writers.engrave.drawing import System

#: What turning costs where nobody rests, against empty room on the pages: a singer can look ahead, a player's hands are
#: needed. The rest that makes it free.
_COST, _COST_OF_HANDS = 0.08, 0.3
_ENOUGH: Ticks = WHOLE // 2
#: Lines after which a player may stop for a moment.
_ENDS = (BarStyle.DOUBLE, BarStyle.FINAL, BarStyle.REPEAT_END, BarStyle.REPEAT_BOTH)


def turn_costs(score: Score, systems: Sequence[System]) -> tuple[float, ...]:
    """For each system, what a page turn before it costs; empty for an edition, which is studied at a table."""
    if not score.turned or not systems:
        return ()
    cost = _COST if score.copy else _COST_OF_HANDS
    measures = {measure.id: measure for measure in score.measures}
    costs = [0.0]
    for before, after in pairwise(systems):
        last = measures.get(whole_id(before.measures[-1])) if before.measures else None
        first = measures.get(whole_id(after.measures[0])) if after.measures else None
        costs.append(cost * (1 - min(1.0, _rest(last, first) / _ENOUGH)))
    return tuple(costs)


def _rest(last: Measure | None, first: Measure | None) -> Ticks:
    """How long everybody who reads this page may look away: the shortest rest of any voice around the turn, or in a
    piece without voices the longest last note or rest."""
    if last is None or first is None:
        return 0
    if last.tab or first.tab:
        return _hands_free(last, first)
    voices = [
        _silence(reversed(staff.events)) + _silence(next((s.events for s in first.sung if s.staff == staff.staff), ()))
        for staff in last.sung
    ]
    if voices:
        return min(voices)
    return min((layer.events[-1].ticks for layer in last.layers if layer.events), default=0)


def _hands_free(last: Measure, first: Measure) -> Ticks:
    """How long a player plucks nothing around the turn; long enough at the end of a section."""
    opens = any(words.kind is WordsKind.SECTION and not words.offset for words in first.words)
    if opens or last.right in _ENDS:
        return _ENOUGH
    silent = 0
    for events in (reversed(last.tab), first.tab):
        for event in events:
            if event.figures:
                break
            silent += event.ticks
    return silent


def _silence(events: Iterable[SungEvent]) -> Ticks:
    """How long a voice rests from here."""
    silent = 0
    for event in events:
        if event.kind is Kind.NOTE:
            break
        silent += event.ticks
    return silent
