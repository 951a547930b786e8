"""What all commands share: their arguments, their refusals, their exit codes, and the running of many pieces."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

# Everything else is imported where it is used: the help must not wait for Rich, let alone for music libraries.
if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pipeline.cli.reports import Reporting
    from pipeline.folder.batch import Done
    from pipeline.folder.files import PieceFile
    from pipeline.model.diagnostics import Diagnostic

CLEAN, ERRORS, USAGE, FAULT = 0, 1, 2, 3
#: By convention 128 and the number of the signal, SIGINT.
STOPPED = 130

#: Not listed among the options: the texts of the commands say what a PATH is.
Paths = Annotated[list[Path], typer.Argument(metavar="PATH", hidden=True, show_default=False)]


def pieces_under(paths: Sequence[Path], *, headings: bool = False) -> tuple[PieceFile, ...]:
    from pipeline.folder.files import HEADING, SUFFIX, NoSuchPieceError, discover  # noqa: PLC0415

    try:
        pieces = discover(paths, headings=headings)
    except NoSuchPieceError as error:
        refuse(str(error))
    if not pieces and all(path.name == HEADING for path in paths):
        refuse(f"{paths[0].as_posix()} is no piece itself: the pieces of its folder inherit it")
    if not pieces:
        refuse(f"no pieces (*{SUFFIX}) in {', '.join(path.as_posix() for path in paths)}")
    return pieces


def folder_for(out: Path) -> None:
    """Refuse a place for the editions that is no folder."""
    if out.exists() and not out.is_dir():
        refuse(f"--out {out.as_posix()} is a file, not a folder")


def waits(out: Path) -> None:
    """Say that another build is writing there."""
    typer.echo(f"longneck: another build is writing into {out.as_posix()}; waiting for its end", err=True)


def clear_gone(folders: Sequence[Path], out: Path) -> None:
    """Clear the editions of pieces that are gone, and say so; the page of all pieces names them no more."""
    if not folders:
        return
    from pipeline.findings.text import printable  # noqa: PLC0415
    from pipeline.folder.batch.clearing import clear  # noqa: PLC0415
    from pipeline.folder.batch.index import renew_index  # noqa: PLC0415
    from pipeline.folder.files import reason, sole_writer  # noqa: PLC0415

    try:
        with sole_writer(out, partial(waits, out)):
            for folder in folders:
                clear([folder], out)
                typer.echo(f"{printable(folder.as_posix())}  cleared")
            renew_index(out)
    except OSError as error:
        refuse(f"{out.as_posix()} cannot be cleared of what is gone: {reason(error)}")


def refuse(message: str) -> NoReturn:
    typer.echo(f"longneck: {message}", err=True)
    raise typer.Exit(USAGE)


def run(done: Iterator[Done], pieces: Sequence[PieceFile], said_first: str, asked: Reporting) -> None:
    """Show the findings of each piece as it is done, a summary at a terminal, write the reports, and end with the
    exit code. Known findings are only counted."""
    from pipeline.cli.reports import report, taker  # noqa: PLC0415
    from pipeline.cli.show import console, show_findings, summary  # noqa: PLC0415
    from pipeline.cli.show.progress import watched  # noqa: PLC0415

    target = console(sys.stdout)
    taking, names = taker(asked, pieces)
    new: list[Diagnostic] = []
    known = 0
    faults: list[str] = []
    for piece in watched(done, len(pieces), target):
        sources = {source.name: source for source in piece.sources}
        fresh, noted = taking.take(piece.name, piece.diagnostics, sources, fault=bool(piece.fault))
        told = [finding for finding, one in zip(fresh, noted, strict=True) if not one.known]
        known += len(fresh) - len(told)
        new.extend(told)
        if not asked.takes_output:
            show_findings(target, told, sources)
        for warning in piece.warnings:
            typer.echo(f"{piece.name}: the engraver says: {warning}", err=True)
        if piece.fault:
            faults.append(piece.fault)
    if target.is_terminal and not asked.takes_output:
        target.print(f"{said_first}{summary(len(pieces), new, known)}")
    report(asked, taking.tally(names.exists), names)
    for fault in faults:
        typer.echo(fault, err=True)
    failing = [finding for finding in new if finding.code.fixed] if asked.renew else new
    raise typer.Exit(exit_code(failing, faulty=bool(faults)))


def exit_code(found: Sequence[Diagnostic], *, faulty: bool) -> int:
    from pipeline.model.diagnostics import Severity  # noqa: PLC0415

    if faulty:
        return FAULT
    return ERRORS if any(finding.severity is Severity.ERROR for finding in found) else CLEAN
