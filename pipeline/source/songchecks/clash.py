"""A sung note against the same letter, sharpened or flattened, in the tablature: B natural sung where B flat is struck.

An accidental is missing in one of the two, or a figure is one fret off. Struck together such pairs are slips or
misprints; one after the other they are common (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.song import SUNG_AGAINST
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.pitch import FIFTHS, SEMITONES, SpelledPitch
from pipeline.model.song import Song, SungNote
from pipeline.model.sounding import SoundingPiece
from pipeline.source.songchecks.struck import bar_of, letter, struck_classes


def check(piece: SoundingPiece, song: Song) -> Iterator[Diagnostic]:
    """Every note that begins with such a stroke, if its own pitch is not struck too."""
    struck = struck_classes(piece) if song.lines else {}
    for line in song.lines:
        for note in line.notes:
            classes = struck.get(note.onset, frozenset())
            other = _against(note, classes)
            if note.pitch is None or other is None:
                continue
            yield Diagnostic(
                SUNG_AGAINST,
                note.span,
                f"{bar_of(piece, note.bar)}: {line.title or line.name} has {letter(note.pitch, natural=True)} where "
                f"the tablature strikes {letter(other, natural=True)}.",
                "Look at the accidental, and at the fret in the tablature.",
                (),
                piece.bars[note.bar].label,
            )


def _against(note: SungNote, classes: frozenset[int]) -> SpelledPitch | None:
    """The altered form of the note's letter that is struck with it, and is no natural note of another letter."""
    if note.pitch is None or note.tied or note.pitch.semitones % 12 in classes:
        return None
    for alter in (note.pitch.alter - 1, note.pitch.alter + 1):
        other = SpelledPitch(note.pitch.step, alter, note.pitch.octave)
        if abs(alter) < 2 and other.semitones % 12 in classes and _usual(other, classes):
            return other
    return None


def _usual(pitch: SpelledPitch, classes: frozenset[int]) -> bool:
    """Whether the pitch class is spelled so, not with another letter: E flat to G sharp; naturals always."""
    if not pitch.alter:
        return True
    sounding = pitch.semitones % 12
    if sounding in SEMITONES.values():  # E sharp, C flat: another letter's natural
        return False
    third = (sounding + 4) % 12 in classes or (sounding + 3) % 12 in classes or (sounding - 4) % 12 in classes
    return -3 <= FIFTHS[pitch.step] + 7 * pitch.alter <= 8 and third
