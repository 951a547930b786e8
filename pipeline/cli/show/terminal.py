"""The terminal, or what a pipe takes in its place."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from typing import TextIO

from rich.console import Console
from rich.text import Text

from pipeline.findings.text import finding_lines, safe
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.text import SourceText


def console(stream: TextIO) -> Console:
    """A console on a stream: colours only on a terminal, and not where ``NO_COLOR`` is set to anything."""
    plain = not stream.isatty() or bool(os.environ.get("NO_COLOR"))
    return Console(
        file=stream,
        force_terminal=None if stream.isatty() else False,
        color_system=None if plain else "auto",
        no_color=plain,
        highlight=False,
        markup=False,
        emoji=False,
        soft_wrap=True,
    )


def show_lines(target: Console, lines: Iterable[Text | str]) -> None:
    """Print lines, in their styles at a terminal."""
    for line in lines:
        text = safe(line if isinstance(line, Text) else Text(line))
        if target.is_terminal:
            target.print(text, soft_wrap=True)
        else:  # the same text, a hundred times faster
            target.file.write(f"{text.plain}\n")
    target.file.flush()  # a log is read while the run goes on


def show_findings(target: Console, diagnostics: Iterable[Diagnostic], sources: Mapping[str, SourceText]) -> None:
    """Print findings in the order given; ``sources`` are the files they speak of, by name."""
    show_lines(target, (line for diagnostic in diagnostics for line in finding_lines(diagnostic, sources)))
