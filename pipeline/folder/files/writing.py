"""Writing: a file is replaced in one step, and a piece's artefacts only when all of them lie ready on the disk.

Whatever moment the program or the machine stops at: a reader sees an old file or a new one, never a part of one.
What can be left behind are temporaries, whose names begin with a dot; the next build clears them.
"""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from pipeline.folder.files.opening import whole_of
from pipeline.model.artefacts import is_artefact

#: Bytes of the name of the file that its temporary repeats.
LONGEST = 200
#: Behind that name.
_PART = re.compile(r"(?s)\..+\.part-[a-z0-9_]{8}")


def write_whole(path: Path, data: bytes) -> None:
    """Replace a file in one step: readers see the old content or the new one, never a part.

    Raises OSError; the old content is then untouched.
    """
    write_parts(path, (data,))


def write_parts(path: Path, parts: Iterable[bytes]) -> None:
    """The same, of a file that comes in parts and need never be in memory as a whole."""
    temporary = _laid_ready(path, parts)
    try:
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    _settle(path.parent)


def write_changed(path: Path, data: bytes) -> None:
    """The same, but a file that holds these bytes already is left alone. Raises OSError."""
    if not _holds(path, data):
        write_whole(path, data)


def write_artefacts(folder: Path, artefacts: Iterable[tuple[str, bytes]]) -> tuple[Path, ...]:
    """Write all artefacts of a piece into its folder, and take away those of an earlier run that this one did
    not make, so that nothing in the folder is older than its findings. Files that hold the right bytes already are
    left alone. Raises OSError; if the disk is full, the folder is then as it was."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    ready: list[tuple[Path, Path]] = []
    try:
        for name, data in artefacts:
            written.append(folder / name)
            if not _holds(folder / name, data):
                ready.append((_laid_ready(folder / name, (data,)), folder / name))
        for temporary, path in ready:
            temporary.replace(path)
    except BaseException:
        for temporary, _ in ready:
            temporary.unlink(missing_ok=True)
        raise
    for old in folder.iterdir():
        if is_artefact(old.name) and old not in written:
            old.unlink()
    _settle(folder)
    return tuple(written)


def artefacts_in(folder: Path) -> tuple[Path, ...]:
    """The artefacts that lie in a folder, by name; none if it cannot be read."""
    try:
        return tuple(sorted(path for path in folder.iterdir() if is_artefact(path.name)))
    except OSError:
        return ()


def clear_leftovers(folder: Path) -> None:
    """Take away the temporaries that a killed build left in a folder. Nobody else may be writing there."""
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in [entry.name for entry in entries if _PART.fullmatch(entry.name)]:
            (folder / entry).unlink(missing_ok=True)


def _laid_ready(path: Path, parts: Iterable[bytes]) -> Path:
    """The bytes in a temporary beside the file, safe on the disk. Raises OSError and leaves nothing."""
    handle, name = tempfile.mkstemp(prefix=f".{_short(path.name)}.part-", dir=path.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.writelines(parts)
            stream.flush()
            os.fsync(stream.fileno())
        temporary.chmod(_mode(path))
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    return temporary


def _short(name: str) -> str:
    """A name that leaves room for what a temporary has more, where a name may take 255 bytes."""
    return os.fsencode(name)[:LONGEST].decode(errors="ignore") or "x"


def _holds(path: Path, data: bytes) -> bool:
    """True if the file is an ordinary one with exactly these bytes."""
    try:
        return path.stat(follow_symlinks=False).st_size == len(data) and whole_of(path) == data
    except OSError:
        return False


def _settle(folder: Path) -> None:
    """Make the names in a folder safe on the disk, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _mode(path: Path) -> int:
    """The permissions of the file that is replaced; those of a new file otherwise."""
    try:
        return path.stat().st_mode & 0o777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask
