"""The command line: what is asked, and what is answered. No logic of its own; one command, one module.

Exit codes: 0 nothing wrong, 1 findings that are errors, 2 a question that makes no sense, 3 a fault of the program.
"""

from __future__ import annotations

import sys
from io import TextIOWrapper

# In the order in which the help lists them.
from pipeline.cli import (  # noqa: F401
    build,
    check,
    compare,
    explain,
    instruments,
    programme,
    propose,
    tidy,
    verify,
    watch,
)
from pipeline.cli.app import app
from pipeline.cli.asked import FAULT

__all__ = ["app", "main"]


def main() -> None:
    """Entry point of the command ``longneck``."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that knows few letters must not end a run
    try:
        app()
    except Exception:  # whatever breaks outside of a piece
        import traceback  # noqa: PLC0415

        traceback.print_exc()
        sys.exit(FAULT)
