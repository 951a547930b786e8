"""``longneck verify``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.asked import Paths, clear_gone, pieces_under, waits
from pipeline.cli.crews import MEGABYTES, SECONDS, Cluster, Jobs, MemoryLimit, TimeLimit, crew
from pipeline.cli.outputs import can_be_written, write_output
from pipeline.cli.refusing import CLEAN, ERRORS, FAULT, OTHERWISE, refuse
from pipeline.cli.saying import say_fault
from pipeline.cli.show import console, show_findings, show_lines
from pipeline.cli.show.progress import watched
from pipeline.desk.compare.difference import Verified
from pipeline.desk.compare.listing import sum_of_verified, verified_lines
from pipeline.desk.compare.writers import Ways, verified_page, write_verified
from pipeline.folder.batch import Crew
from pipeline.folder.batch.clearing import removed
from pipeline.folder.files import PieceFile, is_folder, unread_finding
from pipeline.folder.linking import home_from, proofs_from
from pipeline.folder.verifying import accept as renew
from pipeline.folder.verifying import not_renewed, verify_all

#: Names of pieces that are told with a remark on how they were built.
MOST_NAMED = 3


def verify(
    paths: Paths,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder in which the editions are kept.")] = Path(
        "out"
    ),
    page: Annotated[
        Path | None, typer.Option("--page", metavar="FILE.html", help="Also write a page to this file.")
    ] = None,
    json: Annotated[Path | None, typer.Option("--json", metavar="FILE", help="Also write JSON to this file.")] = None,
    accept: Annotated[
        bool, typer.Option("--accept", help="Renew the editions that differ; remove those of removed pieces.")
    ] = False,
    music: Annotated[
        bool, typer.Option("--music", help="Judge by the music alone: other changes of the files do not count.")
    ] = False,
    jobs: Jobs = 0,
    time_limit: TimeLimit = SECONDS,
    memory_limit: MemoryLimit = MEGABYTES,
    cluster: Cluster = None,
) -> None:
    """Build every PATH again, elsewhere, and say what differs from the editions that are kept under DIR.

    Bar by bar: which notes, lengths, voices, restored octaves and findings changed. Then the files:
    which are missing, which are no longer made, and which have different bytes though the music is the
    same. Each piece is built with the options that build.json keeps beside its edition, or with the usual
    ones if there is no build.json. Changed versions of the program or its libraries are reported.

    Nothing under DIR is touched without --accept. With it, editions that changed are built anew and those
    of pieces that no longer exist are removed; the edition of a piece that cannot be built stays as it
    is. With --music, editions that hold the same music by their events.xml count as unchanged, and are
    not renewed. With --page FILE.html the new proof pages of what changed are put into FILE-proofs/
    beside it: the page leads to both. To learn of every change, keep the editions in version control and
    verify them at each push.

    Exit codes: 0 unchanged (or renewed), 1 the music changed, or cannot be compared, 2 wrong usage, 3 a
    fault of the program, 4 files changed, but no music, 130 stopped from the keyboard.

    \b
    Examples:
        longneck verify book/ --out editions
        longneck verify book/ --out editions --page changes.html
        longneck verify book/ --out editions --accept
        longneck verify book/ --out editions --music
    """
    found = pieces_under(paths)
    if not is_folder(out):
        refuse(f"there is no folder {out.as_posix()}; longneck build makes it")
    can_be_written(page, json)
    with crew(jobs, time_limit, memory_limit, cluster) as there:
        again = page.with_name(f"{page.stem}-proofs") if page is not None else None
        every = _shown(found.pieces, out, there, again, music=music)
        show_findings(console(sys.stdout), map(unread_finding, found.unread), {})
        gone = removed(out, paths, found, within=True)
        _sum(every, gone)
        names = [folder.as_posix() for folder in gone]
        if page is not None and again is not None:
            ways = Ways(
                proofs_from(page, out, found.pieces), proofs_from(page, again, found.pieces), home_from(page, out)
            )
            write_output(page, [verified_page(every, names, ways)])
        if json is not None:
            write_output(json, [write_verified(every, names)])
        if accept:
            differing = [one for one in every if not (music and one.same_music)]
            left = ERRORS if _accept(found.pieces, differing, out, there) else CLEAN
            clear_gone(gone, out)
        else:
            left = _left(every, bool(gone), music=music)
    raise typer.Exit(FAULT if any(one.fault for one in every) else ERRORS if found.unread else left)


def _left(every: Sequence[Verified], gone: bool, *, music: bool) -> int:
    """The exit code for what is not as kept."""
    if gone or not all(one.same_music for one in every):
        return ERRORS
    return CLEAN if music or all(one.same for one in every) else OTHERWISE


def _shown(pieces: Sequence[PieceFile], out: Path, there: Crew, again: Path | None, *, music: bool) -> list[Verified]:
    """Each piece that is not as kept, as soon as it is known; with ``music`` only where that is not the same. Its new
    proof page is kept under ``again``."""
    target = console(sys.stdout)
    every: list[Verified] = []
    for one in watched(verify_all(pieces, out, there, again), len(pieces), target):
        every.append(one)
        if not (one.same_music if music else one.same):
            show_lines(target, verified_lines(one))
        if one.fault:
            say_fault(one.fault)
    return every


def _sum(every: Sequence[Verified], gone: Sequence[Path]) -> None:
    target = console(sys.stdout)
    for folder in gone:
        show_lines(target, [f"{folder.as_posix()}  kept for a piece that no longer exists; --accept removes it"])
    noted: dict[str, list[str]] = {}
    for one in every:
        for note in one.notes:
            noted.setdefault(note, []).append(one.comparison.one)
    for note, names in noted.items():
        others = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
        show_lines(target, [f"{', '.join(names[:MOST_NAMED])}{others}: {note}"])
    show_lines(target, [sum_of_verified(every, len(gone))])


def _accept(pieces: Sequence[PieceFile], every: Sequence[Verified], out: Path, there: Crew) -> bool:
    """Renew what is kept of the pieces that changed, or whose record is lost; True if something is left that is not as
    it would be built."""
    target = console(sys.stdout)
    failed = {one.comparison.one for one in every if one.unbuilt}
    for done in renew(pieces, every, out, there, partial(waits, out)):
        why = not_renewed(done)
        if why:
            show_findings(target, why, {source.name: source for source in done.sources})
            failed.add(done.name)
        else:
            show_lines(target, [f"{done.name}  renewed"])
    for name in sorted(failed):
        show_lines(target, [f"{name}  left as it was"])
    return bool(failed)
