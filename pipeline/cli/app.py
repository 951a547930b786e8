"""The application that the commands belong to, and what it says of itself."""

from __future__ import annotations

from typing import Annotated

import typer

from pipeline.cli.asked import CLEAN

app = typer.Typer(
    name="longneck",
    add_completion=False,
    no_args_is_help=True,
    # Plain help: half the time, the same in a pipe, and the layout of the texts below stays as typed.
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


def _version(asked: bool) -> None:
    if asked:
        from pipeline import __version__  # noqa: PLC0415

        typer.echo(f"longneck {__version__}")
        raise typer.Exit(CLEAN)


@app.callback()
def longneck(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and end.")
    ] = False,
) -> None:
    """Make modern editions of theorbo and lute tablature.

    You type a page of tablature as plain text, one bar to a line, into a file whose name ends in
    .intav. longneck reads it, tells you by line and column what cannot be right, and makes a score:
    the tablature as printed above two staves of what sounds.

    \b
    A first piece, saved as piece.intav:
        longneck 1
        title My first piece
        instrument theorbo in A
        metre C

    \b
        | 2=X,4:2,3:3 4=3:5 3:3
        | 1=7,4:0,3:0 |||

    \b
    Then:
        longneck check piece.intav          what cannot be right?
        longneck build piece.intav          the edition, into out/piece/
        longneck explain bar-too-short      what does a finding mean?

    Exit codes: 0 nothing wrong, 1 findings that are errors, 2 wrong usage, 3 a fault of the program,
    130 stopped from the keyboard.
    """
