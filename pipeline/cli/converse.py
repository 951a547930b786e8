"""``longneck converse``."""

from __future__ import annotations

import sys
from importlib.util import find_spec
from typing import Annotated

import typer

from pipeline.cli.refusing import CLEAN, refuse
from pipeline.cli.saying import say


def converse(
    pitches: Annotated[
        bool, typer.Option("--pitches/--no-pitches", help="Show the pitches of each event between the words.")
    ] = True,
    misprints: Annotated[
        bool, typer.Option("--misprints/--no-misprints", help="Look for probable misprints while nothing is typed.")
    ] = True,
) -> None:
    """Answer a text editor while you type, by the Language Server Protocol on standard input and output.

    Your editor starts this command by itself, once it is told to for files that end in .intav. You then see
    the findings of "longneck check" as you type, what sounds at a sign, what may be typed next, the outline
    of the piece, and what can be changed at a place. Nothing is written but what you choose. Pitches and
    misprints can also be switched by the settings "pitches" and "misprints".

    \b
    Needs pygls:
        pip install 'longneck[editor]'

    \b
    Neovim:
        vim.filetype.add({extension = {intav = "intav"}})
        vim.lsp.config("longneck", {cmd = {"longneck", "converse"}, filetypes = {"intav"}})
        vim.lsp.enable("longneck")
    Emacs:
        (define-derived-mode intav-mode text-mode "intav")
        (add-to-list 'auto-mode-alist '("\\\\.intav\\\\'" . intav-mode))
        (add-to-list 'eglot-server-programs '(intav-mode "longneck" "converse"))
    Helix, languages.toml:
        [language-server.longneck]
        command = "longneck"
        args = ["converse"]
        [[language]]
        name = "intav"
        scope = "source.intav"
        file-types = ["intav"]
        language-servers = ["longneck"]
    """
    if not _has("pygls"):
        refuse("converse needs pygls: pip install 'longneck[editor]'")
    # Imported late: it is there only with the extra.
    from pipeline.cli.editor.server import serve  # noqa: PLC0415
    from pipeline.cli.editor.settings import Settings  # noqa: PLC0415

    if sys.stdin.isatty():
        say("longneck: waiting for a text editor on standard input; end with Ctrl-C", err=True)
    serve(Settings(pitches, misprints))
    raise typer.Exit(CLEAN)


def _has(library: str) -> bool:
    try:
        return find_spec(library) is not None
    except ValueError:  # known to the interpreter as not being there
        return False
