"""What is asked of a collation, and what comes of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.model.diagnostics import Diagnostic
from pipeline.model.tablature import Tablature


class Level(Enum):
    """How small a difference is still a reading. Each level holds those before it."""

    SOUND = "sound"  # other pitches, another time, another repeat
    PRINT = "print"  # another course for the pitch, dots, slurs, marks, bar lines
    EVERYTHING = "everything"  # rhythm signs printed again, beams


@dataclass(frozen=True, slots=True)
class Written:
    """The readings of one bar: its number as printed (empty: an upbeat), and its lines as typed."""

    bar: str
    number: int
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Collated:
    """A text with the readings of another source in it. ``tablature`` is None if nothing can be written; the findings
    say why. ``bars`` counts the bars of both that were held against each other, ``written`` are those that differ."""

    tablature: Tablature | None
    siglum: str
    written: tuple[Written, ...] = ()
    bars: int = 0
    diagnostics: tuple[Diagnostic, ...] = ()
