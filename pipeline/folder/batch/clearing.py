"""What earlier builds left of pieces that are gone. Cleared only when asked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from pipeline.folder.batch.index import STAMP
from pipeline.folder.batch.recorded import recorded
from pipeline.folder.cache import RECORD
from pipeline.folder.files import (
    SUFFIX,
    Found,
    artefacts_in,
    clear_leftovers,
    collection_of,
    is_folder,
    may_exist,
    tops_of,
)


def clear(folders: Iterable[Path], out: Path) -> None:
    """Take away the editions in these folders under ``out``, and the folders that this leaves empty. Files that no
    build made stay. Nobody else may be writing under ``out``. Raises OSError."""
    for folder in folders:
        _clear(folder, out)


def removed(out: Path, typed: Sequence[Path], found: Found, *, within: bool = False) -> tuple[Path, ...]:
    """The folders under ``out`` with editions of pieces that no longer exist, in order; nothing is touched.

    ``typed`` are the paths that are built, ``found`` what lies under them. A piece counts as gone if it is
    neither where this build would find it nor, by the name in its record, in the collection; with ``within`` only if
    that would be in one of the folders that were typed. It does not count as gone if it might lie where nobody could
    look.
    """
    there = {piece.place for piece in found.pieces}
    folders = tuple(path.resolve() for path in typed if is_folder(path))
    unread = tuple(one.path.resolve() for one in found.unread)
    return tuple(
        folder
        for folder, homes in _homes(out, typed)
        if folder.relative_to(out) not in there
        and not any(may_exist(home) or any(home.is_relative_to(one) for one in unread) for home in homes)
        and (not within or any(home.is_relative_to(one) for home in homes for one in folders))
    )


def _homes(out: Path, typed: Sequence[Path]) -> Iterator[tuple[Path, list[Path]]]:
    """Each folder with an edition, and where its piece could lie."""
    tops = {top for path in typed for top in tops_of(path)}
    roots = {root for root in map(collection_of, tops) if root is not None}
    for folder, record in recorded(out):
        place = folder.relative_to(out)
        built_here = [top / place.with_name(f"{place.name}{SUFFIX}") for top in tops]
        yield folder, [*built_here, *(root / record.piece for root in roots)]


def _clear(folder: Path, out: Path) -> None:
    clear_leftovers(folder)
    for file in artefacts_in(folder):
        file.unlink()
    (folder / STAMP).unlink(missing_ok=True)
    (folder / RECORD).unlink()
    with suppress(OSError):  # the first one that is not empty
        while folder != out:
            folder.rmdir()
            folder = folder.parent
