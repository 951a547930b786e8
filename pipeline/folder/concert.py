"""The pieces of a programme, read in concert order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.findings.settling import settled
from pipeline.folder.files import PieceFile, discover, read_texts
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.source.read import sounding_piece


@dataclass(frozen=True, slots=True)
class ReadPiece:
    """One piece as read; ``piece`` is None if its file, or a heading it inherits, cannot be read at all. ``sources``
    are the texts that the findings speak of."""

    name: str
    piece: SoundingPiece | None
    diagnostics: tuple[Diagnostic, ...]
    sources: tuple[SourceText, ...]


def in_concert_order(paths: Sequence[Path]) -> tuple[PieceFile, ...]:
    """The pieces as typed, a folder standing for its pieces in the order of their paths. A piece typed twice is played
    twice. Raises NoSuchPieceError."""
    return tuple(piece for path in paths for piece in discover([path]))


def read_concert(pieces: Sequence[PieceFile]) -> Iterator[ReadPiece]:
    """Read each piece; whatever is wrong with it becomes findings."""
    for piece in pieces:
        texts = read_texts(piece)
        if not texts.usable:
            yield ReadPiece(piece.name, None, texts.diagnostics, texts.sources)
            continue
        sounding = sounding_piece(texts.text.source, texts.inherited)
        found = (*texts.diagnostics, *sounding.diagnostics)
        told = settled(found, sounding.value.heading, (*texts.inherited, texts.text.source))
        yield ReadPiece(piece.name, sounding.value, told, texts.sources)
