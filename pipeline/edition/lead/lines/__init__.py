"""Lines: voices, lengths and restored octaves read together, on plain arrays."""

from pipeline.edition.lead.lines.arrays import (
    FREE,
    NEVER,
    LineArrays,
    StopArrays,
    next_strikes,
    played_basso,
    stop_arrays,
)
from pipeline.edition.lead.lines.pins import Impossible, ImpossiblePin, impossible_pins
from pipeline.edition.lead.lines.read import read_lines

__all__ = [
    "FREE",
    "NEVER",
    "Impossible",
    "ImpossiblePin",
    "LineArrays",
    "StopArrays",
    "impossible_pins",
    "next_strikes",
    "played_basso",
    "read_lines",
    "stop_arrays",
]
