"""One build at a time into a folder."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from pipeline.folder.files.writing import clear_leftovers, write_whole

try:
    import fcntl
except ImportError:  # Windows has no such locks: two builds into one folder are not kept apart there
    fcntl = None  # type: ignore[assignment]


def write_source(path: Path, data: bytes) -> None:
    """Replace a file that a person typed, in one step, and clear what a killed run left beside it. One program at a
    time writes into a folder of sources. Raises OSError; the old text is then untouched."""
    with sole_writer(path.parent, lambda: None):
        clear_leftovers(path.parent)
        write_whole(path, data)


@contextmanager
def sole_writer(folder: Path, waits: Callable[[], None]) -> Iterator[None]:
    """Hold a folder for writing, waiting for another build that holds it; ``waits`` is called once before.

    The lock is on the folder itself, so that no file is left of it, and the system lifts it when a process ends,
    however it ends. Where the file system knows no locks the folder is not held. Raises OSError if the folder
    cannot be made or opened.
    """
    folder.mkdir(parents=True, exist_ok=True)
    if fcntl is None:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        _lock(handle, waits)
        yield
    finally:
        os.close(handle)


def _lock(handle: int, waits: Callable[[], None]) -> None:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        waits()
        fcntl.flock(handle, fcntl.LOCK_EX)
    except OSError:  # a file system without locks
        return
