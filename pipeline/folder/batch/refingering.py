"""Pieces moved to another key or instrument, each into a text of its own: read and written here, moved by the work."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from pipeline.desk.move.record import There
from pipeline.desk.move.wish import Kept, Wish
from pipeline.folder.batch.jobs import Crew, Done, Job, Made, Parcel
from pipeline.folder.batch.moving import Errand, MadeText, refinger_parcel
from pipeline.folder.batch.reading import Reader, Shown, with_files
from pipeline.folder.batch.run import Run
from pipeline.folder.batch.writing import cannot_write, write_new
from pipeline.folder.files import (
    SUFFIX,
    PieceFile,
    collection_of,
    headings_above,
    read_file,
    read_texts,
    read_voice_file,
)
from pipeline.model.record import replace
from pipeline.model.text import SourceText


@dataclass(frozen=True, slots=True)
class Wanted:
    """What all pieces are moved to, and into which folder. ``keep`` is an earlier moving that the player has changed.
    ``over`` allows a file there to be replaced that holds another text."""

    out: Path
    wish: Wish
    keep: PieceFile | None = None
    over: bool = False


@dataclass(frozen=True, slots=True)
class Refingered(Done):
    """What became of one piece. ``path`` is where its moved text lies, None if it was not written; ``tunings`` are the
    diapasons to be tuned for it, as typed in a heading; ``errors`` counts those that the piece has itself, ``occupied``
    is the file there that holds another text, ``unfit`` says that it suits no voice of the range, ``refused`` why the
    text that was to be kept cannot be."""

    path: Path | None = None
    tunings: tuple[str, ...] = ()
    errors: int = 0
    unfit: bool = False
    refused: str = ""
    occupied: Path | None = None


def refinger_all(pieces: Sequence[PieceFile], wanted: Wanted, crew: Crew | None = None) -> Iterator[Refingered]:
    """Every piece moved, in order. Whatever is wrong with one becomes its findings. ``crew`` does the work; without one
    it is done here."""
    ends = _Ends(wanted)
    work = partial(refinger_parcel, wish=wanted.wish, keep=kept_text(wanted.keep))
    for done in Run(ends.begin, work, ends.finish, crew).over(map(Job, pieces)):
        yield done if isinstance(done, Refingered) else Refingered(done.name, done.diagnostics, fault=done.fault)


def kept_text(keep: PieceFile | None) -> Kept | None:
    """The text whose places are to be kept, as the work wants it."""
    if keep is None:
        return None
    texts = read_texts(keep)
    return Kept(texts.text.source, texts.inherited, texts.usable)


@dataclass(slots=True)
class _Ends:
    """Both ends of a moving, on this side of the work."""

    wanted: Wanted
    _reader: Reader = field(default_factory=Reader)

    def begin(self, job: Job) -> Errand:
        """The piece with what holds where its moved text is to lie."""
        parcel = with_files(self._reader.parcel(job.piece), job.piece)
        target = self._target(job.piece)
        there = _there(job.piece, parcel, target)
        return Errand(
            parcel.name,
            parcel.text,
            parcel.headings,
            parcel.files,
            parcel.images,
            there=there,
            target=target.as_posix(),
        )

    def finish(self, job: Job, parcel: Parcel, made: Made) -> Refingered:
        shown = Shown.of(job.piece, parcel)
        done = Refingered(job.piece.name, shown.findings(made.diagnostics), shown.sources(parcel.texts))
        if not isinstance(made, MadeText) or not isinstance(parcel, Errand):
            return replace(done, fault=made.fault)
        done = replace(done, errors=made.errors, unfit=made.unfit, refused=made.refused)
        if not made.text:
            return done
        target = self._target(job.piece)
        sources = (*done.sources, SourceText.of(parcel.target, made.text), *parcel.there.headings)
        done = replace(done, path=target, sources=sources, tunings=made.tunings)
        return _written(done, target, made.text.encode(), over=self.wanted.over)

    def _target(self, piece: PieceFile) -> Path:
        return self.wanted.out / piece.place.with_name(piece.place.name + SUFFIX)


@dataclass(frozen=True, slots=True)
class _Way:
    """From the path of a file that the source names to the one that leads to it from where the moved text lies. It
    goes along to the work, so it holds nothing but names."""

    folder: str
    target: str
    inside: str | None

    def __call__(self, typed: str) -> str | None:
        if self.folder == self.target:
            return typed
        whole = os.path.normpath(Path(self.folder) / typed)
        if self.inside is None or not Path(whole).is_relative_to(self.inside):
            return None
        return Path(os.path.relpath(whole, self.target)).as_posix()


def _there(piece: PieceFile, parcel: Parcel, target: Path) -> There:
    """What holds where the moved text is to lie."""
    moved = PieceFile(target, target.as_posix(), piece.place)
    above = {
        heading.path.resolve(): raw.name for heading, raw in zip(headings_above(piece), parcel.headings, strict=False)
    }
    here = headings_above(moved)
    shared = frozenset(above[heading.path.resolve()] for heading in here if heading.path.resolve() in above)
    sources = tuple(read_file(heading.path, heading.name).source for heading in here)
    inside = collection_of(target.parent.resolve())
    folder, place = str(piece.path.resolve().parent), str(target.parent.resolve())
    path = _Way(folder, place, None if inside is None else str(inside))
    led_to = {
        found: read_voice_file(piece, file.name) for file in parcel.files if (found := path(file.name)) is not None
    }
    return There(sources, shared, path, led_to)


def _written(done: Refingered, target: Path, data: bytes, *, over: bool) -> Refingered:
    try:
        written = write_new(target, data, over=over)
    except OSError as error:
        return replace(done, path=None, diagnostics=(*done.diagnostics, cannot_write(done.name, target, error)))
    return done if written else replace(done, path=None, diagnostics=(), occupied=target)
