"""``longneck progress``."""

from __future__ import annotations

import sys

import typer

from pipeline.cli.asked import Paths, pieces_under
from pipeline.cli.running import exit_code
from pipeline.cli.show import console, show_findings, show_lines
from pipeline.findings.printing import printable
from pipeline.findings.text import INDENT, counted
from pipeline.folder.files import unread_finding
from pipeline.folder.progress import PieceProgress, progress_all

#: Runs of bars that are named; more are only counted.
_MOST = 12


def progress(paths: Paths) -> None:
    """Say how far every PATH, a piece (*.intav) or a folder of pieces, is proof-read.

    The marks are made on the proof page and saved from there as PIECE.read.json, beside the piece. For
    each piece: how many of its bars are read, which are left, and the notes of whoever reads. A bar whose
    typing has changed since is no longer read; white space and comments make no difference.

    \b
    Examples:
        longneck progress book/
    """
    asked = pieces_under(paths)
    target = console(sys.stdout)
    done = []
    for one in progress_all(asked.pieces):
        done.append(one)
        show_findings(target, one.diagnostics, {})
        show_lines(target, _lines(one))
    unread = tuple(map(unread_finding, asked.unread))
    show_findings(target, unread, {})
    if len(done) > 1:
        begun = [one.progress for one in done if one.progress is not None]
        bars = sum(each.bars for each in begun)
        others = len(done) - len(begun)
        said = f"{sum(each.read for each in begun)} of {counted(bars, 'bar')} read in {counted(len(begun), 'piece')}"
        show_lines(target, [f"{said}; {counted(others, 'piece')} not begun." if others else f"{said}."])
    raise typer.Exit(exit_code([*unread, *(each for one in done for each in one.diagnostics)], faulty=False))


def _lines(one: PieceProgress) -> list[str]:
    found = one.progress
    if found is None:
        return [] if one.diagnostics else [f"{printable(one.name)}  not begun"]
    said = [f"{found.read} of {counted(found.bars, 'bar')} read"]
    if one.left and found.read:
        said.append(f"left: {_left(one)}")
    if found.changed:
        said.append(f"{found.changed} changed since {'it was' if found.changed == 1 else 'they were'} read")
    notes = [f"{INDENT}{f'bar {note.bar}' if note.bar else 'upbeat'}: {printable(note.text)}" for note in found.notes]
    return [f"{printable(one.name)}  {'; '.join(said)}", *notes]


def _left(one: PieceProgress) -> str:
    runs = [first if first == last else f"{first}–{last}" for first, last in one.left]
    named = ", ".join(run or "upbeat" for run in runs[:_MOST])
    return f"{named} and {len(runs) - _MOST} more places" if len(runs) > _MOST else named
