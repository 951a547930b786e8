"""Running many pieces: their findings shown, reports written, the exit code."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence

import typer

from pipeline.cli.refusing import CLEAN, ERRORS, FAULT
from pipeline.cli.reports import Reporting, report, taker
from pipeline.cli.saying import say, say_fault
from pipeline.cli.show import console, show_findings, show_lines, summary
from pipeline.cli.show.progress import watched
from pipeline.folder.batch import Done
from pipeline.folder.files import Found, unread_finding
from pipeline.model.diagnostics import Diagnostic, Severity


def run(done: Iterator[Done], found: Found, said_first: str, asked: Reporting) -> None:
    """Show the findings of each piece as it is done, a summary at a terminal, write the reports, and end with the
    exit code. Known findings are only counted; a folder that could not be looked into is an error."""
    target = console(sys.stdout)
    taking, names = taker(asked, found)
    new: list[Diagnostic] = []
    known = 0
    faults: list[str] = []
    for piece in watched(done, len(found.pieces), target):
        sources = {source.name: source for source in piece.sources}
        fresh, noted = taking.take(piece.name, piece.diagnostics, sources, fault=bool(piece.fault))
        told = [finding for finding, one in zip(fresh, noted, strict=True) if not one.known]
        known += len(fresh) - len(told)
        new.extend(told)
        if not asked.takes_output:
            show_findings(target, told, sources)
        for warning in piece.warnings:
            say(f"{piece.name}: the engraver says: {warning}", err=True)
        if piece.fault:
            faults.append(piece.fault)
    for folder in found.unread:
        unread = unread_finding(folder)
        taking.take(folder.name, [unread], {}, is_piece=False)
        new.append(unread)
        if not asked.takes_output:
            show_findings(target, [unread], {})
    if target.is_terminal and not asked.takes_output:
        show_lines(target, [f"{said_first}{summary(len(found.pieces), new, known)}"])
    report(asked, taking.tally(names.exists), names)
    for fault in faults:
        say_fault(fault)
    failing = [finding for finding in new if finding.code.fixed] if asked.renew else new
    raise typer.Exit(exit_code(failing, faulty=bool(faults)))


def exit_code(found: Sequence[Diagnostic], *, faulty: bool) -> int:
    if faulty:
        return FAULT
    return ERRORS if any(finding.severity is Severity.ERROR for finding in found) else CLEAN
