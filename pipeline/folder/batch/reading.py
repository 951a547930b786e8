"""From a piece in its folder to a parcel of bytes, and from names in the collection back to names as shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from pipeline.folder.batch.jobs import Parcel
from pipeline.folder.files import (
    PieceFile,
    RawFile,
    collection_name,
    decoded,
    headings_above,
    is_link,
    read_image,
    read_marks_file,
    read_raw,
    read_voice_file,
)
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.record import replace
from pipeline.model.text import SourceText, Span
from pipeline.model.voicefile import VoiceFile


@dataclass(frozen=True, slots=True)
class _Shelf:
    """A folder of pieces: its path within the collection, with a slash, and the headings that its pieces inherit."""

    within: str
    headings: tuple[RawFile, ...]


@dataclass(slots=True)
class Reader:
    """Reads pieces for one run. What belongs to a folder is looked up and read once."""

    _shelves: dict[Path, _Shelf] = field(default_factory=dict)

    def parcel(self, piece: PieceFile) -> Parcel:
        """The piece and its headings, without the files that they name. Names are those of the collection."""
        folder = piece.path.parent
        if is_link(piece.path):  # its headings are those of what it points to
            shelf = _shelf(piece)
        else:
            shelf = self._shelves.get(folder) or self._shelves.setdefault(folder, _shelf(piece))
        name = f"{shelf.within}{piece.path.name}"
        return Parcel(name, replace(read_raw(piece), name=name), shelf.headings, marks=read_marks_file(piece))


def _shelf(piece: PieceFile) -> _Shelf:
    within = collection_name(piece.path, piece.path).removesuffix(piece.path.name)
    headings = (
        replace(read_raw(heading), name=collection_name(heading.path, piece.path)) for heading in headings_above(piece)
    )
    return _Shelf(within, tuple(headings))


def with_files(parcel: Parcel, piece: PieceFile) -> Parcel:
    """The parcel with the notation files that its texts name, and with what is known of the images."""
    images = tuple(read_image(piece, name) for name in image_names(parcel))
    files = tuple(read_voice_file(piece, name) for name in file_names(parcel))
    return replace(parcel, files=files, images=images) if files or images else parcel


def file_names(parcel: Parcel) -> tuple[str, ...]:
    """The notation files that its texts name, as typed."""
    if not any(b"layer" in raw.data for raw in parcel.texts):
        return ()
    # Imported late: it loads much of the reading, and few pieces name a file.
    from pipeline.source.declare import files_named  # noqa: PLC0415

    return tuple(files_named(decoded(raw).source for raw in parcel.texts))


def image_names(parcel: Parcel) -> tuple[str, ...]:
    """The images that its texts name, as typed."""
    if not any(b"facsimile" in raw.data for raw in parcel.texts):
        return ()
    from pipeline.source.facsimile import images_named  # noqa: PLC0415  as above

    return tuple(images_named(decoded(parcel.text).source, [decoded(raw).source for raw in parcel.headings]))


@dataclass(frozen=True, slots=True)
class Shown:
    """Names as the user sees them, instead of those within the collection."""

    names: dict[str, str]

    @classmethod
    def of(cls, piece: PieceFile, parcel: Parcel) -> Shown:
        if parcel.name == piece.name:  # the current folder is the top of the collection
            return cls({})
        shown = {raw.name: heading.name for raw, heading in zip(parcel.headings, headings_above(piece), strict=False)}
        return cls({**shown, parcel.name: piece.name})

    def findings(self, found: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
        """The findings at their places as shown."""
        if not self.names:
            return tuple(found)
        return tuple(self._finding(one) for one in found)

    def sources(self, texts: Iterable[RawFile]) -> tuple[SourceText, ...]:
        """The texts that findings speak of, the piece first."""
        read = [decoded(raw).source for raw in texts]
        return tuple(SourceText(self.names.get(one.name, one.name), one.lines) for one in reversed(read))

    def _finding(self, one: Diagnostic) -> Diagnostic:
        related = tuple(replace(other, span=self._span(other.span)) for other in one.related)
        return replace(one, span=self._span(one.span), related=related)

    def _span(self, span: Span) -> Span:
        name = self.names.get(span.file, span.file)
        return span if name == span.file else replace(span, file=name)


def file_hash_key(file: VoiceFile) -> bytes:
    """The bytes that tell one state of a named file from another."""
    return b"0" + file.data if not file.refused else b"1" + file.refused.encode()
