"""A folder that is a book: its heading and texts read, its pieces built, the volume and the site written."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from pipeline.findings.codes.book import BOOK_FILE, BOOK_PART
from pipeline.folder.batch import Done
from pipeline.folder.batch.writing import cannot_write
from pipeline.folder.files import (
    HEADING,
    PieceFile,
    RawFile,
    decoded,
    exists,
    headings_above,
    read_raw,
    read_voice_file,
    whole_of,
    write_changed,
)
from pipeline.model.book import Book, BookFile
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.heading import Heading
from pipeline.model.options import Options
from pipeline.model.record import replace
from pipeline.model.text import SourceText

if TYPE_CHECKING:
    from pipeline.desk.volume.record import Leaf, Missing, Prose

#: What the last run wrote besides the editions, so that this one can take away what nothing leads to any more.
RECORD = "volume.json"
BOOK = "volume.pdf"
_FORM = 1


class NotABookError(Exception):
    """A folder that no heading declares to be a book; the message says so."""


@dataclass(frozen=True, slots=True)
class BookFolder:
    """A book as read: what its heading declares, its texts, what was found in them, and the texts that this speaks
    of."""

    book: Book
    heading: Heading
    introduction: Prose | None
    method: Prose | None
    diagnostics: tuple[Diagnostic, ...]
    sources: tuple[SourceText, ...]


def in_book(pieces: Sequence[PieceFile], folder: Path) -> tuple[PieceFile, ...]:
    """The pieces with their places counted from the folder of the book, in the order of these."""
    whole = folder.resolve()
    placed = [
        replace(piece, place=(piece.path.parent.resolve() / piece.path.name).relative_to(whole).with_suffix(""))
        for piece in pieces
    ]
    return tuple(sorted(placed, key=lambda piece: piece.place.parts))


def read_book(folder: Path, pieces: Sequence[PieceFile]) -> BookFolder:
    """The book that a folder is. ``pieces`` as of :func:`in_book`. Raises NotABookError."""
    # Imported late: refusing a folder must not wait for the reading.
    from pipeline.source.declare import declare  # noqa: PLC0415
    from pipeline.source.parse import parse  # noqa: PLC0415

    file = PieceFile(folder / HEADING, (folder / HEADING).as_posix(), Path(HEADING))
    if not exists(file.path):
        raise NotABookError(f"{folder.as_posix()} is no book: it has no {HEADING}")
    headings = [decoded(read_raw(one)) for one in (*headings_above(file), file)]
    sources = tuple(one.source for one in headings)
    heading = declare(parse(SourceText(file.name, ("longneck 1",)), sources).value).value
    book = heading.book
    if book is None or book.span.file != file.name:
        raise NotABookError(f"{folder.as_posix()} is no book: its {HEADING} has no line such as “book Trial book”")
    texts = _Texts(file)
    introduction = texts.prose(book.introduction, "Introduction")
    method = texts.prose(book.method, "Editorial method")
    found = (*texts.found, *_empty_parts(book, pieces))
    return BookFolder(book, heading, introduction, method, found, (*sources, *texts.sources))


class _Texts:
    """The texts that a heading names, as they are read."""

    def __init__(self, heading: PieceFile) -> None:
        self._heading = heading
        self.found: list[Diagnostic] = []
        self.sources: list[SourceText] = []

    def prose(self, named: BookFile | None, title: str) -> Prose | None:
        """The text, under the title that it gives itself, or else this one."""
        if named is None:
            return None
        from pipeline.desk.volume.prose import read_prose  # noqa: PLC0415  as above

        file = read_voice_file(self._heading, named.file)
        shown = (PurePosixPath(self._heading.name).parent / named.file).as_posix()
        if file.refused:
            message = f"{named.file} cannot be read: {file.refused}."
            hint = "The path counts from the folder of the heading, with / between folders."
            self.found.append(Diagnostic(BOOK_FILE, named.span, message, hint))
            return None
        read = decoded(RawFile(shown, file.data))
        self.sources.append(read.source)
        self.found.extend(read.diagnostics)
        if not read.usable:
            return None
        made = read_prose(read.source, title)
        self.found.extend(made.diagnostics)
        return made.value


def _empty_parts(book: Book, pieces: Sequence[PieceFile]) -> Iterator[Diagnostic]:
    folders = {above.as_posix() for piece in pieces for above in piece.place.parents}
    for part in book.parts:
        if part.folder.strip("/") not in folders:
            message = f"There is no piece in the folder {part.folder}."
            yield Diagnostic(BOOK_PART, part.span, message, "The path counts from the folder of the heading.")


def with_volume(
    done: Iterator[Done],
    pieces: Sequence[PieceFile],
    read: BookFolder,
    leaves: Mapping[str, Leaf | None],
    out: Path,
    options: Options,
    said: Callable[[str], None] = lambda _: None,
) -> Iterator[Done]:
    """The same, in order; before the last of the ``pieces`` is told, volume and site are written from their
    ``leaves`` (by name). What was found in the texts of the book is told with it, and what cannot be written."""
    built: list[Done] = []
    for one in done:
        built.append(one)
        if len(built) < len(pieces):
            yield one
            continue
        found = list(read.diagnostics)
        try:
            _write(pieces, built, read, leaves, out, options, said)
        except OSError as error:
            found.append(cannot_write((out / BOOK).as_posix(), out / BOOK, error))
        yield replace(one, diagnostics=(*one.diagnostics, *found), sources=(*one.sources, *read.sources))


def _write(
    pieces: Sequence[PieceFile],
    built: Sequence[Done],
    read: BookFolder,
    leaves: Mapping[str, Leaf | None],
    out: Path,
    options: Options,
    said: Callable[[str], None],
) -> None:
    from pipeline.desk.volume.plan import sections_of  # noqa: PLC0415  as above
    from pipeline.desk.volume.record import Volume  # noqa: PLC0415
    from pipeline.desk.volume.writers.book import write_book  # noqa: PLC0415
    from pipeline.desk.volume.writers.site import SitePiece, write_site  # noqa: PLC0415

    ready: list[Leaf] = []
    missing: list[Missing] = []
    files: dict[str, SitePiece] = {}
    for piece, one in zip(pieces, built, strict=True):
        leaf = leaves.get(piece.name)
        why = _missing(piece, one, leaf)
        if leaf is None or why is not None:
            missing.extend([why] if why is not None else [])
            continue
        ready.append(leaf)
        files[leaf.place] = SitePiece(tuple(sorted(path.name for path in one.written)))
    volume = Volume(read.book, read.heading, sections_of(read.book, ready, missing), read.introduction, read.method)
    out.mkdir(parents=True, exist_ok=True)
    written = []
    for name, data in write_site(volume, files):
        written.append(name)
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        write_changed(out / name, data)
    write_changed(out / BOOK, write_book(volume, options.paper, said))
    _clear(out, [*written, BOOK])


def _missing(piece: PieceFile, done: Done, leaf: Leaf | None) -> Missing | None:
    """Why the volume lacks a piece; None if it has it."""
    from pipeline.desk.volume.record import Missing  # noqa: PLC0415  as above

    place = piece.place.as_posix()
    title = done.title or (leaf.title if leaf is not None else "") or piece.place.name
    errors = sum(finding.severity is Severity.ERROR for finding in done.diagnostics)
    if errors:
        return Missing(place, title, f"there {'is 1 error' if errors == 1 else f'are {errors} errors'} in its text")
    if done.unbuilt or leaf is None:
        return Missing(place, title, "it could not be made")
    return None


def _clear(out: Path, written: Sequence[str]) -> None:
    """Take away what an earlier run wrote and this one did not; remember what this one wrote. Raises OSError."""
    before: list[str] = []
    with suppress(OSError, ValueError, KeyError, TypeError):
        kept = json.loads(whole_of(out / RECORD))
        before = [name for name in kept["files"] if isinstance(name, str)] if kept["form"] == _FORM else []
    top = out.resolve()
    for name in set(before) - set(written):
        if (out / name).parent.resolve().is_relative_to(top) and PurePosixPath(name).suffix in (".html", ".svg"):
            (out / name).unlink(missing_ok=True)
    write_changed(out / RECORD, (json.dumps({"form": _FORM, "files": sorted(written)}, indent=1) + "\n").encode())
