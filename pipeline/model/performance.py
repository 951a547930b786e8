"""A piece as it is played through: repeats played out, chords spread, one part for each track.

Times here run from the first sound on, in ticks; they differ from the written ones as soon as something is repeated.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.model.pitch import Semitones
from pipeline.model.time import Metre, Ticks


class Sounder(Enum):
    """What plays a part."""

    VOICE = "voice"
    BASS = "bass"
    LUTE = "lute"


@dataclass(frozen=True, slots=True)
class Passage:
    """A stretch of the piece as written, from ``start`` to ``end``, and the moment ``at`` at which it is played."""

    start: Ticks
    end: Ticks
    at: Ticks

    @property
    def shift(self) -> Ticks:
        """From written to played time."""
        return self.at - self.start


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One pitch struck at ``onset`` for ``length`` ticks. ``text`` is the syllable of the first stanza, with a hyphen
    where the word goes on and a space where it ends; empty where none is sung."""

    onset: Ticks
    length: Ticks
    pitch: Semitones
    text: str = ""


@dataclass(frozen=True, slots=True)
class PlayedPart:
    """A sung line, a bass, or the tablature; ``notes`` in order of time, then pitch."""

    name: str
    sounder: Sounder
    notes: tuple[PlayedNote, ...]


@dataclass(frozen=True, slots=True)
class Beat:
    """One stroke of the click; ``first`` of its bar."""

    onset: Ticks
    first: bool


@dataclass(frozen=True, slots=True)
class Performance:
    """All that is heard. ``pitch`` is A4 in hertz, None where none is declared; ``crotchets`` how many a minute.
    ``metres`` are changes with their times."""

    title: str
    pitch: float | None
    crotchets: int
    passages: tuple[Passage, ...]
    parts: tuple[PlayedPart, ...]
    beats: tuple[Beat, ...]
    metres: tuple[tuple[Ticks, Metre], ...]
    end: Ticks
