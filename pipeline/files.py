"""Files in and out: finding pieces, reading them, the headings they inherit, writing whole or not at all.

A piece inherits every ``heading.intav`` of its own folder and of the folders above it, up to the root of the
collection: the folder that holds ``.git``, or the top of the file system where there is none. The rule does not ask
which path was typed, so a piece reads the same alone and among others. The outermost heading comes first; the nearer
one wins.
"""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from pipeline.codes.files import BYTE_ORDER_MARK, FILE_TOO_LARGE, FILE_UNREADABLE, NOT_UTF8
from pipeline.diagnostics import Diagnostic
from pipeline.model.song import VoiceFile
from pipeline.source import SourceText, Span

SUFFIX = ".intav"
HEADING = "heading.intav"
ROOT_SIGN = ".git"
#: Bytes; a whole book is far smaller.
LARGEST = 4 * 2**20
#: Bytes of a notation file; an act of an opera stays below.
LARGEST_VOICE = 16 * 2**20
#: Lines with bad bytes that are reported one by one.
MOST_BAD_LINES = 20

_ARTEFACT = re.compile(
    r"(edition|reduction)(\.(musicxml|mei|pdf)|-\d{3,}\.svg)|practice\.mid|events\.xml|findings\.json"
)
_BOM = "\ufeff"


@dataclass(frozen=True, slots=True)
class PieceFile:
    """One file to work on. ``name`` is its path as shown; ``place`` the same without suffix, for its outputs:
    relative to the current folder, or, outside of it, to the path that was typed."""

    path: Path
    name: str
    place: Path


@dataclass(frozen=True, slots=True)
class ReadFile:
    """A file as read. Not ``usable``: its text is only good for showing the findings. ``data`` is what the
    file holds byte for byte, for telling whether a new text would change it."""

    source: SourceText
    diagnostics: tuple[Diagnostic, ...] = ()
    usable: bool = True
    data: bytes = b""


class NoSuchPieceError(Exception):
    """A path typed by the user that cannot be meant; the message says why."""


# --- finding -------------------------------------------------------------------------------------------


def discover(paths: Iterable[Path], *, headings: bool = False) -> tuple[PieceFile, ...]:
    """Every piece under the paths, each once, in sorted order of their names; with ``headings`` the folders'
    heading files too. Folders whose names begin with a dot are left alone.

    Raises NoSuchPieceError for a path that does not exist, or a file that is no piece by its name.
    """
    found: dict[Path, PieceFile] = {}
    for path in paths:
        for file in _under(path):
            if headings or file.name != HEADING:
                found.setdefault(file.resolve(), PieceFile(file, file.as_posix(), _place(file, path)))
    return tuple(sorted(found.values(), key=lambda piece: piece.path.parts))


def _under(path: Path) -> Iterator[Path]:
    if path.is_dir():
        for folder, inner, names in os.walk(path):
            inner[:] = sorted(name for name in inner if not name.startswith("."))
            yield from (Path(folder) / name for name in sorted(names) if _is_piece(name))
    elif not path.exists():
        raise NoSuchPieceError(f"there is no {path.as_posix()}")
    elif not _is_piece(path.name):
        raise NoSuchPieceError(f"{path.as_posix()} is no piece: their names end in {SUFFIX}")
    else:
        yield path


def _is_piece(name: str) -> bool:
    return name.endswith(SUFFIX) and not name.startswith(".")


def _place(file: Path, typed: Path) -> Path:
    whole = file.resolve()
    here = Path.cwd().resolve()
    if whole.is_relative_to(here):
        return whole.relative_to(here).with_suffix("")
    return whole.relative_to(typed.resolve().parent).with_suffix("")


def headings_above(piece: PieceFile) -> tuple[PieceFile, ...]:
    """The heading files that a piece inherits, outermost first. A heading file itself inherits those above."""
    found: list[PieceFile] = []
    shown = Path(piece.name).parent
    folder = piece.path.resolve().parent
    while True:
        file = folder / HEADING
        if file.is_file() and file != piece.path.resolve():
            found.append(PieceFile(file, (shown / HEADING).as_posix(), Path(HEADING)))
        if folder.parent == folder or (folder / ROOT_SIGN).exists():
            return tuple(reversed(found))
        folder = folder.parent
        shown = shown.parent if shown.name not in ("", "..") else shown / ".."


# --- reading -------------------------------------------------------------------------------------------


