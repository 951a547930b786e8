"""Bars that cannot be measured since something in them could not be read."""

from __future__ import annotations

from pipeline.model.signs import Event, Unread
from pipeline.model.tablature import BarItem, Barline, BarlineAct, BarlineKind


def damaged(items: tuple[BarItem, ...]) -> bool:
    """Whether a word of the bar could not be read, or a plain bar line stands in its middle: that has been
    reported, and what follows from it is not."""
    for item in items:
        if isinstance(item, Event):
            continue
        if isinstance(item, Unread) or _stray(item):
            return True
    return False


def _stray(item: BarItem) -> bool:
    return isinstance(item, Barline) and item.kind is BarlineKind.SINGLE and item.act is not BarlineAct.REMOVED
