"""The pieces of a programme, read in concert order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.diagnostics import Diagnostic
from pipeline.facts import in_order, sounding_piece, weighed
from pipeline.files import PieceFile, decoded, discover, headings_above, read_raw
from pipeline.model.sounding import SoundingPiece
from pipeline.source import SourceText


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
        text = decoded(read_raw(piece))
        headings = tuple(decoded(read_raw(heading)) for heading in headings_above(piece))
        every = (*headings, text)
        found = tuple(finding for read in every for finding in read.diagnostics)
        sources = tuple(read.source for read in every)
        if not all(read.usable for read in every):
            yield ReadPiece(piece.name, None, found, sources)
            continue
        sounding = sounding_piece(text.source, tuple(read.source for read in headings))
        every_finding = in_order((*found, *sounding.diagnostics))
        yield ReadPiece(piece.name, sounding.value, weighed(every_finding, sounding.value.heading, sources), sources)
