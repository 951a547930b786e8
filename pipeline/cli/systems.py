"""``longneck systems``."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import typer

from pipeline.cli.asked import Paths, pieces_under
from pipeline.cli.running import exit_code
from pipeline.cli.show import console, show_findings, show_lines
from pipeline.findings.printing import printable
from pipeline.findings.text import INDENT, counted
from pipeline.folder.files import unread_finding
from pipeline.folder.systems import FolioProposal, PieceSystems, systems_all


def systems(paths: Paths) -> None:
    """Propose where the systems lie on the images that PATH, a piece (*.intav) or a folder of pieces, names.

    For each image of the heading (facsimile 4r = images/4r.jpg) a line to copy into it, read off the
    image: bands of lines that run across the page. The proof page then shows each system, enlarged, over
    its transcription, and the MEI has a zone for it. The systems that the text has on the folio are
    counted against those that are seen; where none are seen, the page is shared out among those of the
    text. Nothing is written: look at the proof page, and mend the numbers, which are percent.

    \b
    Examples:
        longneck systems book/02-ground.intav
    """
    asked = pieces_under(paths)
    target = console(sys.stdout)
    done, proposals = [], 0
    for one in systems_all(asked.pieces):
        done.append(one)
        show_findings(target, one.diagnostics, {})
        show_lines(target, _lines(one))
        proposals += len(one.folios)
    unread = tuple(map(unread_finding, asked.unread))
    show_findings(target, unread, {})
    if not proposals:
        show_lines(target, ["No piece names an image that can be looked at."])
    raise typer.Exit(exit_code([*unread, *(each for one in done for each in one.diagnostics)], faulty=False))


def _lines(one: PieceSystems) -> Iterator[str]:
    for folio in one.folios:
        has = "; the heading has such a line" if folio.declared else ""
        yield f"{printable(one.name)}  f. {printable(folio.folio)}, {printable(folio.image)}: {_seen(folio)}{has}"
        if folio.line:
            yield f"{INDENT}{printable(folio.line)}"


def _seen(folio: FolioProposal) -> str:
    """What was seen, and what the text has."""
    typed = f"the text has {folio.typed}" if folio.typed else "the text begins no system there"
    if folio.why:
        return f"{folio.why}; {typed}"
    if not folio.seen:
        return f"no systems seen; {typed}" + (", in equal shares" if folio.typed else "")
    if folio.seen == folio.typed:
        return f"{counted(folio.seen, 'system')} seen, as in the text"
    return f"{counted(folio.seen, 'system')} seen, but {typed}"
