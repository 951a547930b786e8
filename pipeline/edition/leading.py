"""The reading of voices, lengths and octaves with what it asks the editor, and the findings on a piece up to there."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.edition.lead import NO_SONG, lead, questions
from pipeline.findings.settling import in_order
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.model.voiced import LedPiece
from pipeline.source.read import NO_FILES, NO_IMAGES, Files, Images, Read, read_piece


def led(piece: SoundingPiece, song: Song = NO_SONG) -> Outcome[LedPiece]:
    """Voices, lengths and octaves as read, and what the reading asks the editor; ``song`` is what is typed beside."""
    found = lead(piece, song)
    return Outcome(found, in_order(questions(found)))


@dataclass(frozen=True, slots=True)
class ReadThrough:
    """A piece as it is read, and the reading of its voices, lengths and octaves."""

    read: Read
    led: Outcome[LedPiece]

    def settled(self, *before: Diagnostic) -> tuple[Diagnostic, ...]:
        """Every finding on the piece, in order of place; ``before`` is what was found while its bytes became text."""
        return self.read.settled(*before, *self.led.diagnostics)


def read_through(
    source: SourceText,
    inherited: tuple[SourceText, ...] = (),
    files: Files = NO_FILES,
    images: Images = NO_IMAGES,
) -> ReadThrough:
    """Read a piece as far as findings go. Arguments as for ``read_piece``."""
    read = read_piece(source, inherited, files, images)
    return ReadThrough(read, led(read.sounding, read.song))


def check_piece(
    source: SourceText,
    inherited: tuple[SourceText, ...] = (),
    files: Files = NO_FILES,
    images: Images = NO_IMAGES,
    before: tuple[Diagnostic, ...] = (),
) -> tuple[Diagnostic, ...]:
    """Every finding on a piece, in order of place; nothing is written. Arguments as for ``read_piece``;
    ``before`` is what was found while its bytes became text."""
    return read_through(source, inherited, files, images).settled(*before)
