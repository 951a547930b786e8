"""Tallies for the tests of reports."""

from __future__ import annotations

from collections.abc import Callable

from pipeline.findings.tally import Baseline, Key, Taker, Tally
from pipeline.model.diagnostics import Code, Diagnostic, Related, Severity
from pipeline.model.text import SourceText, Span

ERROR = Code("a-slip", Severity.ERROR, "a slip", "Because it is one.", "| 1=7,3:0", "| 1=7,3:2")
WARNING = Code("an-oddity", Severity.WARNING, "an oddity", "It may be right.", "", "")
NOTE = Code("a-question", Severity.NOTE, "a question", "Who knows.", "", "")
FIXED = Code("no-room", Severity.ERROR, "no room", "Out of room.", "", "", fixed=True)

PIECE = "longneck 1\ntitle Trial\n\n| 1=7,3:0\n| 2=7,3:0 2=8\n| 1=7,3:0\n"


def found(
    code: Code, line: int = 4, start: int = 3, end: int = 5, message: str = "It is wrong.", **more: object
) -> Diagnostic:
    file = str(more.pop("file", "book/01.intav"))
    return Diagnostic(code, Span(file, line, start, end), message, **more)  # type: ignore[arg-type]


def taken(
    *pieces: tuple[str, tuple[Diagnostic, ...]],
    known: dict[Key, int] | None = None,
    text: str = PIECE,
    faults: tuple[str, ...] = (),
    exists: Callable[[str], bool] = lambda name: True,
) -> Tally:
    """The tally of a run over (piece, findings), every file with the same text."""
    taker = Taker(str, None if known is None else Baseline(known))
    for name, findings in pieces:
        files = {name, *(finding.span.file for finding in findings)}
        taker.take(name, findings, {file: SourceText.of(file, text) for file in files}, fault=name in faults)
    return taker.tally(exists)


def one(*findings: Diagnostic, **more: object) -> Tally:
    """The tally of one piece."""
    return taken(("book/01.intav", findings), **more)  # type: ignore[arg-type]


def related(line: int, message: str = "given first here") -> tuple[Related, ...]:
    return (Related(Span("book/heading.intav", line, 1, 4), message),)
