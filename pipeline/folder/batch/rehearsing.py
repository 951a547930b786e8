"""Sets for the rehearsal: each piece read, worked on and written by itself, as editions are."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.findings.codes.files import CANNOT_WRITE
from pipeline.folder.batch.clashes import clashes
from pipeline.folder.batch.jobs import Crew, Done, Job, Made, Parcel
from pipeline.folder.batch.reading import Reader, with_files
from pipeline.folder.batch.run import Run
from pipeline.folder.batch.work import safely, texts_of
from pipeline.folder.batch.writing import cannot_write, done_of, stays_inside
from pipeline.folder.files import (
    PieceFile,
    artefacts_in,
    clear_leftovers,
    sole_writer,
    write_artefacts,
    write_changed,
)
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.record import replace
from pipeline.model.text import Span

if TYPE_CHECKING:
    from pipeline.rehearsal import Setting

#: Told, with the name of the piece and how many wait for it, when others have long been done.
Slow = Callable[[str, int], None]
#: The folders and files of a set, beside which no other set can lie.
_PERSONS = ("singer", "keyboard", "player", "bass")
_SHEETS = ("cover.html", "cover.pdf")


def rehearse_all(
    pieces: Sequence[PieceFile],
    out: Path,
    setting: Setting,
    crew: Crew | None = None,
    waits: Callable[[], None] = lambda: None,
    slow: Slow = lambda name, waiting: None,
) -> Iterator[Done]:
    """The set of every piece, in its own folder under ``out``, in order. Arguments as for ``build_all``."""
    ends = _Ends({**clashes(pieces, out), **dict(_in_the_way(pieces, out))})
    jobs = (Job(piece, out / piece.place, out) for piece in pieces)
    with ExitStack() as held:
        with suppress(OSError):  # what cannot be written will be said of each piece
            held.enter_context(sole_writer(out, waits))
            clear_leftovers(out)
        yield from Run(ends.begin, partial(rehearse_parcel, setting=setting), ends.finish, crew, slow).over(jobs)


def rehearse_parcel(parcel: Parcel, setting: Setting) -> Made:
    """Everything of the set, by its path in the set's folder."""
    return safely(parcel, lambda: _rehearse(parcel, setting))


def _rehearse(parcel: Parcel, setting: Setting) -> Made:
    # Imported late: reading and listing files, and refusing them, must not wait for music libraries.
    from pipeline.rehearsal import rehearse_piece  # noqa: PLC0415

    headings, text, found = texts_of(parcel)
    if not all(read.usable for read in (text, *headings)):
        return Made(found)
    files = {file.name: file for file in parcel.files}
    images = {image.name: image for image in parcel.images}
    made = rehearse_piece(text.source, tuple(read.source for read in headings), files, setting, found, images)
    return Made(made.diagnostics, made.artefacts, made.notation_warnings, made.title)


@dataclass(slots=True)
class _Ends:
    """Both ends of the work on a set, on this side of it."""

    clashes: Mapping[Path, Diagnostic]
    _reader: Reader = field(default_factory=Reader)

    def begin(self, job: Job) -> Parcel | Done:
        clash = self.clashes.get(job.piece.place)
        if clash is not None:
            return Done(job.piece.name, (clash,), unbuilt=True)
        return with_files(self._reader.parcel(job.piece), job.piece)

    def finish(self, job: Job, parcel: Parcel, made: Made) -> Done:
        """Write the set. One that could not be made leaves an older one as it is."""
        done = done_of(job, parcel, made)
        if job.folder is None or not made.artefacts:
            return replace(done, unbuilt=True)
        try:
            stays_inside(job)
            return replace(done, written=tuple(_written(job.folder, made.artefacts)))
        except OSError as error:
            found = (*done.diagnostics, cannot_write(done.name, job.folder, error))
            return replace(done, diagnostics=found, unbuilt=True)


def _written(folder: Path, artefacts: Sequence[tuple[str, bytes]]) -> Iterator[Path]:
    """Each person's folder whole, with nothing of an older set left in it, and the cover sheet last. Other files stay.
    Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    clear_leftovers(folder)
    for person in _PERSONS:
        inside = [(name.partition("/")[2], data) for name, data in artefacts if name.startswith(f"{person}/")]
        if inside or artefacts_in(folder / person):
            clear_leftovers(folder / person)
            yield from write_artefacts(folder / person, inside)
    for name, data in artefacts:
        if name in _SHEETS:
            write_changed(folder / name, data)
            yield folder / name


def _in_the_way(pieces: Sequence[PieceFile], out: Path) -> Iterator[tuple[Path, Diagnostic]]:
    """Pieces whose set would lie in the folder of a person of another."""
    owners = {piece.place.parts: piece for piece in pieces}
    for piece in pieces:
        parts = piece.place.parts
        for depth, part in enumerate(parts):
            owner = owners.get(parts[:depth])
            if owner is not None and part in (*_PERSONS, *_SHEETS):
                where = out.joinpath(*parts[: depth + 1]).as_posix()
                message = f"The set cannot be written: {where} belongs to the set of {owner.name}."
                hint = "Give the piece, or the folder that it lies in, another name."
                yield piece.place, Diagnostic(CANNOT_WRITE, Span(piece.name, 1, 1, 1), message, hint)
                break
