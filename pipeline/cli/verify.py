"""``longneck verify``."""

from __future__ import annotations

import sys
from collections import Counter
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pipeline.cli.app import app
from pipeline.cli.asked import CLEAN, ERRORS, FAULT, Paths, pieces_under, refuse, waits
from pipeline.cli.crews import MEGABYTES, SECONDS, Cluster, Jobs, MemoryLimit, TimeLimit, crew
from pipeline.cli.outputs import write_output

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pipeline.batch import Crew
    from pipeline.files import PieceFile
    from pipeline.model.difference import Verified


@app.command(short_help="Say what a new build would change in the editions that are kept.")
def verify(
    paths: Paths,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder in which the editions are kept.")] = Path(
        "out"
    ),
    page: Annotated[Path | None, typer.Option("--page", metavar="FILE.html", help="Also as a page.")] = None,
    json: Annotated[Path | None, typer.Option("--json", metavar="FILE", help="Also as JSON, for scripts.")] = None,
    accept: Annotated[bool, typer.Option("--accept", help="Renew what is not as kept.")] = False,
    jobs: Jobs = 0,
    time_limit: TimeLimit = SECONDS,
    memory_limit: MemoryLimit = MEGABYTES,
    cluster: Cluster = "",
) -> None:
    """Build every PATH again, elsewhere, and say what differs from the editions that are kept under DIR.

    Bar by bar: which notes, lengths, voices, restored octaves and findings changed. Then the files:
    which are missing, which are not made any more, and which have other bytes though the music is the
    same. Each piece is built with the options that build.json keeps beside its edition; without it
    with the usual ones. It is said when versions of the program or its libraries have changed.

    Nothing under DIR is touched, unless --accept renews it. To be told of every change, keep the
    editions in version control, and verify them at each push.

    Exit codes: 0 all as kept (or renewed), 1 not as kept, 2 wrong usage, 3 a fault of the program.

    \b
    Examples:
        longneck verify book/ --out editions
        longneck verify book/ --out editions --page changes.html
        longneck verify book/ --out editions --accept
    """
    pieces = pieces_under(paths)
    if not out.is_dir():
        refuse(f"there is no folder {out.as_posix()}; longneck build makes it")
    with crew(jobs, time_limit, memory_limit, cluster) as there:
        every = _shown(pieces, out, there)
        gone = _gone(out, paths)
        _sum(every, gone)
        _write(every, gone, page, json)
        changed = {one.comparison.one for one in every if not one.same}
        faulty = any(one.fault for one in every)
        if accept and changed:
            faulty = _accept(pieces, changed, out, there)
            changed = set()
    raise typer.Exit(FAULT if faulty else ERRORS if changed or gone else CLEAN)


def _gone(out: Path, paths: Sequence[Path]) -> list[str]:
    """Folders kept of pieces that are no longer there."""
    from pipeline.files import reason  # noqa: PLC0415
    from pipeline.verifying import removed  # noqa: PLC0415

    try:
        return [folder.as_posix() for folder in removed(out, paths)]
    except OSError as error:
        refuse(f"{out.as_posix()} cannot be looked through: {reason(error)}")


def _shown(pieces: Sequence[PieceFile], out: Path, there: Crew) -> list[Verified]:
    """Each piece that is not as kept, as soon as it is known."""
    from pipeline.report import console  # noqa: PLC0415
    from pipeline.report.comparison import verified_lines  # noqa: PLC0415
    from pipeline.report.progress import watched  # noqa: PLC0415
    from pipeline.verifying import verify_all  # noqa: PLC0415

    target = console(sys.stdout)
    every: list[Verified] = []
    for one in watched(verify_all(pieces, out, there), len(pieces), target):
        every.append(one)
        if not one.same:
            for line in verified_lines(one):
                target.print(line, soft_wrap=True)
        if one.fault:
            typer.echo(one.fault, err=True)
    return every


def _sum(every: Sequence[Verified], gone: Sequence[str]) -> None:
    from pipeline.report import console  # noqa: PLC0415
    from pipeline.report.comparison import sum_of_verified  # noqa: PLC0415
    from pipeline.report.findings import printable  # noqa: PLC0415

    target = console(sys.stdout)
    for folder in gone:
        hint = "longneck build --clear-removed clears it away"
        target.print(f"{printable(folder)}  kept of a piece that is gone; {hint}", soft_wrap=True)
    for note, number in Counter(note for one in every for note in one.notes).items():
        target.print(f"{number} piece{'' if number == 1 else 's'}: {note}", soft_wrap=True)
    target.print(sum_of_verified(every, len(gone)), soft_wrap=True)


def _write(every: Sequence[Verified], gone: Sequence[str], page: Path | None, json: Path | None) -> None:
    from pipeline.writers.comparison import verified_page, write_verified  # noqa: PLC0415

    if page is not None:
        write_output(page, verified_page(every, gone))
    if json is not None:
        write_output(json, write_verified(every, gone))


def _accept(pieces: Sequence[PieceFile], changed: set[str], out: Path, there: Crew) -> bool:
    """Renew what is kept of the pieces that changed; True if a piece could not be built or written."""
    from pipeline.report import console, show_findings  # noqa: PLC0415
    from pipeline.verifying import accept as renew  # noqa: PLC0415

    target = console(sys.stdout)
    failed = False
    for done in renew(pieces, out, there, partial(waits, out)):
        refused = [finding for finding in done.diagnostics if finding.code.slug == "cannot-write"]
        show_findings(target, refused, {source.name: source for source in done.sources})
        failed = failed or bool(done.fault or refused)
        if done.name in changed and not (done.fault or refused):
            target.print(f"{done.name}  renewed", soft_wrap=True)
    return failed
