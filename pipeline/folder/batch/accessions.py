"""Tablature of other kinds of files taken over, each file into a text of its own."""

from __future__ import annotations

import os
import traceback
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.findings.codes.exchange import CHANGED_BY_HEADING
from pipeline.findings.codes.files import FILE_UNREADABLE
from pipeline.folder.batch.work import broken_down
from pipeline.folder.batch.writing import cannot_write, write_new
from pipeline.folder.files import (
    SUFFIX,
    PieceFile,
    headings_above,
    is_folder,
    is_link,
    may_exist,
    opened,
    read_file,
    reason,
)
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.limits import VOICE_FILE_BYTES
from pipeline.model.record import replace
from pipeline.model.text import SourceText, Span

#: Endings of the files that are looked for in folders.
ENDINGS = (".mei", ".musicxml", ".mxl")


@dataclass(frozen=True, slots=True)
class Accession:
    """What became of one file. ``path`` is where its text lies, None if it was not written; ``occupied`` the file there
    that holds another text; ``sources`` are texts that findings speak of."""

    name: str
    path: Path | None
    diagnostics: tuple[Diagnostic, ...]
    sources: tuple[SourceText, ...] = ()
    bars: int = 0
    occupied: Path | None = None
    fault: str = ""


def files_under(paths: Sequence[Path]) -> tuple[list[tuple[Path, Path]], list[str]]:
    """Every file to be taken over with the place of its text (without suffix), in sorted order; and what cannot be had.
    A path that is a file is taken whatever its ending; links and hidden folders in folders are left alone."""
    found: list[tuple[Path, Path]] = []
    wrong: list[str] = []
    for path in paths:
        if not may_exist(path):
            wrong.append(f"there is no {path.as_posix()}")
        elif not is_folder(path):
            found.append((path, Path(path.name)))
        else:
            for folder, names, files in os.walk(path, onerror=lambda error: wrong.append(str(error))):
                names[:] = sorted(name for name in names if not name.startswith("."))
                for name in sorted(files):
                    file = Path(folder) / name
                    if name.lower().endswith(ENDINGS) and not is_link(file):
                        found.append((file, file.relative_to(path)))
    return found, wrong


def accession_all(files: Sequence[tuple[Path, Path]], out: Path, *, over: bool) -> Iterator[Accession]:
    """Every file taken over into a text under ``out``, in order; two that would share a text have their endings in its
    name. ``over`` allows a text there to be replaced. Whatever is wrong with one file becomes its findings."""
    stems = [place.with_suffix("") for _, place in files]
    for path, place in files:
        alone = stems.count(place.with_suffix("")) == 1
        stem = place.with_suffix("") if alone else place.with_name(place.name.replace(".", "-"))
        target = out / stem.with_name(stem.name + SUFFIX)
        yield safely(path, target, over=over)


def safely(path: Path, target: Path, *, over: bool) -> Accession:
    try:
        return _accession(path, target, over=over)
    except Exception:
        made = broken_down(path.as_posix(), traceback.format_exc())
        return Accession(path.as_posix(), None, made.diagnostics, fault=made.fault)


def _accession(path: Path, target: Path, *, over: bool) -> Accession:
    # Imported late: refusing files must not wait for the reading.
    from pipeline.edition.leading import check_piece  # noqa: PLC0415
    from pipeline.source.declare import declare  # noqa: PLC0415
    from pipeline.source.exchange import take  # noqa: PLC0415
    from pipeline.source.parse import parse  # noqa: PLC0415

    name = path.as_posix()
    try:
        with opened(path) as stream:
            data = stream.read(VOICE_FILE_BYTES + 1)
    except OSError as error:
        finding = Diagnostic(FILE_UNREADABLE, Span(name, 1, 1, 1), f"{reason(error)}.")
        return Accession(name, None, (finding,))
    taken = take(name, data)
    if not taken.text:
        return Accession(name, None, taken.diagnostics)
    text = SourceText.of(target.as_posix(), taken.text)
    above = headings_above(PieceFile(target, target.as_posix(), target))
    headings = tuple(read_file(heading.path, heading.name).source for heading in above)
    alone, below = (declare(parse(text, each).value).value for each in ((), headings))
    bars = len(parse(text).value.bars)
    sources = (text, *headings)
    if (alone.instrument, alone.values, alone.plain_stem, alone.lines, alone.course_1_above, alone.metre) != (
        below.instrument, below.values, below.plain_stem, below.lines, below.course_1_above, below.metre,
    ):  # fmt: skip
        message = f"The headings above {target.as_posix()} would change the tuning, values or lines of this text."
        finding = Diagnostic(CHANGED_BY_HEADING, Span(name, 1, 1, 1), message, "Choose another folder: --out.")
        return Accession(name, None, (*taken.diagnostics, finding))
    found = (*taken.diagnostics, *check_piece(text, headings))
    return _written(Accession(name, target, found, sources, bars), target, taken.text.encode(), over=over)


def _written(done: Accession, target: Path, data: bytes, *, over: bool) -> Accession:
    try:
        written = write_new(target, data, over=over)
    except OSError as error:
        return replace(done, path=None, diagnostics=(*done.diagnostics, cannot_write(done.name, target, error)))
    return done if written else replace(done, path=None, occupied=target)
