"""The command line as the tests ask it."""

from __future__ import annotations

import re
from pathlib import Path

from typer.testing import CliRunner

from pipeline.cli import app

RUN = CliRunner()


def run(*arguments: str) -> tuple[int, str, str]:
    """Exit code, standard output, standard error."""
    result = RUN.invoke(app, list(arguments))
    return result.exit_code, result.stdout, result.stderr


#: The one line of a run that has nothing to say of its pieces.
QUIET = re.compile(r"(Built into \S+/\. )?\d+ pieces?: (nothing to report|\d+ known)\.\n")


def passes(*arguments: str) -> bool:
    """True if a check or a build ends well, and says so and nothing else."""
    code, out, err = run(*arguments)
    return (code, err) == (0, "") and QUIET.fullmatch(out) is not None


def write(name: str, text: str | bytes) -> Path:
    """A file in the current folder."""
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path
