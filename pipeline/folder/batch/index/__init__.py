"""The index: pages of all pieces whose editions lie under a folder, written when the last piece of a run is done.

A run over few pieces of many renews only the pages that they stand on, from what the pages themselves keep; any other
writes all of them, from the records of the editions. Both make the same bytes.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from pipeline.desk.proof.reading import read_progress
from pipeline.desk.proof.record import ListedPiece
from pipeline.folder.batch.index.dividing import PAGE, in_order, pages_of
from pipeline.folder.batch.index.renewing import NoListingError, renewed
from pipeline.folder.batch.index.store import Store
from pipeline.folder.batch.jobs import Done
from pipeline.folder.batch.recorded import recorded
from pipeline.folder.batch.writing import cannot_write
from pipeline.folder.cache import NotFindingsError, read_findings
from pipeline.folder.files import SUFFIX, artefacts_in, exists, whole_of
from pipeline.model.artefacts import FINDINGS, NOT_BUILT, PROGRESS
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.record import replace

INDEX = f"{PAGE}.html"
#: A run over no more than one piece in so many of the index renews only the pages that they stand on.
FEW = 10
#: Beside every live page: a script that says which build is the newest.
STAMP = "stamp.js"


def with_index(
    done: Iterator[Done], places: Iterable[Path], count: int, out: Path, *, live: bool = False
) -> Iterator[Done]:
    """The same, in order, beside the ``places`` of their folders under ``out``, ``count`` of them; before the last one
    the index is written: of these pieces, and of all others whose editions lie there. If it cannot be, a finding among
    those of the last piece says so."""
    store = Store(out, live=live)
    believed = False
    with suppress(OSError):  # it will be said when it is written
        believed = store.begin()
    listed: list[ListedPiece] = []
    for place, one in zip(places, done, strict=True):
        listed.append(listed_piece(place, one))
        yield one if len(listed) < count else _last(one, listed, store, believed)


def unfinished(out: Path) -> None:
    """Say that pieces under ``out`` change and the index does not, until it is written again. Raises OSError."""
    Store(out).begin()


def _last(one: Done, listed: Sequence[ListedPiece], store: Store, believed: bool) -> Done:
    try:
        if not (believed and _renew(listed, store)):
            _write(_with_others(listed, store.out), store)
    except OSError as error:
        page = store.out / INDEX
        return replace(one, diagnostics=(*one.diagnostics, cannot_write(page.as_posix(), page, error)))
    return one


def _renew(listed: Sequence[ListedPiece], store: Store) -> bool:
    """Write the pages that these pieces stand on; False if all must be written. Raises OSError."""
    try:
        if len(listed) * FEW > store.read("", PAGE).counts.pieces:
            return False
        for page in renewed(store.read, "", listed):
            store.write(page)
    except NoListingError:
        return False
    store.clear(all_written=False)
    return True


def _write(listed: Sequence[ListedPiece], store: Store) -> None:
    for page in pages_of("", listed):
        store.write(page)
    store.clear(all_written=True)


def renew_index(out: Path) -> None:
    """Write the page anew, if there is one, from what earlier runs left. Raises OSError."""
    if exists(out / INDEX):
        _write(_with_others((), out), Store(out))


def _with_others(listed: Sequence[ListedPiece], out: Path) -> list[ListedPiece]:
    """With the pieces that this run is not about."""
    here = {piece.folder for piece in listed}
    others = (
        _listed_again(folder.relative_to(out), record.title, folder)
        for folder, record in recorded(out)
        if folder.relative_to(out).as_posix() not in here
    )
    return [one for one in in_order((*listed, *others)) if isinstance(one, ListedPiece)]


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
    paths = tuple(files)
    bars, read = _progress(next((path for path in paths if path.name == PROGRESS), None))
    return ListedPiece(
        f"{place.as_posix()}{SUFFIX}",
        title,
        place.as_posix(),
        kinds[Severity.ERROR],
        kinds[Severity.WARNING],
        kinds[Severity.NOTE],
        tuple(sorted(sys.intern(path.name) for path in paths)),  # the same few names, over and over
        unbuilt,
        bars,
        read,
    )


def _progress(file: Path | None) -> tuple[int, int]:
    """How far a piece is proof-read: its bars, and those that are read."""
    if file is None:
        return 0, 0
    try:
        return read_progress(whole_of(file))
    except OSError:
        return 0, 0


def write_index_of(listed: Sequence[ListedPiece], out: Path, *, live: bool = False) -> None:
    """Write the index of these pieces alone. Raises OSError."""
    out.mkdir(parents=True, exist_ok=True)
    _write([one for one in in_order(listed) if isinstance(one, ListedPiece)], Store(out, live=live))
