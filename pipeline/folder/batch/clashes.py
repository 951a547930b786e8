"""Pieces whose editions cannot lie where their names put them, because something else does."""

from __future__ import annotations

import tempfile
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from pipeline.findings.codes.files import CANNOT_WRITE
from pipeline.folder.batch.index import INDEX, STAMP
from pipeline.folder.batch.index.dividing import is_page
from pipeline.folder.cache import RECORD
from pipeline.folder.files import PieceFile, may_exist
from pipeline.model.artefacts import is_artefact
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.text import Span


def clashes(
    pieces: Sequence[PieceFile], out: Path, told_apart: Callable[[Path, str, str], bool] | None = None
) -> dict[Path, Diagnostic]:
    """The pieces, by their places, that cannot be built under ``out``, each with the finding that says why.
    ``told_apart`` asks the disk whether two names are two."""
    asked = told_apart or tells_apart
    return {**dict(_in_the_way(pieces, out)), **dict(_alike(pieces, out, asked))}


def _in_the_way(pieces: Sequence[PieceFile], out: Path) -> Iterator[tuple[Path, Diagnostic]]:
    """Pieces in a folder that has the name of a file which another edition needs, or the index."""
    owners = {piece.place.parts: piece for piece in pieces}
    for piece in pieces:
        parts = piece.place.parts
        for depth, part in enumerate(parts):
            owner = owners.get(parts[:depth])
            if not depth and part in (INDEX, STAMP):
                whose = "the page of all pieces"
            elif is_page(part):
                whose = "the index"
            elif owner is not None and (is_artefact(part) or part in (RECORD, STAMP)):
                whose = f"the edition of {owner.name}"
            else:
                continue
            folder = out.joinpath(*parts[: depth + 1]).as_posix()
            yield piece.place, _finding(piece, f"{folder} cannot be a folder: {whose} has a file of that name")
            break


def _alike(
    pieces: Sequence[PieceFile], out: Path, told_apart: Callable[[Path, str, str], bool]
) -> Iterator[tuple[Path, Diagnostic]]:
    """Pieces that would lie in the folder of another, on a disk that does not tell capitals, or two forms of an
    accent, apart."""
    first: dict[tuple[str, ...], PieceFile] = {}
    for piece in pieces:
        other = first.setdefault(tuple(map(_folded, piece.place.parts)), piece)
        if other.place == piece.place:
            continue
        one, two = next(pair for pair in zip(other.place.parts, piece.place.parts, strict=True) if pair[0] != pair[1])
        if not told_apart(out, one, two):
            folder = (out / other.place).as_posix()
            yield piece.place, _finding(piece, f"{folder} is that of {other.name} already, and this disk takes the two "
                                               "names for one")  # fmt: skip


def _folded(name: str) -> str:
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def tells_apart(out: Path, one: str, two: str) -> bool:
    """True if there can be two files of these names in a folder. What cannot be tried is told when it is done."""
    try:
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".longneck-", dir=out) as folder:
            (Path(folder) / one).touch()
            return not may_exist(Path(folder) / two)
    except OSError:
        return True


def _finding(piece: PieceFile, message: str) -> Diagnostic:
    return Diagnostic(
        CANNOT_WRITE,
        Span(piece.name, 1, 1, 1),
        f"The edition cannot be written: {message}.",
        "Give the piece, or the folder that it lies in, another name.",
    )
