"""Reading: bytes first, so that they can be compared and sent elsewhere; then the text in them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pipeline.findings.codes.files import (
    BYTE_ORDER_MARK,
    FILE_TOO_LARGE,
    FILE_UNREADABLE,
    FOLDER_UNREADABLE,
    NOT_UTF8,
)
from pipeline.folder.files.finding import SUFFIX, PieceFile, Unread, collection_of, headings_above
from pipeline.folder.files.opening import is_folder, may_exist, opened, reason
from pipeline.model.artefacts import MARKS
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.facsimile import ImageFile
from pipeline.model.limits import FILE_BYTES, VOICE_FILE_BYTES
from pipeline.model.text import SourceText, Span
from pipeline.model.voicefile import VoiceFile

#: Lines with bad bytes that are reported one by one.
MOST_BAD_LINES = 20

_BOM = "\ufeff"


@dataclass(frozen=True, slots=True)
class RawFile:
    """The bytes of a file, or why they cannot be had. ``name`` is what findings call it."""

    name: str
    data: bytes = b""
    refused: str = ""


@dataclass(frozen=True, slots=True)
class ReadFile:
    """A file as read. Not ``usable``: its text is only good for showing the findings. ``data`` is what the
    file holds byte for byte, for telling whether a new text would change it."""

    source: SourceText
    diagnostics: tuple[Diagnostic, ...] = ()
    usable: bool = True
    data: bytes = b""


@dataclass(frozen=True, slots=True)
class Texts:
    """A piece and the headings that it inherits, outermost first, as read."""

    text: ReadFile
    headings: tuple[ReadFile, ...]

    @property
    def usable(self) -> bool:
        """Whether all of them can be read."""
        return all(read.usable for read in (*self.headings, self.text))

    @property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        return tuple(finding for read in (*self.headings, self.text) for finding in read.diagnostics)

    @property
    def inherited(self) -> tuple[SourceText, ...]:
        return tuple(heading.source for heading in self.headings)

    @property
    def sources(self) -> tuple[SourceText, ...]:
        """The piece first, then its headings, outermost first."""
        return (self.text.source, *self.inherited)


def read_texts(piece: PieceFile) -> Texts:
    """A piece with the headings that it inherits. Never raises."""
    return Texts(decoded(read_raw(piece)), tuple(decoded(read_raw(above)) for above in headings_above(piece)))


def read_raw(file: PieceFile) -> RawFile:
    """The bytes of a piece or a heading, one more than are allowed at most. Never raises."""
    if file.strays:
        return RawFile(file.name, refused="It is a link that leads out of the collection")
    try:
        with opened(file.path) as stream:
            return RawFile(file.name, stream.read(FILE_BYTES + 1))
    except OSError as error:
        return RawFile(file.name, refused=reason(error))


def read_file(path: Path, name: str) -> ReadFile:
    """Read UTF-8 text; whatever is wrong with the file becomes findings. Never raises."""
    return decoded(read_raw(PieceFile(path, name, Path(name))))


def decoded(raw: RawFile) -> ReadFile:
    """The text in a file's bytes; whatever is wrong with them becomes findings. Never raises."""
    name, data = raw.name, raw.data
    if raw.refused:
        return _refused(name, Diagnostic(FILE_UNREADABLE, Span(name, 1, 1, 1), f"{raw.refused}."))
    if len(data) > FILE_BYTES:
        message = f"The file holds more than {FILE_BYTES // 2**20} MB."
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
    collection (the piece's own folder where nothing marks one), and so must what it points to; whatever is wrong
    with it is told, never raised."""
    found = _beside(piece, name)
    if isinstance(found, str):
        return VoiceFile(name, refused=found)
    try:
        with opened(found) as stream:
            data = stream.read(VOICE_FILE_BYTES + 1)
    except OSError as error:
        return VoiceFile(name, refused=reason(error))
    if len(data) > VOICE_FILE_BYTES:
        return VoiceFile(name, refused=f"it holds more than {VOICE_FILE_BYTES // 2**20} MB")
    return VoiceFile(name, data)


def read_image(piece: PieceFile, name: str) -> ImageFile:
    """What is known of an image that a piece's heading names, under the same rules as a notation file; only its first
    bytes are read. Never raises."""
    # Imported late: it loads much of the reading, and few pieces name an image.
    from pipeline.source.facsimile.headers import ENOUGH, image_of  # noqa: PLC0415

    found = _beside(piece, name)
    if isinstance(found, str):
        return ImageFile(name, missing=found)
    try:
        with opened(found) as stream:
            return image_of(name, stream.read(ENOUGH), found.stat().st_size)
    except OSError as error:
        return ImageFile(name, missing=reason(error))


def read_image_data(piece: PieceFile, name: str) -> bytes | str:
    """The whole of an image that :func:`read_image` found usable, or why it cannot be read."""
    found = _beside(piece, name)
    if isinstance(found, str):
        return found
    try:
        with opened(found) as stream:
            return stream.read()
    except OSError as error:
        return reason(error)


def read_marks_file(piece: PieceFile) -> VoiceFile | None:
    """The file with the marks of whoever proof-reads a piece, beside it; None where there is none. Never raises."""
    name = f"{piece.path.name.removesuffix(SUFFIX)}{MARKS}"
    if piece.strays or not may_exist(piece.path.with_name(name)):
        return None
    return read_voice_file(piece, name)


def _beside(piece: PieceFile, name: str) -> Path | str:
    """Where a file lies that a heading names, or why it cannot be used."""
    folder = piece.path.resolve().parent
    try:
        path = (folder / name).resolve()
        if not path.is_relative_to(collection_of(folder) or folder):
            return "it lies outside the collection"
        if not may_exist(path) or is_folder(path):
            return "there is no such file"
    except OSError as error:
        return reason(error)
    except (ValueError, RuntimeError):  # a name that no system can hold; links in a circle
        return "there is no such file"
    return path


def unread_finding(folder: Unread) -> Diagnostic:
    """The finding on a folder that could not be looked into."""
    return Diagnostic(
        FOLDER_UNREADABLE,
        Span(folder.name, 1, 1, 1),
        f"The folder cannot be looked into: {folder.reason}. Whatever lies in it was not read.",
        "Look at its permissions, and whether its disk is there; what was built of its pieces earlier is kept.",
    )


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
