"""Many pieces: each read, worked on and written by itself, so that no piece can spoil another.

``Executor`` is the seam for running pieces elsewhere than one after another: a job and its result are plain records
that can be sent to another process, and so can the work itself, a top-level function.
"""

from __future__ import annotations

import gc
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from pipeline.codes.files import CANNOT_WRITE, INTERNAL_FAULT
from pipeline.diagnostics import Diagnostic
from pipeline.files import (
    PieceFile,
    ReadFile,
    headings_above,
    read_file,
    read_voice_file,
    reason,
    write_artefacts,
    write_whole,
)
from pipeline.options import Options
from pipeline.source import SourceText, Span


@dataclass(frozen=True, slots=True)
class Job:
    """One piece to work on, and the folder for its outputs (None: nothing is written)."""

    piece: PieceFile
    folder: Path | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """What became of one piece. ``sources`` are the texts that its findings speak of; ``warnings`` is what the
    engraver said; ``changed`` says that tidying changes the file; ``fault`` is the text of an internal fault, empty
    if there was none."""

    name: str
    diagnostics: tuple[Diagnostic, ...]
    sources: tuple[SourceText, ...] = ()
    written: tuple[Path, ...] = ()
    warnings: tuple[str, ...] = ()
    changed: bool = False
    fault: str = ""


Work = Callable[[Job], Done]
Executor = Callable[[Work, Sequence[Job]], Iterator[Done]]


def in_turn(work: Work, jobs: Sequence[Job]) -> Iterator[Done]:
    """The plain executor: one piece after another, in order."""
    return map(work, jobs)


def check_all(pieces: Sequence[PieceFile], executor: Executor = in_turn) -> Iterator[Done]:
    """The findings on every piece, in order; nothing is written."""
    return executor(check_one, [Job(piece) for piece in pieces])


def build_all(pieces: Sequence[PieceFile], out: Path, options: Options, executor: Executor = in_turn) -> Iterator[Done]:
    """Every piece built into its own folder under ``out``, in order."""
    return executor(partial(build_one, options=options), [Job(piece, out / piece.place) for piece in pieces])


def tidy_all(pieces: Sequence[PieceFile], write: bool, executor: Executor = in_turn) -> Iterator[Done]:
    """Every file in its canonical layout, written in place if ``write`` says so."""
    return executor(partial(tidy_one, write=write), [Job(piece) for piece in pieces])


def check_one(job: Job) -> Done:
    """Check one piece. Never raises: a fault of the program becomes one finding."""
    return _safely(job, lambda: _check(job))


def build_one(job: Job, options: Options) -> Done:
    """Build one piece and write its artefacts. Never raises, as above."""
    return _safely(job, lambda: _build(job, options))


def tidy_one(job: Job, write: bool) -> Done:
    """Bring one file into its canonical layout. Never raises, as above."""
    return _safely(job, lambda: _tidy(job, write))


def _safely(job: Job, work: Callable[[], Done]) -> Done:
    """The promise of a batch: no piece stops the others. The records hold no cycles, so the collector, which would
    walk through them over and over (a third of the time), rests until the piece is done."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        return work()
    except Exception:
        return _broken_down(job)
    finally:
        if collecting:
            gc.enable()


def _check(job: Job) -> Done:
    # Imported late: reading and listing files, and refusing them, must not wait for music libraries.
    from pipeline.facts import check_piece, files_named  # noqa: PLC0415

    source, inherited, found = _read(job.piece)
    sources = (source.source, *(text.source for text in inherited))
    if not all(read.usable for read in (source, *inherited)):
        return Done(job.piece.name, found, sources)
    heads = tuple(text.source for text in inherited)
    files = {name: read_voice_file(job.piece, name) for name in files_named(sources)}
    return Done(job.piece.name, (*found, *check_piece(source.source, heads, files)), sources)


def _build(job: Job, options: Options) -> Done:
    from pipeline.facts import files_named  # noqa: PLC0415  as above
    from pipeline.piece import build_piece  # noqa: PLC0415
    from pipeline.writers.findings import write_findings  # noqa: PLC0415

    source, inherited, found = _read(job.piece)
    sources = (source.source, *(text.source for text in inherited))
    name = job.piece.name
    if not all(read.usable for read in (source, *inherited)):
        return _written(job, Done(name, found, sources), (("findings.json", write_findings(name, found)),))
    files = {named: read_voice_file(job.piece, named) for named in files_named(sources)}
    result = build_piece(source.source, tuple(text.source for text in inherited), options, files)
    artefacts = result.artefacts
    if found:
        every = (*found, *result.diagnostics)
        artefacts = tuple(
            (file, write_findings(name, every) if file == "findings.json" else data) for file, data in artefacts
        )
    done = Done(name, (*found, *result.diagnostics), sources, warnings=result.notation_warnings)
    return _written(job, done, artefacts)


def _tidy(job: Job, write: bool) -> Done:
    from pipeline.stages.parse import parse  # noqa: PLC0415  as above
    from pipeline.writers.encoding import write_encoding  # noqa: PLC0415

    source, inherited, found = _read(job.piece)
    name = job.piece.name
    sources = (source.source, *(text.source for text in inherited))
    if not all(read.usable for read in (source, *inherited)):
        return Done(name, found, sources)
    heads = tuple(text.source for text in inherited)
    text = write_encoding(parse(source.source, heads).value)
    again = write_encoding(parse(SourceText.of(name, text), heads).value)
    if again != text:
        raise AssertionError(f"tidying {name} twice gives two texts; the file is left as it is")
    changed = text.encode() != source.data
    done = Done(name, (), sources, changed=changed)
    if not (changed and write):
        return done
    try:
        write_whole(job.piece.path, text.encode())
    except OSError as error:
        return replace(done, diagnostics=(_cannot_write(name, job.piece.path, error),), changed=False)
    return replace(done, written=(job.piece.path,))


def _read(piece: PieceFile) -> tuple[ReadFile, tuple[ReadFile, ...], tuple[Diagnostic, ...]]:
    source = read_file(piece.path, piece.name)
    inherited = tuple(read_file(heading.path, heading.name) for heading in headings_above(piece))
    found = tuple(finding for read in (*inherited, source) for finding in read.diagnostics)
    return source, inherited, found


def _written(job: Job, done: Done, artefacts: tuple[tuple[str, bytes], ...]) -> Done:
    if job.folder is None:
        return done
    try:
        written = write_artefacts(job.folder, artefacts)
    except OSError as error:
        return replace(done, diagnostics=(*done.diagnostics, _cannot_write(done.name, job.folder, error)))
    return replace(done, written=written)


def _cannot_write(name: str, path: Path, error: OSError) -> Diagnostic:
    return Diagnostic(
        CANNOT_WRITE,
        Span(name, 1, 1, 1),
        f"{path.as_posix()} cannot be written: {reason(error)}.",
        "Look at its permissions and at the room on the disk, or write elsewhere.",
    )


def _broken_down(job: Job) -> Done:
    text = traceback.format_exc()
    last = text.strip().splitlines()[-1]
    finding = Diagnostic(
        INTERNAL_FAULT,
        Span(job.piece.name, 1, 1, 1),
        f"longneck broke down on this piece: {last}",
        "This is a fault of the program. The other pieces have been done.",
    )
    return Done(job.piece.name, (finding,), fault=text)
