"""``longneck tidy``."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from pipeline.cli.asked import Paths, pieces_under
from pipeline.cli.refusing import CLEAN, ERRORS
from pipeline.cli.running import exit_code
from pipeline.cli.saying import say, say_fault
from pipeline.cli.show import console, show_findings
from pipeline.folder.batch import tidy_all
from pipeline.folder.files import unread_finding
from pipeline.model.diagnostics import Diagnostic


def tidy(
    paths: Paths,
    check: Annotated[
        bool, typer.Option("--check", help="Write nothing; the exit code is 1 if a file is not tidy.")
    ] = False,
) -> None:
    """Rewrite every PATH, a piece (*.intav) or a folder of pieces, in the canonical layout.

    Files are changed in place; headings of folders (heading.intav) too. Only the layout changes, never
    the meaning, and tidying twice changes nothing: one space between words, the stops of a chord from
    the highest number to course 1, marks and lines of a bar in their order. Words that cannot be read
    stay as they are. The names of the files that change are shown.

    \b
    Examples:
        longneck tidy song.intav
        longneck tidy --check book/
    """
    target = console(sys.stdout)
    found: list[Diagnostic] = []
    faults: list[str] = []
    untidy = False
    asked = pieces_under(paths, headings=True)
    for file in tidy_all(asked.pieces, write=not check):
        show_findings(target, file.diagnostics, {source.name: source for source in file.sources})
        found.extend(file.diagnostics)
        faults.extend([file.fault] if file.fault else [])
        if file.changed:
            untidy = True
            say(f"{file.name}  {'not tidy' if check else 'tidied'}")
    unread = tuple(map(unread_finding, asked.unread))
    show_findings(target, unread, {})
    found.extend(unread)
    for fault in faults:
        say_fault(fault)
    code = exit_code(found, faulty=bool(faults))
    raise typer.Exit(ERRORS if check and untidy and code == CLEAN else code)
