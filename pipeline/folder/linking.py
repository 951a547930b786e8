"""The ways from a page that a command writes to the proof pages that lie elsewhere."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from urllib.parse import quote

from pipeline.folder.files import PieceFile, exists
from pipeline.model.artefacts import PROOF

_INDEX = "index.html"


def proofs_from(page: Path, out: Path, pieces: Iterable[PieceFile]) -> dict[str, str]:
    """The addresses, as seen from ``page``, of the proof pages of these pieces under ``out``, by the names of the
    pieces; those that are not there are left out."""
    found = ((piece.name, out / piece.place / PROOF) for piece in pieces)
    return {name: _way(page, target) for name, target in found if exists(target)}


def home_from(page: Path, out: Path) -> str:
    """The address of the page of all pieces under ``out``; empty if there is none."""
    return _way(page, out / _INDEX) if exists(out / _INDEX) else ""


def _way(page: Path, target: Path) -> str:
    way = os.path.relpath(target.resolve(), page.parent.resolve())
    return quote(Path(way).as_posix().encode(errors="surrogateescape"))
