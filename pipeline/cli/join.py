"""``longneck join``."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.asked import folder_for, waits
from pipeline.cli.refusing import refuse
from pipeline.cli.reports import BaselineFile, Everything, ReportFiles, WriteBaseline, reporting
from pipeline.cli.running import run_over
from pipeline.folder.batch.joining import BadShareError, join_all, run_of
from pipeline.folder.files import reason


def join(
    folders: Annotated[list[Path], typer.Argument(metavar="DIR", hidden=True, show_default=False)],
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder for the editions; created if missing.")
    ] = Path("out"),
    report: ReportFiles = None,
    baseline: BaselineFile = None,
    write_baseline: WriteBaseline = False,
    everything: Everything = False,
) -> None:
    """Make one run of the shares that longneck build --shard has left in every DIR.

    The editions are carried into the folder --out, unless they lie there already; findings, reports,
    index and exit code are those of one run over all pieces. Every share must be there, once. Nothing
    is built. Run it in the folder in which the shares were built, or in a copy of it: a baseline asks
    which files still exist.

    \b
    Examples:
        longneck join out --out out --report sarif=findings.sarif
        longneck join share1/ share2/ share3/ --out editions
    """
    asked = reporting(report, baseline, write_baseline, everything)
    folder_for(out)
    try:
        found = run_of(folders)
        done = join_all(found, out, partial(waits, out))
        run_over(done, found.pieces, found.names, found.unread, f"Joined into {out.as_posix()}/. ", asked)
    except BadShareError as error:
        refuse(str(error))
    except OSError as error:
        refuse(f"{out.as_posix()} cannot be written: {reason(error)}")
