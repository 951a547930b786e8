"""Letters over the notes, moved: those of the Spanish guitar, which name shapes of the hand, or names of chords.

The guitar's letters are those of a printed chart of 1606 (from memory; verify against a second chart). Chords that have
no letter there are left out.
"""

from __future__ import annotations

import re

from pipeline.desk.move.record import Letters
from pipeline.model.interval import Interval
from pipeline.model.pitch import SEMITONES, SpelledPitch

_MAJOR, _MINOR = 4, 3
#: Letter → root (pitch class, C = 0) and third.
_GUITAR = {
    "+": (4, _MINOR), "A": (7, _MAJOR), "B": (0, _MAJOR), "C": (2, _MAJOR), "D": (9, _MINOR), "E": (2, _MINOR),
    "F": (4, _MAJOR), "G": (5, _MAJOR), "H": (10, _MAJOR), "I": (9, _MAJOR), "K": (10, _MINOR), "L": (0, _MINOR),
    "M": (3, _MAJOR), "N": (8, _MAJOR), "O": (7, _MINOR), "P": (5, _MINOR),
}  # fmt: skip
_LETTER_OF = {chord: letter for letter, chord in _GUITAR.items()}
_NAME = re.compile(r"([A-G])([#b]?)([^/]*)(?:/([A-G])([#b]?))?")


def moved_letter(text: str, letters: Letters, interval: Interval) -> str | None:
    """The letter of the same chord moved; None where it has none, or where the text is no such letter."""
    if letters is Letters.GUITAR:
        chord = _GUITAR.get(text)
        return None if chord is None else _LETTER_OF.get(((chord[0] + interval.semitones) % 12, chord[1]))
    match = _NAME.fullmatch(text)
    if match is None:
        return None
    bass = f"/{_named(match[4], match[5], interval)}" if match[4] else ""
    return f"{_named(match[1], match[2], interval)}{match[3]}{bass}"


def _named(step: str, sign: str, interval: Interval) -> str:
    pitch = interval.of(SpelledPitch(step, {"#": 1, "b": -1, "": 0}[sign], 4))
    if abs(pitch.alter) > 1:
        place = pitch.semitones % 12
        step = next((step for step, semitone in SEMITONES.items() if semitone == place), "")
        return step or f"{next(s for s, semitone in SEMITONES.items() if semitone == place - 1)}#"
    return f"{pitch.step}{'#' * pitch.alter}{'b' * -pitch.alter}"
