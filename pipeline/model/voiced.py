"""The reading: which voice a sound belongs to, how long it lasts, what the line means, how it is spelled.

Facts stay in :mod:`pipeline.model.sounding`; everything here may be overruled by a musician.
"""

from __future__ import annotations

from enum import Enum

from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import Record
from pipeline.model.sounding import SoundingPiece, SoundingStop
from pipeline.model.time import Ticks


class Decided(Enum):
    """Who decided a reading."""

    RULE = "rule"  # the tool
    EDITOR = "editor"  # a pin in the encoding


class Restored(Record, frozen=True):
    """A note whose line is meant ``octaves`` above (+1) or below (-1) its sound.

    ``confidence`` lies between 0 and 1; ``asked`` means too doubtful to apply: shown as a question.
    """

    octaves: int
    confidence: float
    asked: bool
    decided: Decided


class Part(Enum):
    """The kind of line that a note belongs to."""

    UPPER = "upper"
    ALTO = "alto"  # inner, always on the upper staff (reductions)
    MIDDLE = "middle"  # inner, on the staff where it lies
    TENOR = "tenor"  # inner, always on the lower staff (reductions)
    BASS = "bass"


class LedNote(Record, frozen=True):
    """One struck (or slurred) stop with its voice and length, not yet spelled.

    ``onset`` and ``length`` in ticks; ``voice`` counts from 1, the highest line, downwards; notes of one
    voice that begin together form a chord and have one length. ``follows`` is the id of the note before in its voice
    (of a chord its lowest course), empty for the first; ``sure`` how likely it does, from 0 to 1.
    """

    id: str
    stop: SoundingStop
    onset: Ticks
    length: Ticks
    voice: int
    part: Part
    decided: Decided = Decided.RULE
    restored: Restored | None = None
    follows: str = ""
    sure: float = 0.0


class LedPiece(Record, frozen=True):
    """What the voice-leading stage makes of a piece. ``notes`` are sorted by onset, then voice, then from
    high to low; ``bells`` are pairs of ids, first and last note of each scale that runs across courses;
    ``method`` says in one sentence how voices and lengths were read. ``habit`` is how the source treats the courses
    tuned down (``literal``, ``lute``, ``mixed``, ``none``), ``evidence`` the figures that tell it; ``refused`` the ids
    of stops whose pin no reading can follow, with the reason."""

    sounding: SoundingPiece
    notes: tuple[LedNote, ...]
    voices: int
    bells: tuple[tuple[str, str], ...]
    method: str
    habit: str = "none"
    evidence: tuple[tuple[str, float], ...] = ()
    refused: tuple[tuple[str, str], ...] = ()


class VoicedNote(Record, frozen=True):
    """A led note with its spelling: ``spelling`` names the sounding pitch."""

    led: LedNote
    spelling: SpelledPitch

    @property
    def meant(self) -> SpelledPitch:
        """The pitch that the line means: the sounding one, or an applied restored octave."""
        restored = self.led.restored
        if restored is None or restored.asked:
            return self.spelling
        pitch = self.spelling
        return SpelledPitch(pitch.step, pitch.alter, pitch.octave + restored.octaves)


class VoicedPiece(Record, frozen=True):
    """The led piece spelled. ``fifths`` is the key signature chosen for the staves, and ``key_found`` says
    that no key was declared and it comes from the music."""

    led: LedPiece
    notes: tuple[VoicedNote, ...]
    fifths: int
    key_found: bool

    @property
    def sounding(self) -> SoundingPiece:
        return self.led.sounding
