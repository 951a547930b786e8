"""Which program is at work: a hash of all that can change what it makes."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import MappingProxyType

import pipeline

#: The libraries that the artefacts pass through.
LIBRARIES = ("brotli", "lxml", "music21", "numpy", "reportlab", "verovio")
_NOT_OURS = (".pyc", ".pyo")


@cache
def program_hash() -> str:
    """Hexadecimal SHA-256 of every file of the package and the versions of its libraries, once a process. Any change
    of the program, released or not, makes another hash."""
    digest = hashlib.sha256()
    for library in LIBRARIES:
        digest.update(f"{library} {_version(library)}\n".encode())
    root = Path(pipeline.__file__).parent
    for name in sorted(_files(root)):
        data = (root / name).read_bytes()
        digest.update(f"{name} {len(data)}\n".encode())
        digest.update(data)
    return digest.hexdigest()


@cache
def versions() -> Mapping[str, str]:
    """The versions of the program and of those libraries, looked up once a process."""
    found = {"longneck": pipeline.__version__, **{library: _version(library) for library in LIBRARIES}}
    return MappingProxyType(found)


def _version(library: str) -> str:
    try:
        return version(library)
    except PackageNotFoundError:
        return "not installed"


def _files(root: Path) -> list[str]:
    """Paths under the package, with slashes, without what Python stores there itself."""
    found = []
    for folder, inner, names in os.walk(root):
        inner[:] = [name for name in inner if name != "__pycache__"]
        here = Path(folder).relative_to(root)
        found += [(here / name).as_posix() for name in names if not name.endswith(_NOT_OURS)]
    return found
