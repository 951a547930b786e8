"""The one way in which a command says a plain line. It loads no more than ``--version`` needs."""

from __future__ import annotations

import typer

from pipeline.findings.printing import printable


def say(line: str, *, err: bool = False) -> None:
    """Print one line of plain text. Whatever is typed in a piece, or its name, may be part of it."""
    typer.echo(printable(line), err=err)


def say_fault(text: str) -> None:
    """Print the text of an internal fault, of many lines."""
    for line in text.splitlines():
        say(line, err=True)
