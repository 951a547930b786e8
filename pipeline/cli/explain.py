"""``longneck explain``."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from pipeline.cli.refusing import refuse
from pipeline.cli.show import console, show_lines
from pipeline.cli.show.explain import UnknownCodeError, explanation, overview
from pipeline.cli.show.typing import typing_table

TYPING = "typing"


def explain(
    code: Annotated[str, typer.Argument(metavar="CODE", hidden=True, show_default=False)] = "",
) -> None:
    """Explain a finding: why it matters, a faulty example and how to correct it.

    CODE is its name, as it stands after the severity. Without it, all findings are listed. The word typing shows
    what is typed for what stands on the page.

    \b
    Examples:
        longneck explain
        longneck explain fretted-diapason
        longneck explain typing
    """
    target = console(sys.stdout)
    try:
        lines = typing_table() if code == TYPING else explanation(code) if code else overview()
    except UnknownCodeError as error:
        refuse(str(error))
    show_lines(target, lines)
