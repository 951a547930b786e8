"""A chord letter that the tablature contradicts, where the others fit it.

Letters are names of chords (G, Dm), or those of the guitar, where A is G major. Which of the two a source means is told
by what fits better.
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.song import LETTER_DIFFERS
from pipeline.model.chordletters import Letters, fits, told_by
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.song import ChordLetter, Song
from pipeline.model.sounding import SoundingPiece
from pipeline.source.songchecks.struck import struck_classes

#: A letter is held against no fewer notes than these.
_CHORD = 3


def what_letters_name(piece: SoundingPiece, song: Song) -> Letters | None:
    """What the chord letters of a song name, by the chords that are struck with them; None where that is not told."""
    return told_by((chord.text, struck) for chord, struck in _over(piece, song))


def check(piece: SoundingPiece, song: Song) -> Iterator[Diagnostic]:
    """Every letter with which three or more notes are struck of which at most one belongs to its chord."""
    letters = what_letters_name(piece, song)
    if letters is None:
        return
    kind = "as the name of a chord" if letters is Letters.NAMES else "as a letter of the guitar"
    for chord, struck in _over(piece, song):
        if fits(chord.text, letters, struck) is False:
            yield Diagnostic(
                LETTER_DIFFERS,
                chord.span,
                f"The letter {chord.text}, read {kind}, does not fit what the tablature strikes there.",
                "The other letters do: look at this one, and at the chord.",
            )


def _over(piece: SoundingPiece, song: Song) -> list[tuple[ChordLetter, frozenset[int]]]:
    """The letters over chords, and the pitch classes of these."""
    struck = struck_classes(piece) if song.chords else {}
    return [(chord, struck[chord.onset]) for chord in song.chords if len(struck.get(chord.onset, ())) >= _CHORD]
