"""``longneck programme``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.asked import Paths
from pipeline.cli.outputs import write_output
from pipeline.cli.refusing import CLEAN, ERRORS, refuse
from pipeline.cli.saying import say
from pipeline.cli.show import console, show_findings, show_lines
from pipeline.desk.programme.listing import sheet_lines
from pipeline.desk.programme.plan import programme as programme_of
from pipeline.desk.programme.sheet import Programme
from pipeline.desk.programme.writers.page import programme_page
from pipeline.desk.programme.writers.pdf import programme_pdf
from pipeline.folder.concert import ReadPiece, in_concert_order, read_concert
from pipeline.folder.files import SUFFIX, NoSuchPieceError, PieceFile
from pipeline.folder.linking import home_from, proofs_from
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.options import Sheet

#: Hertz that A4 may have, as in a heading.
_LOWEST, _HIGHEST = 300.0, 600.0
#: More pieces are no concert.
_MOST = 200


def programme(
    paths: Paths,
    fewest: Annotated[
        bool, typer.Option("--fewest", help="Put the pieces in the order with the fewest retunings.")
    ] = False,
    pitch: Annotated[
        float | None, typer.Option("--pitch", metavar="HZ", help="Pitch of A4 for all pieces, whatever they declare.")
    ] = None,
    page: Annotated[
        Path | None, typer.Option("--page", metavar="FILE.html", help="Also write a page to this file.")
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="FILE.pdf", help="Also write large print for the music stand.")
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder of editions: the page leads to their proof pages.")
    ] = Path("out"),
    paper: Annotated[Sheet, typer.Option("--paper", help="Paper size of the PDF file.")] = Sheet.A4,
) -> None:
    """Print the retuning sheet of a programme: every PATH, a piece (*.intav) or a folder, in concert order.

    For each piece: its diapasons with pitch and frequency, whether that tuning is declared, read from
    the notes or only usual, and which strings move before it. The pieces of a folder are taken in the
    order of their names. Instruments that cannot be tuned into each other are counted separately.

    --fewest finds the order with the fewest strings to move, up to 14 pieces of one instrument (or more,
    where several share a tuning). For a longer programme it gives the best order found, and says that
    it is not proven.

    \b
    Examples:
        longneck programme toccata.intav ground.intav bergamasca.intav
        longneck programme concert/ --fewest --pdf stand.pdf
    """
    if pitch is not None and not _LOWEST <= pitch <= _HIGHEST:
        refuse(f"--pitch {pitch:g} cannot be the pitch of A4; it must lie between {_LOWEST:g} and {_HIGHEST:g} Hz")
    pieces = _pieces(paths)
    read = list(read_concert(pieces))
    readable = [(one.name, one.piece) for one in read if one.piece is not None]
    if readable:
        made = programme_of(readable, pitch=pitch, fewest=fewest)
        if page is not None:
            write_output(page, [programme_page(made, proofs_from(page, out, pieces), home_from(page, out))])
        if pdf is not None:
            write_output(pdf, [programme_pdf(made, paper)])
        _show(made)
    raise typer.Exit(_report(read))


def _pieces(paths: Sequence[Path]) -> tuple[PieceFile, ...]:
    try:
        pieces = in_concert_order(paths)
    except NoSuchPieceError as error:
        refuse(str(error))
    if not pieces:
        refuse(f"no pieces (*{SUFFIX}) in {', '.join(path.as_posix() for path in paths)}")
    if len(pieces) > _MOST:
        refuse(f"{len(pieces)} pieces given; a programme holds at most {_MOST}")
    return pieces


def _show(made: Programme) -> None:
    target = console(sys.stdout)
    show_lines(target, sheet_lines(made))


def _report(read: Sequence[ReadPiece]) -> int:
    """Show the errors that bear on the tuning, and count the others; the exit code."""
    target = console(sys.stderr)
    shown: set[Diagnostic] = set()
    code = CLEAN
    for one in read:
        errors = [finding for finding in one.diagnostics if finding.severity is Severity.ERROR]
        tuning = [finding for finding in errors if one.piece is None or finding.code.slug in _OF_TUNING]
        show_findings(target, (finding for finding in tuning if finding not in shown), {s.name: s for s in one.sources})
        shown.update(tuning)
        if len(errors) > len(tuning):
            say(f"{one.name}: {len(errors) - len(tuning)} other errors; longneck check shows them", err=True)
        code = ERRORS if errors else code
    return code


#: Findings that may make the sheet wrong.
_OF_TUNING = frozenset({"heading-value", "heading-repeated", "no-instrument", "unknown-instrument", "tuning"})
