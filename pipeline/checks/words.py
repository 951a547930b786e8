"""How findings name a bar, so that all of them do it alike."""

from __future__ import annotations

from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import BarItem, Barline, BarlineAct, BarlineKind, Unread
from pipeline.source import Span


def bar_name(bar: SoundingBar) -> str:
    """``Bar 12``, or ``This upbeat`` for a bar that the edition does not number."""
    return f"Bar {bar.label}" if bar.label else "This upbeat"


def labels(piece: SoundingPiece) -> dict[Span, str]:
    """The number printed for each typed bar, by the place of the bar."""
    return {bar.bar.span: bar.label for bar in reversed(piece.bars)}


def damaged(items: tuple[BarItem, ...]) -> bool:
    """Whether a word of the bar could not be read, or a plain bar line stands in its middle: that has been
    reported, and what follows from it is not."""
    return any(isinstance(item, Unread) or _stray(item) for item in items)


def _stray(item: BarItem) -> bool:
    return isinstance(item, Barline) and item.kind is BarlineKind.SINGLE and item.act is not BarlineAct.REMOVED
