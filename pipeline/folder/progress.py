"""How far pieces are proof-read, by the marks beside them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.desk.proof.reading import Progress, bar_texts, marks_found, progress_of
from pipeline.folder.files import PieceFile, read_marks_file, read_texts
from pipeline.model.diagnostics import Diagnostic
from pipeline.source.read import sounding_piece


@dataclass(frozen=True, slots=True)
class PieceProgress:
    """How far a piece is read; None where nobody has begun, or it cannot be told: the findings say why. ``left`` are
    runs of bars that are not read, first and last, each by its number in print, empty for an upbeat."""

    name: str
    progress: Progress | None
    left: tuple[tuple[str, str], ...] = ()
    diagnostics: tuple[Diagnostic, ...] = ()


def progress_all(pieces: Sequence[PieceFile]) -> Iterator[PieceProgress]:
    """Each piece, in order. Never raises for what is wrong with a file."""
    for piece in pieces:
        yield _of(piece)


def _of(piece: PieceFile) -> PieceProgress:
    texts = read_texts(piece)
    if not texts.usable:
        return PieceProgress(piece.name, None, diagnostics=texts.diagnostics)
    found = marks_found(texts.text.source, read_marks_file(piece))
    if found.value is None:
        return PieceProgress(piece.name, None, diagnostics=found.diagnostics)
    progress = progress_of(bar_texts(texts.text.source), found.value)
    lines = frozenset(progress.left)
    labels = []
    if lines:
        bars = sounding_piece(texts.text.source, texts.inherited).value.bars
        labels = [(bar.index, bar.label) for bar in bars if bar.bar.span.line in lines]
    return PieceProgress(piece.name, progress, tuple(_runs(labels)))


def _runs(labels: Sequence[tuple[int, str]]) -> Iterator[tuple[str, str]]:
    first = 0
    for place in range(1, len(labels) + 1):
        if place == len(labels) or labels[place][0] != labels[place - 1][0] + 1:
            yield labels[first][1], labels[place - 1][1]
            first = place
