"""The command line as the tests ask it."""

from __future__ import annotations

from pathlib import Path

from typer.testing import CliRunner

from pipeline.cli import app

RUN = CliRunner()


def run(*arguments: str) -> tuple[int, str, str]:
    """Exit code, standard output, standard error."""
    result = RUN.invoke(app, list(arguments))
    return result.exit_code, result.stdout, result.stderr


def write(name: str, text: str | bytes) -> Path:
    """A file in the current folder."""
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path
