"""A piece put together from what is typed and what lies in files: an open text goes before the file of its name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from pipeline.folder.batch.jobs import Parcel
from pipeline.folder.batch.reading import file_names, image_names, with_files
from pipeline.folder.files import HEADING, PieceFile, RawFile, collection_name, headings_above, read_raw
from pipeline.model.record import replace

#: What a text is called that has no file yet.
UNTITLED = "untitled.intav"


@dataclass(frozen=True, slots=True)
class Packed:
    """A piece as it is typed now, without the files that it names; ``headings`` are the files of the headings that it
    inherits, outermost first, as the parcel has their texts."""

    parcel: Parcel
    file: PieceFile | None
    headings: tuple[Path, ...]

    def whole(self) -> Parcel:
        """The parcel with the notation files and images that it names, as they lie."""
        return self.parcel if self.file is None else with_files(self.parcel, self.file)

    def named(self) -> Iterator[Path]:
        """Where the files lie, or should lie, that the texts name."""
        if self.file is not None:
            folder = self.file.path.parent
            yield from (folder / name for name in (*file_names(self.parcel), *image_names(self.parcel)))


@dataclass(slots=True)
class OpenTexts:
    """The bytes of the open texts that have a file, by its path."""

    _texts: dict[Path, bytes] = field(default_factory=dict)

    def put(self, path: Path, data: bytes) -> None:
        self._texts[path.resolve()] = data

    def drop(self, path: Path) -> None:
        self._texts.pop(path.resolve(), None)

    def packed(self, path: Path | None, data: bytes) -> Packed:
        """The piece with this text and file, and all that it inherits."""
        if path is None:
            return Packed(Parcel(UNTITLED, RawFile(UNTITLED, data)), None, ())
        file = PieceFile(path, path.as_posix(), path.with_suffix(""))
        above = headings_above(file)
        name = collection_name(path, path)
        heads = tuple(replace(self._raw(one), name=collection_name(one.path, path)) for one in above)
        return Packed(Parcel(name, RawFile(name, data), heads), file, tuple(one.path for one in above))

    def _raw(self, file: PieceFile) -> RawFile:
        known = None if file.strays else self._texts.get(file.path.resolve())
        return RawFile(file.name, known) if known is not None else read_raw(file)


def is_heading(path: Path | None) -> bool:
    """Whether a file is the heading that a folder's pieces inherit."""
    return path is not None and path.name == HEADING
