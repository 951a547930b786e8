"""From what came of a parcel to files in the piece's folder, and the record that lets a later run keep them."""

from __future__ import annotations

import os
from pathlib import Path

from pipeline.findings.codes.files import CANNOT_WRITE
from pipeline.findings.document import write_findings
from pipeline.folder.batch.jobs import Done, Job, Made, Parcel
from pipeline.folder.batch.reading import Shown, file_hash_key
from pipeline.folder.cache import Recalled, Record, fingerprint, hashes, options_told, versions, write_record
from pipeline.folder.files import (
    artefacts_in,
    may_exist,
    opened,
    read_voice_file,
    reason,
    write_artefacts,
    write_changed,
    write_source,
)
from pipeline.model.artefacts import NOT_BUILT
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.limits import FILE_BYTES
from pipeline.model.options import Options
from pipeline.model.record import replace
from pipeline.model.text import Span


def done_of(job: Job, parcel: Parcel, made: Made) -> Done:
    """What became of a piece, with nothing written."""
    shown = Shown.of(job.piece, parcel)
    sources = shown.sources(parcel.texts) if made.diagnostics else ()
    return Done(
        job.piece.name,
        shown.findings(made.diagnostics),
        sources,
        warnings=made.warnings,
        fault=made.fault,
        title=made.title,
    )


def done_again(job: Job, parcel: Parcel, before: Recalled) -> Done:
    """What became of a piece whose earlier build still stands."""
    folder = job.folder or Path()
    made = Made(before.diagnostics, (), before.record.warnings, before.record.title)
    written = tuple(folder / name for name in before.record.stored)
    return replace(done_of(job, parcel, made), written=written, kept=True)


def written(job: Job, parcel: Parcel, made: Made, inputs: str, options: Options) -> Done:
    """Write what was made, then its record."""
    done = done_of(job, parcel, made)
    if job.folder is None:
        return done
    try:
        stays_inside(job)
        if not made.artefacts:
            return _unbuilt(done, job.folder, write_findings(parcel.name, made.diagnostics))
        artefacts = (*made.artefacts, *((name, read_voice_file(job.piece, typed).data) for name, typed in made.images))
        images = (read_voice_file(job.piece, image.name) for image in parcel.images)
        files = {file.name: fingerprint(file_hash_key(file)) for file in (*parcel.files, *images)}
        how = options_told(options), versions()
        record = Record(parcel.name, inputs, files, hashes(artefacts), made.title, made.warnings, *how)
        stored = set(record.stored)
        paths = write_artefacts(job.folder, [each for each in artefacts if each[0] in stored])
        write_record(job.folder, record)
    except OSError as error:
        found = (*done.diagnostics, cannot_write(done.name, job.folder, error))
        return replace(done, diagnostics=found, written=artefacts_in(job.folder), unbuilt=True)
    return replace(done, written=paths)


def _unbuilt(done: Done, folder: Path, findings: bytes) -> Done:
    """Of a piece that the program broke down on, or that was stopped: an edition that was good stays as it is, and
    beside it why there is no newer one. Its record does not know that file, so the next run tries again. Raises
    OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    write_changed(folder / NOT_BUILT, findings)
    return replace(done, written=artefacts_in(folder), unbuilt=True)


def stays_inside(job: Job) -> None:
    """Raises OSError if a link leads the folder of the outputs somewhere else than it says."""
    if job.folder is not None and job.within is not None:
        inside = job.folder.resolve().is_relative_to(job.within.resolve())
        if not inside:
            raise OSError(0, "a link leads out of the folder")


def write_new(target: Path, data: bytes, *, over: bool) -> bool:
    """Write a text that was made for its reader to change. False, and nothing is written, if one that is not the same
    lies there and is not to be written ``over``. Raises OSError."""
    if may_exist(target):
        with opened(target) as stream:
            before = stream.read(FILE_BYTES + 1)
        if before == data:
            return True
        if not over:
            return False
    write_source(target, data)
    return True


def cannot_write(name: str, path: Path, error: OSError) -> Diagnostic:
    """The finding on an output that the system refuses."""
    said, hint = reason(error), "Check its permissions and the free space on the disk, or write elsewhere."
    if isinstance(error, (IsADirectoryError, NotADirectoryError, FileExistsError)):
        of = Path(os.fsdecode(error.filename2 or error.filename or path)).name
        said = said if of == path.name else f"{said} ({of})"
        hint = (
            "A file lies where a folder is needed, or a folder where a file is. If an earlier build made it, remove it."
        )
    return Diagnostic(CANNOT_WRITE, Span(name, 1, 1, 1), f"{path.as_posix()} cannot be written: {said}.", hint)