def read_file(path: Path, name: str) -> ReadFile:
    """Read UTF-8 text; whatever is wrong with the file becomes findings. Never raises."""
    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except OSError as error:
        return _refused(name, Diagnostic(FILE_UNREADABLE, Span(name, 1, 1, 1), f"{reason(error)}."))
    if len(data) > LARGEST:
        message = f"The file holds more than {LARGEST // 2**20} MB."
        return _refused(name, Diagnostic(FILE_TOO_LARGE, Span(name, 1, 1, 1), message, "Is it a piece at all?"))
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        message = "The file is UTF-16, not UTF-8."
        return _refused(name, Diagnostic(NOT_UTF8, Span(name, 1, 1, 1), message, "Save it again as UTF-8."))
    try:
        text = data.decode()
    except UnicodeDecodeError:
        return ReadFile(SourceText.of(name, data.decode(errors="replace")), tuple(_bad_bytes(name, data)), False)
    if text.startswith(_BOM):
        message = "The file begins with an invisible byte order mark."
        mark = Diagnostic(BYTE_ORDER_MARK, Span(name, 1, 1, 1), message, "Save it as UTF-8 without it.")
        return ReadFile(SourceText.of(name, text.removeprefix(_BOM)), (mark,), data=data)
    return ReadFile(SourceText.of(name, text), data=data)


def read_voice_file(piece: PieceFile, name: str) -> VoiceFile:
    """A notation file that a piece's heading names, by its path from the piece's folder. It must lie inside the
    collection, and so must what it points to; whatever is wrong with it is told, never raised."""
    folder = piece.path.resolve().parent
    try:
        path = (folder / name).resolve()
        if not path.is_relative_to(_root(folder)):
            return VoiceFile(name, refused="it lies outside the collection")
        if not path.is_file():
            return VoiceFile(name, refused="there is no such file")
        with path.open("rb") as stream:
            data = stream.read(LARGEST_VOICE + 1)
    except OSError as error:
        return VoiceFile(name, refused=reason(error))
    except ValueError:  # a name that no system can hold
        return VoiceFile(name, refused="there is no such file")
    if len(data) > LARGEST_VOICE:
        return VoiceFile(name, refused=f"it holds more than {LARGEST_VOICE // 2**20} MB")
    return VoiceFile(name, data)


def _root(folder: Path) -> Path:
    """The top of the collection; the piece's own folder where nothing marks one."""
    for above in (folder, *folder.parents):
        if (above / ROOT_SIGN).exists():
            return above
    return folder


def reason(error: OSError) -> str:
    """What the system says of a file."""
    return error.strerror or type(error).__name__


def _refused(name: str, finding: Diagnostic) -> ReadFile:
    return ReadFile(SourceText(name, ()), (finding,), False)


def _bad_bytes(name: str, data: bytes) -> Iterator[Diagnostic]:
    """The first bad byte of each line that has one."""
    bad = 0
    for number, line in enumerate(re.split(rb"\r\n|\r|\n", data), start=1):
        try:
            line.decode()
        except UnicodeDecodeError as error:
            bad += 1
            if bad <= MOST_BAD_LINES:
                column = len(line[: error.start].decode()) + 1
                yield Diagnostic(
                    NOT_UTF8,
                    Span(name, number, column, column + 1),
                    f"The byte 0x{line[error.start]:02X} is not UTF-8.",
                    "Save the file again as UTF-8; in Latin 1 this byte is "
                    f"“{line[error.start : error.start + 1].decode('latin-1')}”.",
                )


# --- writing -------------------------------------------------------------------------------------------


def write_whole(path: Path, data: bytes) -> None:
    """Replace a file in one step: readers see the old content or the new one, never a part.

    Raises OSError; the old content is then untouched.
    """
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(_mode(path))
        Path(temporary).replace(path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def _mode(path: Path) -> int:
    """The permissions of the file that is replaced; those of a new file otherwise."""
    try:
        return path.stat().st_mode & 0o777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def write_artefacts(folder: Path, artefacts: Iterable[tuple[str, bytes]]) -> tuple[Path, ...]:
    """Write all artefacts of a piece into its folder, and take away those of an earlier run that this one did
    not make, so that nothing in the folder is older than its findings. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, data in artefacts:
        write_whole(folder / name, data)
        written.append(folder / name)
    for old in folder.iterdir():
        if _ARTEFACT.fullmatch(old.name) and old not in written:
            old.unlink()
    return tuple(written)
