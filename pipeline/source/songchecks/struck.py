"""What the tablature strikes at each moment, and how findings name it."""

from __future__ import annotations

from pipeline.model.pitch import SpelledPitch
from pipeline.model.sounding import SoundingPiece
from pipeline.model.time import Ticks

_SAID = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}


def struck_classes(piece: SoundingPiece) -> dict[Ticks, frozenset[int]]:
    """Onset → the pitch classes that are struck there; every string of a course counts."""
    return {
        event.onset: frozenset(string % 12 for stop in event.stops if not stop.held for string in stop.strings)
        for bar in piece.bars
        for event in bar.events
        if event.stops
    }


def bar_of(piece: SoundingPiece, index: int) -> str:
    """``Bar 12``, or ``The upbeat``; the label alone is in its finding."""
    label = piece.bars[index].label if index < len(piece.bars) else ""
    return f"Bar {label}" if label else "The upbeat"


def letter(pitch: SpelledPitch, *, natural: bool = False) -> str:
    """``B flat``; with ``natural`` also ``B natural``."""
    return pitch.step + (" natural" if natural and not pitch.alter else _SAID[pitch.alter])
