"""Exit codes, and the refusal of what cannot be done."""

from __future__ import annotations

from typing import NoReturn

import typer

from pipeline.cli.saying import say

CLEAN, ERRORS, USAGE, FAULT = 0, 1, 2, 3
#: Files are not as kept, but the music in them is.
OTHERWISE = 4
#: By convention 128 and the number of the signal, SIGINT.
STOPPED = 130
#: By the same convention, SIGPIPE: what was to be said found nobody who listened to the end. The work was done.
UNHEARD = 141


def refuse(message: str) -> NoReturn:
    say(f"longneck: {message}", err=True)
    raise typer.Exit(USAGE)
