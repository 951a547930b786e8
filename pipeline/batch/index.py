"""The page of all pieces of a run, written when the last of them is done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from pipeline.batch.jobs import Done
from pipeline.batch.writing import cannot_write
from pipeline.diagnostics import Severity
from pipeline.files import SUFFIX, write_changed
from pipeline.model.proofs import ListedPiece

INDEX = "index.html"
#: Beside every live page: a script that says which build is the newest.
STAMP = "stamp.js"


def with_index(done: Iterator[Done], places: Sequence[Path], out: Path, *, live: bool = False) -> Iterator[Done]:
    """The same, in order, beside the ``places`` of their folders under ``out``; before the last one the page is
    written. If it cannot be, the last piece's findings say so."""
    listed: list[ListedPiece] = []
    for place, one in zip(places, done, strict=True):
        listed.append(listed_piece(place, one))
        yield one if len(listed) < len(places) else _last(one, listed, out, live)


def _last(one: Done, listed: Sequence[ListedPiece], out: Path, live: bool) -> Done:
    try:
        write_index_of(listed, out, live=live)
    except OSError as error:
        return replace(one, diagnostics=(*one.diagnostics, cannot_write(one.name, out / INDEX, error)))
    return one


def listed_piece(place: Path, done: Done) -> ListedPiece:
    """What the page says of a piece whose outputs lie at ``place``, from the page."""
    kinds = [finding.severity for finding in done.diagnostics]
    return ListedPiece(
        f"{place.as_posix()}{SUFFIX}",
        done.title,
        place.as_posix(),
        kinds.count(Severity.ERROR),
        kinds.count(Severity.WARNING),
        kinds.count(Severity.NOTE),
        tuple(path.name for path in done.written),
        bool(done.fault),
    )


def write_index_of(listed: Sequence[ListedPiece], out: Path, *, live: bool = False) -> None:
    """Write the page of these pieces. Raises OSError."""
    # Imported late: a run that makes no pages should not load what writes them.
    from pipeline.writers.proof import write_index  # noqa: PLC0415

    out.mkdir(parents=True, exist_ok=True)
    write_changed(out / INDEX, write_index(listed, live=live))
