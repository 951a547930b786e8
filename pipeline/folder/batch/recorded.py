"""What earlier builds have left under a folder, by their records."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from pipeline.folder.cache import RECORD, Record, read_record
from pipeline.folder.cache.record import LARGEST
from pipeline.folder.files import opened


def recorded(out: Path) -> Iterator[tuple[Path, Record]]:
    """Every folder under ``out`` with the record of a build, in order of their names. What cannot be read is
    passed over."""
    for folder, inner, names in os.walk(out):
        inner.sort()
        if RECORD in names and Path(folder) != out:
            record = _record(Path(folder) / RECORD)
            if record is not None:
                yield Path(folder), record


def _record(path: Path) -> Record | None:
    try:
        with opened(path) as stream:
            return read_record(stream.read(LARGEST + 1))
    except OSError:
        return None
