"""Finding pieces, and the headings they inherit.

A piece inherits every ``heading.intav`` of its own folder and of the folders above it, up to the root of the
collection: the folder that holds ``.git``, or the top of the file system where there is none. The rule does not ask
which path was typed, so a piece reads the same alone and among others. The outermost heading comes first; the nearer
one wins.

What cannot be looked into is never passed over: there may be pieces in it.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from pipeline.folder.files.opening import exists, is_folder, is_link, may_exist, reason

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


@dataclass(frozen=True, slots=True)
class Unread:
    """A folder that could not be looked into: its path, and as shown; ``reason`` is what the system says."""

    path: Path
    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class Found:
    """What lies under some paths: the pieces in sorted order of their places; the folders that could not be looked
    into; and links to folders elsewhere, as shown, which are not followed."""

    pieces: tuple[PieceFile, ...]
    unread: tuple[Unread, ...] = ()
    links: tuple[str, ...] = ()


class NoSuchPieceError(Exception):
    """A path typed by the user that cannot be meant; the message says why."""


def discover(paths: Iterable[Path], *, headings: bool = False) -> tuple[PieceFile, ...]:
    """Every piece under the paths, as :func:`survey` finds them, for work that needs all of them.

    Raises NoSuchPieceError as it does, and for a folder that cannot be looked into.
    """
    found = survey(paths, headings=headings)
    for one in found.unread:
        raise NoSuchPieceError(f"{one.name} cannot be looked into: {one.reason}")
    return found.pieces


def survey(paths: Iterable[Path], *, headings: bool = False) -> Found:
    """Every piece under the paths, each once; with ``headings`` the folders' heading files too. Folders whose names
    begin with a dot are left alone, and links to folders are not followed.

    Raises NoSuchPieceError for a path that does not exist, or a file that is no piece by its name.
    """
    typed = tuple(paths)
    looked = _Look()
    found: dict[Path, PieceFile] = {}
    for path in typed:
        for file in looked.under(path):
            whole = _whole(file)
            if headings or file.name != HEADING:
                known = found.setdefault(whole, _piece(file, path))
                if is_link(known.path) and not is_link(file):  # the file itself goes before a link to it
                    found[whole] = _piece(file, path)
    pieces = sorted(found.values(), key=lambda piece: (piece.place.parts, piece.path.parts))
    unread = {one.path: one for one in looked.unread}
    return Found(tuple(pieces), tuple(unread[path] for path in sorted(unread)), tuple(_elsewhere(looked.links, typed)))


@dataclass(slots=True)
class _Look:
    """A look under paths, and what it did not see."""

    unread: list[Unread] = field(default_factory=list)
    links: list[Path] = field(default_factory=list)

    def under(self, path: Path) -> Iterator[Path]:
        """The files under a path that are pieces by their names. Raises NoSuchPieceError."""
        if is_folder(path):
            yield from self._within(path)
        elif not may_exist(path):
            raise NoSuchPieceError(f"there is no {path.as_posix()}")
        elif is_link(path) and not exists(path):
            raise NoSuchPieceError(f"{path.as_posix()} is a broken link")
        elif _is_piece(path.name):
            yield path
        elif exists(path):
            raise NoSuchPieceError(f"{path.as_posix()} is not a piece: names of pieces end in {SUFFIX}")
        else:
            self._pass(path, _refusal(path))

    def _within(self, top: Path) -> Iterator[Path]:
        waiting = [top]
        while waiting:
            folder = waiting.pop()
            try:
                with os.scandir(folder) as entries:
                    inside = sorted(entries, key=lambda entry: entry.name)
            except OSError as error:
                self._pass(folder, reason(error))
                continue
            files: list[Path] = []
            inner: list[Path] = []
            for entry in inside:
                if not entry.name.startswith("."):
                    (inner if self._is_folder(folder, entry) else files).append(folder / entry.name)
            yield from (file for file in files if _is_piece(file.name))
            waiting.extend(reversed(inner))

    def _is_folder(self, folder: Path, entry: os.DirEntry[str]) -> bool:
        """True for a folder that is no link."""
        try:
            if entry.is_dir(follow_symlinks=False):
                return True
        except OSError as error:
            self._pass(folder / entry.name, reason(error))
            return False
        if entry.is_symlink() and not _is_piece(entry.name) and is_folder(folder / entry.name):
            self.links.append(folder / entry.name)
        return False

    def _pass(self, path: Path, why: str) -> None:
        self.unread.append(Unread(path, path.as_posix(), why))


def _refusal(path: Path) -> str:
    """Why the system does not say what a path is."""
    try:
        path.stat()
    except OSError as error:
        return reason(error)
    return "it has just changed"


def _elsewhere(links: Iterable[Path], typed: Sequence[Path]) -> Iterator[str]:
    """The links to folders that are not under the typed paths anyway."""
    folders = tuple(_whole(path) for path in typed)
    for link in links:
        whole = _whole(link)
        if not any(whole.is_relative_to(folder) for folder in folders):
            yield link.as_posix()


def _is_piece(name: str) -> bool:
    return name.endswith(SUFFIX) and not name.startswith(".")


def _piece(file: Path, typed: Path) -> PieceFile:
    """A file as found. A link is what it points to, as long as that lies in the same collection."""
    if is_link(file) and file != typed and strays(file, typed):
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
    top = collection_of(whole if is_folder(whole) else whole.parent)
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
        if file != whole and may_exist(file):  # one that cannot be read is told when it is
            out = is_link(file) and strays(file)
            found.append(PieceFile(file, (shown / HEADING).as_posix(), Path(HEADING), strays=out))
        if folder.parent == folder or exists(folder / ROOT_SIGN):
            return tuple(reversed(found))
        folder = folder.parent
        shown = shown.parent if shown.name not in ("", "..") else shown / ".."


def collection_of(folder: Path) -> Path | None:
    """The top of the collection that a folder (resolved) belongs to; None where nothing marks one."""
    for above in (folder, *folder.parents):
        if exists(above / ROOT_SIGN):
            return above
    return None


def collection_name(file: Path, piece: Path) -> str:
    """What a file is called in the artefacts of a piece: its path from the top of the collection, or, where nothing
    marks one, from the folder of the piece. It does not depend on the current folder or on the path typed."""
    folder = _whole(piece).parent
    inside = file.parent.resolve() / file.name
    return Path(os.path.relpath(inside, collection_of(folder) or folder)).as_posix()
