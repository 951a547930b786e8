"""What earlier builds left of pieces that are gone. Cleared only when asked for."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path

from pipeline.batch.index import STAMP
from pipeline.cache import RECORD, read_record
from pipeline.files import SUFFIX, clear_leftovers, collection_of, is_artefact


def clear_removed(out: Path, typed: Iterable[Path]) -> tuple[Path, ...]:
    """Take away the editions under ``out`` whose pieces no longer exist, and the folders that this leaves empty;
    returns these places, in order. ``typed`` are the paths that are built. Files that no build made stay.

    A piece counts as gone if it is neither where this build would find it nor, by the name in its record, in the
    collection. Nobody else may be writing under ``out``. Raises OSError.
    """
    gone = removed(out, typed)
    for folder in gone:
        _clear(folder, out)
    return gone


def removed(out: Path, typed: Iterable[Path]) -> tuple[Path, ...]:
    """The folders of such editions; nothing is touched. Raises OSError."""
    here = (Path.cwd().resolve(), *(path.resolve().parent for path in typed))
    roots = tuple(root for root in map(collection_of, here) if root is not None)
    return tuple(
        folder
        for folder, name in _recorded(out)
        if not any((base / folder.relative_to(out)).with_name(f"{folder.name}{SUFFIX}").exists() for base in here)
        and not any((root / name).exists() for root in roots)
    )


def _recorded(out: Path) -> Iterator[tuple[Path, str]]:
    """Folders with the record of a build, and the name of its piece."""
    for folder, inner, names in os.walk(out):
        inner.sort()
        if RECORD in names and Path(folder) != out:
            record = read_record((Path(folder) / RECORD).read_bytes())
            if record is not None:
                yield Path(folder), record.piece


def _clear(folder: Path, out: Path) -> None:
    clear_leftovers(folder)
    for file in list(folder.iterdir()):
        if is_artefact(file.name):
            file.unlink()
    (folder / STAMP).unlink(missing_ok=True)
    (folder / RECORD).unlink()
    with suppress(OSError):  # the first one that is not empty
        while folder != out:
            folder.rmdir()
            folder = folder.parent
