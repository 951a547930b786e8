"""What is asked of the findings of a run: reports for other programs, and a baseline of known ones."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.heard import output_leads_nowhere
from pipeline.cli.outputs import can_be_written, write_output
from pipeline.cli.refusing import refuse
from pipeline.cli.saying import say
from pipeline.findings.machine import WRITERS
from pipeline.findings.tally import BadBaselineError, Baseline, Taker, Tally, read_baseline, renewed, write_baseline
from pipeline.findings.text import counted
from pipeline.folder.files import Names, Spool, reason

STANDARD_OUTPUT = "-"
#: More known findings that occur no more are only counted.
MOST_GONE = 20
#: Names that are looked up once: those that the findings of a piece speak of.
MOST_NAMES = 100

ReportFiles = Annotated[
    list[str] | None,
    typer.Option(
        "--report",
        metavar="FORM=FILE",
        show_default=False,
        help="Also report as json, sarif, junit, github or markdown; FILE - is standard output. Repeatable.",
    ),
]
BaselineFile = Annotated[
    Path | None,
    typer.Option(
        "--baseline", metavar="FILE", help="The findings in FILE are known: they are not shown and do not fail the run."
    ),
]
Everything = Annotated[
    bool, typer.Option("--all", help="Show every warning and note on a folder, however many there are.")
]
WriteBaseline = Annotated[
    bool, typer.Option("--write-baseline", help="Write the findings to the baseline instead of failing.")
]


@dataclass(frozen=True, slots=True)
class Reporting:
    """What a run is asked for. ``reports`` are (form, file) pairs; ``known`` is what the baseline holds, None without
    one; ``renew`` says that it is to be written; ``everything`` that no finding is only counted."""

    reports: tuple[tuple[str, str], ...] = ()
    baseline: Path | None = None
    known: Baseline | None = None
    renew: bool = False
    everything: bool = False

    @property
    def takes_output(self) -> bool:
        """True if a report takes the place of the findings on standard output."""
        return any(file == STANDARD_OUTPUT for _, file in self.reports)


def reporting(reports: Sequence[str] | None, baseline: Path | None, renew: bool, everything: bool) -> Reporting:
    """What the options ask for, the baseline read. Refuses what cannot be done before any work begins."""
    pairs = tuple(_pair(text) for text in reports or ())
    if [file for _, file in pairs].count(STANDARD_OUTPUT) > 1:
        refuse("two reports cannot both go to standard output")
    if any(file == STANDARD_OUTPUT for _, file in pairs) and output_leads_nowhere():
        refuse("standard output is closed; no report can go there")
    can_be_written(*(Path(file) for _, file in pairs if file != STANDARD_OUTPUT), baseline if pairs or renew else None)
    if renew and baseline is None:
        refuse("--write-baseline needs --baseline FILE, the file to write")
    return Reporting(pairs, baseline, _known(baseline, renew) if baseline else None, renew, everything)


def _pair(text: str) -> tuple[str, str]:
    form, sign, file = text.partition("=")
    if form not in WRITERS:
        refuse(f"--report: there is no form called {form or 'nothing'}; the forms are {', '.join(WRITERS)}")
    if not sign or not file:
        refuse(f"--report {form} needs a file: {form}=FILE, or {form}=- for standard output")
    return form, file


def _known(file: Path, renew: bool) -> Baseline:
    try:
        return read_baseline(file.read_bytes())
    except FileNotFoundError:
        if renew:
            return Baseline()
        refuse(f"there is no baseline {file.as_posix()}; --write-baseline makes it")
    except OSError as error:
        refuse(f"the baseline {file.as_posix()} cannot be read: {reason(error)}")
    except BadBaselineError as error:
        refuse(f"the baseline {file.as_posix()} cannot be read: {error}")


def taker(asked: Reporting, names: Names) -> Taker:
    """Who takes the tally of a run in which files are called so."""
    return Taker(lru_cache(MOST_NAMES)(names.name), asked.known, Spool())


def report(asked: Reporting, tally: Tally, names: Names) -> None:
    """Write what is asked for, each file whole or not at all, and say what occurs no more."""
    for form, file in asked.reports:
        _write(file, WRITERS[form](tally))
    if asked.renew and asked.baseline is not None:
        known = renewed(tally, asked.known or Baseline(), names.exists)
        _write(asked.baseline.as_posix(), [write_baseline(known)])
        total = sum(known.counts.values())
        say(f"longneck: {asked.baseline.as_posix()} holds {total} known finding{'' if total == 1 else 's'}", err=True)
    elif asked.baseline is not None:
        _say_gone(tally, asked.baseline)


def _write(file: str, parts: Iterable[bytes]) -> None:
    if file == STANDARD_OUTPUT:
        sys.stdout.flush()
        for part in parts:
            typer.echo(part, nl=False)
    else:
        write_output(Path(file), parts)


def _say_gone(tally: Tally, baseline: Path) -> None:
    if not tally.gone:
        return
    total = counted(len(tally.gone), "known finding")
    occurs = "no longer occurs" if len(tally.gone) == 1 else "no longer occur"
    say(f"longneck: {total} in {baseline.as_posix()} {occurs}; --write-baseline renews it", err=True)
    for key, _ in tally.gone[:MOST_GONE]:
        say(f"    {key.piece}  {key.code}  {key.line}", err=True)
    if len(tally.gone) > MOST_GONE:
        say(f"    and {len(tally.gone) - MOST_GONE} more", err=True)
