"""The page of all pieces whose editions lie under a folder, written when the last piece of a run is done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from pipeline.desk.proof.record import ListedPiece
from pipeline.folder.batch.jobs import Done
from pipeline.folder.batch.recorded import recorded
from pipeline.folder.batch.writing import cannot_write
from pipeline.folder.cache import NotFindingsError, read_findings
from pipeline.folder.files import SUFFIX, artefacts_in, exists, whole_of, write_changed
from pipeline.model.artefacts import FINDINGS, NOT_BUILT
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.record import replace

INDEX = "index.html"
#: Beside every live page: a script that says which build is the newest.
STAMP = "stamp.js"


def with_index(done: Iterator[Done], places: Sequence[Path], out: Path, *, live: bool = False) -> Iterator[Done]:
    """The same, in order, beside the ``places`` of their folders under ``out``; before the last one the page is
    written: of these pieces, and of all others whose editions lie there. If it cannot be, a finding among those of the
    last piece says so."""
    listed: list[ListedPiece] = []
    for place, one in zip(places, done, strict=True):
        listed.append(listed_piece(place, one))
        yield one if len(listed) < len(places) else _last(one, listed, out, live)


def _last(one: Done, listed: Sequence[ListedPiece], out: Path, live: bool) -> Done:
    try:
        write_index_of(_with_others(listed, out), out, live=live)
    except OSError as error:
        page = out / INDEX
        return replace(one, diagnostics=(*one.diagnostics, cannot_write(page.as_posix(), page, error)))
    return one


def renew_index(out: Path) -> None:
    """Write the page anew, if there is one, from what earlier runs left. Raises OSError."""
    if exists(out / INDEX):
        write_index_of(_with_others((), out), out)


def _with_others(listed: Sequence[ListedPiece], out: Path) -> list[ListedPiece]:
    """With the pieces that this run is not about."""
    here = {piece.folder for piece in listed}
    others = (
        _listed_again(folder.relative_to(out), record.title, folder)
        for folder, record in recorded(out)
        if folder.relative_to(out).as_posix() not in here
    )
    return sorted((*listed, *others), key=lambda piece: Path(piece.folder).parts)


def _listed_again(place: Path, title: str, folder: Path) -> ListedPiece:
    """What the page says of a piece that was built by an earlier run."""
    files = artefacts_in(folder)
    unbuilt = folder / NOT_BUILT in files
    try:
        found: tuple[Diagnostic, ...] = read_findings(whole_of(folder / (NOT_BUILT if unbuilt else FINDINGS)))
    except (OSError, NotFindingsError):
        found = ()
    return _listed(place, title, found, files, unbuilt=unbuilt)


def listed_piece(place: Path, done: Done) -> ListedPiece:
    """What the page says of a piece whose outputs lie at ``place``, from the page."""
    return _listed(place, done.title, done.diagnostics, done.written, unbuilt=done.unbuilt)


def _listed(
    place: Path, title: str, found: Iterable[Diagnostic], files: Iterable[Path], *, unbuilt: bool = False
) -> ListedPiece:
    kinds = Counter(finding.severity for finding in found)
    return ListedPiece(
        f"{place.as_posix()}{SUFFIX}",
        title,
        place.as_posix(),
        kinds[Severity.ERROR],
        kinds[Severity.WARNING],
        kinds[Severity.NOTE],
        tuple(path.name for path in files),
        unbuilt,
    )


def write_index_of(listed: Sequence[ListedPiece], out: Path, *, live: bool = False) -> None:
    """Write the page of these pieces. Raises OSError."""
    # Imported late: a run that makes no pages should not load what writes them.
    from pipeline.desk.proof.writers import write_index  # noqa: PLC0415

    out.mkdir(parents=True, exist_ok=True)
    write_changed(out / INDEX, write_index(listed, live=live))
