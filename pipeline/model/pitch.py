"""Pitches: as semitones where they sound, as letter, accidental and octave where they are written."""

from __future__ import annotations

import math
from dataclasses import dataclass

STEPS = "CDEFGAB"
#: Semitones above C of each letter.
SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
#: Place of each natural letter on the line of fifths, F = -1, C = 0, G = 1 …
FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}

#: Hz of A4 where no pitch standard is declared. Source: ISO 16.
CONCERT_A = 440.0

#: A sounding pitch is a whole number of semitones; 60 is middle C (C4), 69 is A4.
Semitones = int


@dataclass(frozen=True, slots=True, order=True)
class SpelledPitch:
    """A written pitch: letter, alteration (-1 flat, +1 sharp) and scientific octave (C4 = middle C)."""

    step: str
    alter: int
    octave: int

    @property
    def semitones(self) -> Semitones:
        """Where it sounds: 60 for C4."""
        return 12 * (self.octave + 1) + SEMITONES[self.step] + self.alter

    @property
    def diatonic(self) -> int:
        """Staff place: 7 × octave + letter, C4 = 28."""
        return 7 * self.octave + STEPS.index(self.step)

    @property
    def fifths(self) -> int:
        """Place on the line of fifths, C = 0."""
        return FIFTHS[self.step] + 7 * self.alter

    @property
    def name(self) -> str:
        """As typed and shown: ``F#2``, ``Bb1``, ``D4``."""
        return f"{self.step}{'#' * self.alter}{'b' * -self.alter}{self.octave}"

    def __str__(self) -> str:
        return self.name


_LETTERS_BY_FIFTHS = "FCGDAEB"


def from_fifths(fifths: int, semitones: Semitones) -> SpelledPitch:
    """The pitch that sounds at ``semitones`` and is spelled at ``fifths`` on the line of fifths.

    Raises ValueError if the two do not name the same pitch class.
    """
    step = _LETTERS_BY_FIFTHS[(fifths + 1) % 7]
    alter = (fifths + 1) // 7
    octave, rest = divmod(semitones - SEMITONES[step] - alter, 12)
    if rest:
        raise ValueError(f"{fifths} on the line of fifths is not semitone {semitones}")
    return SpelledPitch(step, alter, octave - 1)


def in_signature(step: str, fifths: int) -> int:
    """What a key signature of ``fifths`` sharps (or, negative, flats) makes of a letter: its alteration."""
    return (fifths - FIFTHS[step] + 5) // 7


def frequency(semitones: float, a4: float) -> float:
    """Hertz of a pitch in equal temperament at the standard ``a4`` (Hz).

    Source: MIDI note numbers with ISO 16, f = a4 · 2^((n - 69) / 12).
    """
    return a4 * math.pow(2.0, (semitones - 69) / 12)
