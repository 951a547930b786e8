"""The command line: what is asked, and what is answered. No logic of its own; one command, one module.

Exit codes: 0 nothing wrong, 1 findings that are errors, 2 a question that makes no sense, 3 a fault of the program,
130 stopped from the keyboard.
"""

from __future__ import annotations

import sys
import traceback
from io import TextIOWrapper

from pipeline.cli.app import app
from pipeline.cli.refusing import FAULT, STOPPED, USAGE
from pipeline.cli.saying import say, say_fault

__all__ = ["app", "main"]


def main() -> None:
    """Entry point of the command ``longneck``."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that knows few letters must not end a run
    _dashed(sys.argv[1:])
    try:
        app()
    except SystemExit as end:
        if end.code == STOPPED:
            say("longneck: stopped", err=True)
        raise
    except Exception:  # whatever breaks outside of a piece
        say_fault(traceback.format_exc())
        sys.exit(FAULT)


def _dashed(arguments: list[str]) -> None:
    """Say what to do about a piece whose name looks like an option."""
    for argument in arguments[: arguments.index("--")] if "--" in arguments else arguments:
        if argument.startswith("-") and argument.endswith(".intav"):
            say(f"longneck: {argument} looks like an option; if it is a piece, type ./{argument}", err=True)
            sys.exit(USAGE)
