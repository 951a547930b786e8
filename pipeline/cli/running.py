"""Running many pieces: their findings shown, reports written, the exit code."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import typer

from pipeline.cli.refusing import CLEAN, ERRORS, FAULT
from pipeline.cli.reports import Reporting, report, taker
from pipeline.cli.saying import say, say_fault
from pipeline.cli.show import Teller, console, show_lines, summary
from pipeline.cli.show.progress import watched
from pipeline.findings.tally import Noted
from pipeline.folder.batch import Done
from pipeline.folder.files import Found, Names, Unread, unread_finding
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.text import SourceText


def run(done: Iterator[Done], found: Found, said_first: str, asked: Reporting) -> None:
    """Tell what became of these pieces, as :func:`run_over`."""
    run_over(done, len(found.pieces), Names.of(found), found.unread, said_first, asked)


def run_over(
    done: Iterator[Done], count: int, names: Names, unread: Sequence[Unread], said_first: str, asked: Reporting
) -> None:
    """Show the findings of each piece as it is done, errors before all others, and a summary; write the reports, and
    end with the exit code. Known findings are only counted; a folder that could not be looked into is an error."""
    target = console(sys.stdout)
    taking = taker(asked, names)
    told = _Told(asked, Teller(target, count, asked.everything))
    faults: list[str] = []
    for piece in watched(done, count, target):
        sources = {source.name: source for source in piece.sources}
        told.take(*taking.take(piece.name, piece.diagnostics, sources, fault=bool(piece.fault)), sources)
        for warning in piece.warnings:
            say(f"{piece.name}: the engraver says: {warning}", err=True)
        if piece.fault:
            faults.append(piece.fault)
    for folder in unread:
        told.take(*taking.take(folder.name, [unread_finding(folder)], {}, is_piece=False), {})
    told.end(f"{said_first}{summary(count, told.counts, told.known)}")
    report(asked, taking.tally(names.exists), names)
    for fault in faults:
        say_fault(fault)
    raise typer.Exit(FAULT if faults else ERRORS if told.counts[Severity.ERROR] else CLEAN)


@dataclass(slots=True)
class _Told:
    """What is told of the findings of a run. ``counts`` are those that count for its end, ``known`` is how many do not:
    the baseline holds them, or is about to."""

    asked: Reporting
    teller: Teller
    counts: Counter[Severity] = field(default_factory=Counter)
    known: int = 0

    def take(self, fresh: Sequence[Diagnostic], noted: Sequence[Noted], sources: Mapping[str, SourceText]) -> None:
        new = [
            finding
            for finding, one in zip(fresh, noted, strict=True)
            if not one.known and (finding.code.fixed or not self.asked.renew)
        ]
        self.known += len(fresh) - len(new)
        self.counts.update(finding.severity for finding in new)
        if not self.asked.takes_output:
            self.teller.take(new, sources)

    def end(self, said: str) -> None:
        """The rest of the findings, and the summary: beside a report that takes standard output, among the errors."""
        if self.asked.takes_output:
            say(said, err=True)
        else:
            self.teller.end()
            show_lines(self.teller.target, [said])


def exit_code(found: Sequence[Diagnostic], *, faulty: bool) -> int:
    if faulty:
        return FAULT
    return ERRORS if any(finding.severity is Severity.ERROR for finding in found) else CLEAN
