"""How findings name a bar, so that all of them do it alike."""

from __future__ import annotations

from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.text import Span


def bar_name(bar: SoundingBar) -> str:
    """``Bar 12``, or ``This upbeat`` for a bar that the edition does not number."""
    return f"Bar {bar.label}" if bar.label else "This upbeat"


def labels(piece: SoundingPiece) -> dict[Span, str]:
    """The number printed for each typed bar, by the place of the bar."""
    return {bar.bar.span: bar.label for bar in reversed(piece.bars)}
