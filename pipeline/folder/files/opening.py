"""Opening what is an ordinary file, and nothing else: a named pipe would wait for ever, a device might do something."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import BinaryIO

_KINDS = {
    stat.S_IFDIR: "a folder",
    stat.S_IFIFO: "a named pipe",
    stat.S_IFSOCK: "a socket",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
}
_FLAGS = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


def opened(path: Path) -> BinaryIO:
    """An ordinary file, or what a link leads to, open for reading. Raises OSError, also for what is no file."""
    _ordinary(path.stat().st_mode)
    handle = os.open(path, _FLAGS)
    try:
        _ordinary(os.fstat(handle).st_mode)  # it may have been replaced since
    except BaseException:
        os.close(handle)
        raise
    return os.fdopen(handle, "rb")


def whole_of(path: Path) -> bytes:
    """The bytes of an ordinary file. Raises OSError."""
    with opened(path) as stream:
        return stream.read()


def may_exist(path: Path) -> bool:
    """False only if the system says that nothing has this name: what cannot be looked into may be there."""
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return False
    except OSError as error:
        return error.errno != errno.ENAMETOOLONG
    return True


def exists(path: Path) -> bool:
    """True if something certainly has this name, a link's end included."""
    return _mode(path) != 0


def is_folder(path: Path) -> bool:
    """True if this is certainly a folder, or a link to one."""
    return stat.S_ISDIR(_mode(path))


def is_link(path: Path) -> bool:
    """True if this is certainly a link."""
    try:
        return path.is_symlink()
    except OSError:
        return False


def reason(error: OSError) -> str:
    """What the system says of a file."""
    return error.strerror or type(error).__name__


def _mode(path: Path) -> int:
    try:
        return path.stat().st_mode
    except (OSError, ValueError):
        return 0


def _ordinary(mode: int) -> None:
    if not stat.S_ISREG(mode):
        raise OSError(0, f"It is {_KINDS.get(stat.S_IFMT(mode), 'something else')}, not a file")
