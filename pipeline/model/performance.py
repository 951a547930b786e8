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
    """One pitch struck at ``onset`` for ``length`` ticks. ``text`` is its syllable in the stanza sung then, with a
    hyphen where the word goes on and a space where it ends; empty where none is sung."""

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
class Manner:
    """How a piece is to be played for practice. ``crotchets`` of the edition a minute, throughout; None: as its tempo
    words say. ``count_in``: a bar is counted before it. ``moved`` says in words how it was transposed."""

    crotchets: int | None = None
    count_in: bool = False
    moved: str = ""


@dataclass(frozen=True, slots=True)
class Performance:
    """All that is heard. ``pitch`` is A4 in hertz, None where none is declared; ``tempi`` are crotchets a minute with
    the moments from which they hold, the first at 0; ``metres`` likewise, so that each bar of the piece is a bar of its
    own, an upbeat too. ``moved`` as of the manner; ``remarks`` say what was assumed."""

    title: str
    pitch: float | None
    tempi: tuple[tuple[Ticks, int], ...]
    passages: tuple[Passage, ...]
    parts: tuple[PlayedPart, ...]
    beats: tuple[Beat, ...]
    metres: tuple[tuple[Ticks, Metre], ...]
    end: Ticks
    moved: str = ""
    remarks: tuple[str, ...] = ()

    @property
    def crotchets(self) -> int:
        """How many a minute it begins with."""
        return self.tempi[0][1]
