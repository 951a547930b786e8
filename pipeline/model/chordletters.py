"""Letters over the notes: those of the Spanish guitar, which name shapes of the hand, or names of chords.

The guitar's letters are those of a printed chart of 1606 (from memory; verify against a second chart).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from enum import Enum

from pipeline.model.interval import Interval
from pipeline.model.pitch import SEMITONES, SpelledPitch


class Letters(Enum):
    """What chord letters name."""

    GUITAR = "guitar"  # shapes of the Spanish guitar
    NAMES = "names"  # the chords themselves

    @property
    def words(self) -> str:
        return "letters of the guitar" if self is Letters.GUITAR else "names of chords"


#: Letter → root and third, by the name of the chord.
_GUITAR = {
    "+": "Em", "A": "G", "B": "C", "C": "D", "D": "Am", "E": "Dm", "F": "E", "G": "F", "H": "Bb", "I": "A", "K": "Bbm",
    "L": "Cm", "M": "Eb", "N": "Ab", "O": "Gm", "P": "Fm",
}  # fmt: skip
_ALTERS = {"": 0, "#": 1, "b": -1}
_TRIAD = re.compile(r"([A-G])([#b]?)(m?)")
_NAME = re.compile(r"([A-G])([#b]?)([^/]*)(?:/([A-G])([#b]?))?")
#: From so many letters on, with such a share of them fitting what is struck, is it told what they are (this project's
#: own).
FEWEST, SHARE = 4, 0.75


def triad(text: str, letters: Letters) -> frozenset[int] | None:
    """The pitch classes of a chord by its letter; None for what is no such letter."""
    match = _TRIAD.fullmatch(_GUITAR.get(text, "") if letters is Letters.GUITAR else text)
    if match is None:
        return None
    root = SEMITONES[match[1]] + _ALTERS[match[2]]
    return frozenset((root + step) % 12 for step in (0, 3 if match[3] else 4, 7))


def fits(text: str, letters: Letters, struck: frozenset[int]) -> bool | None:
    """Whether two notes of the chord at least are struck, as pitch classes; None for what is no such letter."""
    chord = triad(text, letters)
    return None if chord is None else len(chord & struck) >= 2


def told_by(struck: Iterable[tuple[str, frozenset[int]]]) -> Letters | None:
    """What letters name, by what is struck with each, as pitch classes: that which fits better. None where too few
    fit either, or as many fit both."""
    over = list(struck)
    counts = {}
    for letters in Letters:
        read = [fit for text, classes in over if (fit := fits(text, letters, classes)) is not None]
        counts[letters] = sum(read) if len(read) >= FEWEST and sum(read) >= SHARE * len(read) else 0
    best = max(Letters, key=lambda letters: counts[letters])
    return best if counts[best] > min(counts.values()) else None


def moved_letter(text: str, letters: Letters, interval: Interval) -> str | None:
    """The letter of the same chord moved; None where it has none, or where the text is no such letter."""
    if letters is Letters.GUITAR:
        chord = triad(text, letters)
        moved = frozenset((place + interval.semitones) % 12 for place in chord or ())
        return next((letter for letter in _GUITAR if triad(letter, letters) == moved), None)
    match = _NAME.fullmatch(text)
    if match is None:
        return None
    bass = f"/{_named(match[4], match[5], interval)}" if match[4] else ""
    return f"{_named(match[1], match[2], interval)}{match[3]}{bass}"


def _named(step: str, sign: str, interval: Interval) -> str:
    pitch = interval.of(SpelledPitch(step, _ALTERS[sign], 4))
    if abs(pitch.alter) > 1:
        place = pitch.semitones % 12
        step = next((step for step, semitone in SEMITONES.items() if semitone == place), "")
        return step or f"{next(s for s, semitone in SEMITONES.items() if semitone == place - 1)}#"
    return f"{pitch.step}{'#' * pitch.alter}{'b' * -pitch.alter}"
