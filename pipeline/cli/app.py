"""The application that the commands belong to, and what it says of itself."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from pipeline import __version__
from pipeline.cli.refusing import CLEAN

#: The commands in the order of the help, each a function of its own name in a module of its own name.
COMMANDS = {
    "accession": "Take over tablature from MEI and MusicXML as text.",
    "build": "Build the editions, each into a folder of its own.",
    "check": "Report what cannot be right, by line and column.",
    "collate": "Write the readings of other sources into a text.",
    "compare": "Compare the music of two encodings of a piece.",
    "converse": "Answer a text editor while you type.",
    "explain": "Explain one kind of finding, or list them all.",
    "instruments": "List the instruments that a heading can name.",
    "join": "Make one run of what several jobs built.",
    "programme": "List the strings to retune between the pieces of a concert.",
    "progress": "Say how far pieces are proof-read.",
    "propose": "List probable misprints; write in the ones you accept.",
    "refinger": "Write tablature for another key or instrument.",
    "rehearse": "Make the set for a rehearsal: a folder for each person.",
    "systems": "Propose where the systems lie on images of the source.",
    "tidy": "Rewrite pieces in the canonical layout.",
    "verify": "Report what a new build would change in the kept editions.",
    "volume": "Bind a folder into one PDF and one site.",
    "watch": "Rebuild whatever changes while you type.",
}


@cache
def _loaded(name: str) -> Any:
    alone = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
    alone.command(name, short_help=COMMANDS[name])(getattr(import_module(f"pipeline.cli.{name}"), name))
    return typer.main.get_command(alone)


class Commands(TyperGroup):
    """Commands that are loaded when they are called: the help must not wait for music libraries.

    Contexts and commands are of the click that typer uses: since 0.26 one of its own, so it has no public name here.
    """

    def list_commands(self, ctx: Any) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        return _loaded(cmd_name) if cmd_name in COMMANDS else None

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


app = typer.Typer(
    cls=Commands,
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
        typer.echo(f"longneck {__version__}")
        raise typer.Exit(CLEAN)


@app.callback()
def longneck(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")
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

    Exit codes: 0 nothing wrong, 1 findings that are errors, 2 wrong usage or an output that cannot be
    written, 3 a fault of the program, 130 stopped from the keyboard, 141 all done, but whoever read
    the output closed it.
    """
