"""A chord letter that the tablature contradicts, where the others fit it.

Letters are names of chords (G, Dm), or those of the guitar, where A is G major. Which of the two a source means is told
by what fits better. The guitar's are from a printed chart of 1606 (MEM, to be verified against a second chart).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from pipeline.findings.codes.song import LETTER_DIFFERS
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.pitch import SEMITONES
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.source.songchecks.struck import struck_classes

#: Letter → root, minor or not (a printed chart of 1606, MEM).
GUITAR = {
    "+": "Em", "A": "G", "B": "C", "C": "D", "D": "Am", "E": "Dm", "F": "E", "G": "F", "H": "Bb", "I": "A", "K": "Bbm",
    "L": "Cm", "M": "Eb", "N": "Ab", "O": "Gm", "P": "Fm",
}  # fmt: skip
_NAME = re.compile(r"([A-G])([#b]?)(m?)")
#: From so many letters on, with so many of them fitting, the others are asked about (this project's own).
FEWEST, SHARE = 4, 0.75


def check(piece: SoundingPiece, song: Song) -> Iterator[Diagnostic]:
    """Every letter with which three or more notes are struck of which at most one belongs to its chord."""
    struck = struck_classes(piece) if song.chords else {}
    over = [(chord, struck[chord.onset]) for chord in song.chords if len(struck.get(chord.onset, ())) >= 3]
    best: list[tuple[int, list[tuple[object, bool]], str]] = []
    for said, kind in ((triad, "as the name of a chord"), (guitar_triad, "as a letter of the guitar")):
        read = [(chord, _fits(said, chord.text, classes)) for chord, classes in over]
        known = [(chord, fits) for chord, fits in read if fits is not None]
        best.append((sum(bool(fits) for _, fits in known), [(chord, bool(fits)) for chord, fits in known], kind))
    count, letters, kind = max(best, key=lambda each: each[0])
    if len(letters) < FEWEST or count < SHARE * len(letters):
        return
    wrong = {id(chord) for chord, fits in letters if not fits}
    for chord, _ in over:
        if id(chord) in wrong:
            yield Diagnostic(
                LETTER_DIFFERS,
                chord.span,
                f"The letter {chord.text}, read {kind}, does not fit what the tablature strikes there.",
                "The other letters do: look at this one, and at the chord.",
            )


def triad(text: str) -> frozenset[int] | None:
    """The pitch classes of a chord by its name; None for what is no such name."""
    match = _NAME.fullmatch(text)
    if match is None:
        return None
    root = SEMITONES[match[1]] + {"": 0, "#": 1, "b": -1}[match[2]]
    return frozenset((root + step) % 12 for step in (0, 3 if match[3] else 4, 7))


def guitar_triad(text: str) -> frozenset[int] | None:
    """The same by a letter of the guitar."""
    return triad(GUITAR[text]) if text in GUITAR else None


def _fits(said: Callable[[str], frozenset[int] | None], text: str, classes: frozenset[int]) -> bool | None:
    chord = said(text)
    return None if chord is None else len(chord & classes) >= 2
