"""Finding pieces, and the headings they inherit.

A piece inherits every ``heading.intav`` of its own folder and of the folders above it, up to the root of the
collection: the folder that holds ``.git``, or the top of the file system where there is none. The rule does not ask
which path was typed, so a piece reads the same alone and among others. The outermost heading comes first; the nearer
one wins.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

SUFFIX = ".intav"
HEADING = "heading.intav"
ROOT_SIGN = ".git"


@dataclass(frozen=True, slots=True)
class PieceFile:
    """One file to work on. ``name`` is its path as shown; ``place``, for its outputs, its path without suffix from the
    top of the collection, or, where nothing marks one, from the current folder, or, outside of it, from the folder of
    the path that was typed. ``strays``: it is a link that
    leads out of the collection, and is not followed."""

    path: Path
    name: str
    place: Path
    strays: bool = False


class NoSuchPieceError(Exception):
    """A path typed by the user that cannot be meant; the message says why."""


def discover(paths: Iterable[Path], *, headings: bool = False) -> tuple[PieceFile, ...]:
    """Every piece under the paths, each once, in sorted order of their places; with ``headings`` the folders'
    heading files too. Folders whose names begin with a dot are left alone, and links to folders are not followed.

    Raises NoSuchPieceError for a path that does not exist, or a file that is no piece by its name.
    """
    found: dict[Path, PieceFile] = {}
    for path in paths:
        for file in _under(path):
            whole = _whole(file)
            if headings or file.name != HEADING:
                known = found.setdefault(whole, _piece(file, path))
                if known.path.is_symlink() and not file.is_symlink():  # the file itself goes before a link to it
                    found[whole] = _piece(file, path)
    return tuple(sorted(found.values(), key=lambda piece: (piece.place.parts, piece.path.parts)))


def _under(path: Path) -> Iterator[Path]:
    if path.is_dir():
        for folder, inner, names in os.walk(path):
            inner[:] = sorted(name for name in inner if not name.startswith("."))
            yield from (Path(folder) / name for name in sorted(names) if _is_piece(name))
    elif not path.exists():
        if path.is_symlink():
            raise NoSuchPieceError(f"{path.as_posix()} is a broken link")
        raise NoSuchPieceError(f"there is no {path.as_posix()}")
    elif not _is_piece(path.name):
        raise NoSuchPieceError(f"{path.as_posix()} is not a piece: names of pieces end in {SUFFIX}")
    else:
        yield path


def _is_piece(name: str) -> bool:
    return name.endswith(SUFFIX) and not name.startswith(".")


def _piece(file: Path, typed: Path) -> PieceFile:
    """A file as found. A link is what it points to, as long as that lies in the same collection."""
    if file.is_symlink() and file != typed and strays(file, typed):
        inside = file.parent.resolve() / file.name
        return PieceFile(file, file.as_posix(), _place(inside, typed), strays=True)
    return PieceFile(file, file.as_posix(), _place(_whole(file), typed))


def strays(file: Path, typed: Path | None = None) -> bool:
    """True if a link leads out of the collection that it stands in (where nothing marks one: out of the folder
    that was typed, or its own)."""
    folder = file.parent.resolve()
    root = collection_of(folder) or (typed or file.parent).resolve()
    return not _whole(file).is_relative_to(root)


def _whole(file: Path) -> Path:
    try:
        return file.resolve()
    except (OSError, RuntimeError):  # links in a circle
        return file.absolute()


def tops_of(typed: Path) -> tuple[Path, ...]:
    """The folders (resolved) that the places of the pieces under a typed path can count from."""
    whole = typed.resolve()
    top = collection_of(whole if whole.is_dir() else whole.parent)
    return (top,) if top is not None else (Path.cwd().resolve(), whole.parent)


def _place(whole: Path, typed: Path) -> Path:
    top = collection_of(whole.parent)
    for above in (top,) if top is not None else (Path.cwd().resolve(), typed.resolve().parent, whole.parent):
        if whole.is_relative_to(above):
            return whole.relative_to(above).with_suffix("")
    raise AssertionError("a file lies in its own folder")


def headings_above(piece: PieceFile) -> tuple[PieceFile, ...]:
    """The heading files that a piece inherits, outermost first. A heading file itself inherits those above."""
    found: list[PieceFile] = []
    shown = Path(piece.name).parent
    whole = _whole(piece.path)
    folder = whole.parent
    while True:
        file = folder / HEADING
        if file.is_file() and file != whole:
            out = file.is_symlink() and strays(file)
            found.append(PieceFile(file, (shown / HEADING).as_posix(), Path(HEADING), strays=out))
        if folder.parent == folder or (folder / ROOT_SIGN).exists():
            return tuple(reversed(found))
        folder = folder.parent
        shown = shown.parent if shown.name not in ("", "..") else shown / ".."


def collection_of(folder: Path) -> Path | None:
    """The top of the collection that a folder (resolved) belongs to; None where nothing marks one."""
    for above in (folder, *folder.parents):
        if (above / ROOT_SIGN).exists():
            return above
    return None


def collection_name(file: Path, piece: Path) -> str:
    """What a file is called in the artefacts of a piece: its path from the top of the collection, or, where nothing
    marks one, from the folder of the piece. It does not depend on the current folder or on the path typed."""
    folder = _whole(piece).parent
    inside = file.parent.resolve() / file.name
    return Path(os.path.relpath(inside, collection_of(folder) or folder)).as_posix()
