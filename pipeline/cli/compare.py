"""``longneck compare``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from pipeline.cli.outputs import can_be_written, write_output
from pipeline.cli.refusing import CLEAN, ERRORS, refuse
from pipeline.cli.show import console, show_findings, show_lines
from pipeline.desk.compare.listing import comparison_lines, sounded_lines
from pipeline.desk.compare.writers import Ways, comparison_page, write_comparisons
from pipeline.desk.compare.writers.words import counts
from pipeline.findings.text import counted
from pipeline.folder.comparing import Compared, Paired, compare_pieces, compare_sounds, paired
from pipeline.folder.files import NoSuchPieceError, is_folder, may_exist
from pipeline.folder.linking import home_from, proofs_from

#: Not listed among the arguments: the text of the command says what they are.
_One = Annotated[Path, typer.Argument(metavar="ONE", hidden=True, show_default=False)]
_Two = Annotated[Path, typer.Argument(metavar="TWO", hidden=True, show_default=False)]


def compare(
    one: _One,
    two: _Two,
    readings: Annotated[
        bool, typer.Option("--readings", help="Also compare what is read into the notes: voices, lengths, octaves.")
    ] = False,
    sound: Annotated[
        bool, typer.Option("--sound", help="Compare only what sounds; the whole may be moved to another key.")
    ] = False,
    page: Annotated[
        Path | None, typer.Option("--page", metavar="FILE.html", help="Also write a page to this file.")
    ] = None,
    json: Annotated[Path | None, typer.Option("--json", metavar="FILE", help="Also write JSON to this file.")] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder of editions: the page leads to their proof pages.")
    ] = Path("out"),
) -> None:
    """Say how the pieces ONE and TWO (*.intav) differ: two sources of a piece, or before and after.

    Only the music counts, not how it is typed: white space, comments, labels and the order of the
    stops in a chord make no difference. Bars are matched by what they hold, so one bar more or less is
    one difference. Where notes sound different only because a course is tuned differently, that is reported
    once. Titles, descriptions of the sources and their page breaks are listed, but not counted.

    With --sound only pitches and times count, whatever the key, the instrument, the signs and the
    fingering: a text that longneck refinger has written is the same music, moved by so much.

    Two folders are compared piece by piece, by the paths within them.

    Exit codes: 0 the same music, 1 differences, 2 wrong usage.

    \b
    Examples:
        longneck compare venice.intav rome.intav
        longneck compare before/ after/ --page changes.html --out editions
    """
    for path in (one, two):
        if not may_exist(path):
            refuse(f"there is no {path.as_posix()}")
    if is_folder(one) != is_folder(two):
        refuse("give two pieces, or two folders")
    if sound and (readings or page is not None or json is not None):
        refuse("--sound goes with no other option")
    can_be_written(page, json)
    try:
        pairs = paired(one, two)
    except NoSuchPieceError as error:
        refuse(str(error))
    if sound:
        _by_sound(pairs, (one, two), folders=is_folder(one))
    done = [
        compare_pieces(pair.one, pair.two, readings=readings)
        for pair in pairs
        if pair.one is not None and pair.two is not None
    ]
    alone = _alone(pairs)
    _show(done, alone, (one, two), folders=is_folder(one))
    comparisons = [found.comparison for found in done if found.comparison is not None]
    if page is not None:
        ones, twos = [pair.one for pair in pairs if pair.one], [pair.two for pair in pairs if pair.two]
        ways = Ways(proofs_from(page, out, ones), proofs_from(page, out, twos), home_from(page, out))
        write_output(page, [comparison_page(comparisons, *alone, ways)])
    if json is not None:
        write_output(json, [write_comparisons(comparisons, *alone)])
    raise typer.Exit(ERRORS if any(alone) or any(map(_differs, done)) else CLEAN)


def _by_sound(pairs: Sequence[Paired], paths: tuple[Path, Path], *, folders: bool) -> NoReturn:
    """Show how pieces differ in sound, and end."""
    target = console(sys.stdout)
    differing = False
    for pair in pairs:
        if pair.one is None or pair.two is None:
            continue
        found = compare_sounds(pair.one, pair.two)
        differing = differing or found.sounded is None or bool(found.sounded.apart)
        show_findings(target, found.diagnostics, {source.name: source for source in found.sources})
        if found.sounded is not None:
            show_lines(target, sounded_lines(found.sounded))
    alone = _alone(pairs)
    _show([], alone, paths, folders=False)
    if folders and not any(pair.one and pair.two for pair in pairs):
        show_lines(target, [_sum([])])
    raise typer.Exit(ERRORS if differing or any(alone) else CLEAN)


def _alone(pairs: Sequence[Paired]) -> tuple[list[str], list[str]]:
    """Names of the pieces that have no other."""
    return (
        [pair.one.name for pair in pairs if pair.one is not None and pair.two is None],
        [pair.two.name for pair in pairs if pair.two is not None and pair.one is None],
    )


def _differs(done: Compared) -> bool:
    return done.comparison is None or counts(done.comparison.differences) > 0


def _show(
    done: Sequence[Compared], alone: tuple[list[str], list[str]], paths: tuple[Path, Path], *, folders: bool
) -> None:
    target = console(sys.stdout)
    for found in done:
        if found.comparison is None:
            show_findings(target, found.diagnostics, {source.name: source for source in found.sources})
        elif not folders or _differs(found) or found.comparison.remarks:
            show_lines(target, comparison_lines(found.comparison))
    for path, names in zip(paths, alone, strict=True):
        for name in names:
            show_lines(target, [f"{name}: only in {path.as_posix()}"])
    if folders:
        show_lines(target, [_sum(done)])


def _sum(done: Sequence[Compared]) -> str:
    """One sentence over two folders."""
    if not done:
        return "No piece has the same path in both folders: nothing was compared."
    compared = [found for found in done if found.comparison is not None]
    unreadable = len(done) - len(compared)
    differing = sum(map(_differs, compared))
    said = [f"{differing} {'differs' if differing == 1 else 'differ'}"] if differing else []
    if compared and not differing:
        said = ["the same music"]
    said += [f"{unreadable} cannot be read"] if unreadable else []
    return f"{counted(len(compared), 'piece')} compared: {', '.join(said)}."
