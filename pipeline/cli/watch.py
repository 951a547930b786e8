"""``longneck watch``."""

from __future__ import annotations

import sys
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from pipeline.cli.asked import Paths, folder_for, pieces_under, waits
from pipeline.cli.crews import MEGABYTES, SECONDS, Jobs, MemoryLimit, TimeLimit, crew
from pipeline.cli.refusing import CLEAN
from pipeline.cli.show import console, finding_lines, show_lines, summary
from pipeline.findings.text import counted
from pipeline.folder.batch import Done
from pipeline.folder.watching import Round, Watch
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.options import Options

#: Findings of one piece that are shown; the page lists them all.
_MOST = 12


def watch(
    paths: Paths,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder for the editions; created if missing.")
    ] = Path("out"),
    copy: Annotated[
        bool, typer.Option("--copy", help="Also make the singer's copy; takes half as long again.")
    ] = False,
    jobs: Jobs = 0,
    time_limit: TimeLimit = SECONDS,
    memory_limit: MemoryLimit = MEGABYTES,
) -> None:
    """Watch every PATH, a piece (*.intav) or a folder, and rebuild what changes whenever you save.

    Open DIR/index.html, or the proof.html of a piece, in a browser: it refreshes itself. A changed
    heading rebuilds the pieces that inherit it, a changed notation file those that name it; pieces may be
    added, removed and renamed. A piece with errors is shown as far as it can be read, and the watch goes
    on. Stop it with Ctrl-C, and build once more for pages that do not refresh and for the singer's copy.

    \b
    Examples:
        longneck watch song.intav
        longneck watch book/ --out proofs
    """
    pieces = pieces_under(paths).pieces
    folder_for(out)
    target = console(sys.stdout)
    show_lines(target, [f"Building {len(pieces)} {'piece' if len(pieces) == 1 else 'pieces'} into {out.as_posix()}/ …"])
    try:
        with crew(jobs, time_limit, memory_limit) as there:
            watched = Watch(paths, out, Options(copy=copy, live=True), there, partial(waits, out))
            told = _Told()
            try:
                for number, found in enumerate(watched.rounds()):
                    _show(target, found, told, first=not number)
                    if not number:
                        show_lines(target, [f"Watching. Open {_page(out, found)} in a browser; end with Ctrl-C."])
            finally:
                with suppress(OSError):  # then open pages will go on asking
                    watched.end()
    except KeyboardInterrupt:
        raise typer.Exit(CLEAN) from None


@dataclass(slots=True)
class _Told:
    """What was said of each piece when it was last built: its findings without their places, which typing moves."""

    before: dict[str, Counter[tuple[str, str]]] = field(default_factory=dict)

    def changes(self, piece: Done) -> tuple[list[Diagnostic], int, list[str]]:
        """The findings that are new since then, how many stand as before, and the messages of those that are mended."""
        left = self.before.get(piece.name, Counter()).copy()
        new: list[Diagnostic] = []
        for finding in piece.diagnostics:
            key = (finding.code.slug, finding.message)
            if left[key]:
                left[key] -= 1
            else:
                new.append(finding)
        self.before[piece.name] = Counter((one.code.slug, one.message) for one in piece.diagnostics)
        return new, len(piece.diagnostics) - len(new), [message for _, message in left.elements()]


def _show(target: Console, found: Round, told: _Told, *, first: bool) -> None:
    """One line for each piece that was built, under it what is new and what is mended, one line each."""
    for name in found.gone:
        show_lines(target, [f"{name}  gone; its edition stays"])
    for remark in found.remarks:
        show_lines(target, [f"longneck: {remark}"])
    shown: set[str] = set()
    for piece in found.done:
        if first or not piece.kept:
            _show_piece(target, piece, told, shown)
    if any(not piece.kept for piece in found.done):
        show_lines(target, [f"Built in {found.seconds:.2f} s."])


def _page(out: Path, found: Round) -> str:
    """The page to look at first."""
    pages = [path for piece in found.done for path in piece.written if path.suffix == ".html"]
    return pages[0].as_posix() if len(found.done) == 1 and pages else (out / "index.html").as_posix()


def _show_piece(target: Console, piece: Done, told: _Told, shown: set[str]) -> None:
    new, standing, mended = told.changes(piece)
    counts = Counter(one.severity for one in piece.diagnostics)
    show_lines(target, [f"{piece.name}  {summary(1, counts).partition(': ')[2]}"])
    graver = sorted(new, key=lambda finding: _GRAVITY.index(finding.severity.value))
    # A folder's heading is read with every piece under it; what is wrong in it is said once.
    lines = [line for finding in graver if (line := finding_lines(finding, {})[0]).plain not in shown]
    show_lines(target, (Text.assemble("    ", line) for line in lines[:_MOST]))
    shown.update(line.plain for line in lines if not line.plain.startswith(f"{piece.name}:"))
    if len(lines) > _MOST:
        show_lines(target, [f"    and {len(lines) - _MOST} more"])
    show_lines(target, [f"    mended: {message}" for message in mended[:_MOST]])
    if len(mended) > _MOST:
        show_lines(target, [f"    and {len(mended) - _MOST} more mended"])
    if standing and (new or mended):
        show_lines(target, [f"    {counted(standing, 'finding')} as before"])
    if piece.fault:
        show_lines(target, [f"    {piece.fault.strip().splitlines()[-1]}"])


_GRAVITY = ("error", "warning", "note")
