"""Notes on their way to the staff: small mutable drafts, frozen into the score at the end."""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.model.notes import Kind, Stem, Tuplet
from pipeline.model.pitch import SpelledPitch
from pipeline.model.time import Ticks, Value
from pipeline.model.voiced import Part, VoicedNote


@dataclass(slots=True)
class DraftHead:
    """One notehead; ``part`` counts the pieces of a tied note from 1."""

    note: VoicedNote
    part: int
    tie_from: bool
    tie_to: bool
    staff: int
    accidental: str = ""
    courtesy: bool = False

    @property
    def id(self) -> str:
        return head_id(self.note.led.id, self.part)

    @property
    def pitch(self) -> SpelledPitch:
        return self.note.spelling


@dataclass(slots=True)
class DraftSung:
    """One sung note, for its accidental."""

    pitch: SpelledPitch
    tie_to: bool
    staff: int = 0
    accidental: str = ""
    courtesy: bool = False


@dataclass(slots=True)
class DraftEvent:
    """A chord, rest or space in a layer; times count from the start of the measure."""

    kind: Kind
    start: Ticks
    ticks: Ticks
    value: Value
    heads: list[DraftHead] = field(default_factory=list)
    tuplet: Tuplet | None = None
    whole_bar: bool = False
    stemless: bool = False


@dataclass(slots=True)
class DraftLayer:
    """One voice in one measure."""

    voice: int
    part: Part
    staff: int
    events: list[DraftEvent]
    stem: Stem = Stem.AUTO


def head_id(stop: str, part: int) -> str:
    """The id of the n-th tied head of a stop."""
    return f"n-{stop}" if part == 1 else f"n-{stop}-{part}"
