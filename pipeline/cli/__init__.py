"""The command line: what is asked, and what is answered. No logic of its own; one command, one module.

Exit codes: 0 nothing wrong, 1 findings that are errors, 2 a question that makes no sense, 3 a fault of the program,
130 stopped from the keyboard, 141 standard output, or that of errors, was closed by whoever read it.
"""

from __future__ import annotations

import sys
import traceback

from pipeline.cli.app import app
from pipeline.cli.heard import Talk
from pipeline.cli.refusing import CLEAN, FAULT, STOPPED, UNHEARD, USAGE
from pipeline.cli.saying import say, say_fault

__all__ = ["app", "main"]


def main() -> None:
    """Entry point of the command ``longneck``."""
    talk = Talk()
    code = _code()
    lost = talk.end()
    if isinstance(lost, BrokenPipeError):
        code = code if code in (FAULT, STOPPED) else UNHEARD
    elif lost is not None:
        say(f"longneck: not everything could be printed: {lost.strerror}", err=True)
        talk.end()
        code = code or USAGE
    sys.exit(code)


def _code() -> int:
    """Do what is asked; the exit code."""
    try:
        _dashed(sys.argv[1:])
        app()
    except SystemExit as end:
        if end.code == STOPPED:
            say("longneck: stopped", err=True)
        return end.code if isinstance(end.code, int) else CLEAN
    except Exception:  # whatever breaks outside of a piece
        say_fault(traceback.format_exc())
        return FAULT
    return CLEAN


def _dashed(arguments: list[str]) -> None:
    """Say what to do about a piece whose name looks like an option."""
    for argument in arguments[: arguments.index("--")] if "--" in arguments else arguments:
        if argument.startswith("-") and argument.endswith(".intav"):
            say(f"longneck: {argument} looks like an option; if it is a piece, type ./{argument}", err=True)
            sys.exit(USAGE)
