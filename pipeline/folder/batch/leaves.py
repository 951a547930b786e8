"""The pieces of a book as leaves of its volume, made by whoever does the work, one bad piece stopping no other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING

from pipeline.folder.batch.jobs import Crew, Done, Job, Made, Parcel
from pipeline.folder.batch.reading import Reader, with_files
from pipeline.folder.batch.run import Run, Slow, silent
from pipeline.folder.batch.work import leaf_parcel
from pipeline.folder.batch.writing import done_of
from pipeline.folder.files import PieceFile
from pipeline.model.options import Options
from pipeline.model.record import replace

if TYPE_CHECKING:
    from pipeline.desk.volume.record import Leaf


def leaves_of(
    pieces: Sequence[PieceFile], options: Options, crew: Crew | None = None, slow: Slow = silent
) -> Iterator[tuple[Done, Leaf | None]]:
    """Every piece, in order, with its leaf; None where none came of it. Nothing is written."""
    made_of: dict[str, Leaf | None] = {}
    reader = Reader()

    def begin(job: Job) -> Parcel:
        return with_files(reader.parcel(job.piece), job.piece)

    def finish(job: Job, parcel: Parcel, made: Made) -> Done:
        leaf = made.leaf
        place = job.piece.place.as_posix()
        made_of[job.piece.name] = replace(leaf, place=place) if leaf is not None else None
        return done_of(job, parcel, made)

    run = Run(begin, partial(leaf_parcel, options=options), finish, crew, slow)
    for done in run.over(map(Job, pieces)):
        yield done, made_of.pop(done.name, None)
