"""Progress on long work, at a terminal only."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

T = TypeVar("T")

#: Fewer pieces than this are done before a bar could be read.
LONG = 3


def watched(done: Iterator[T], total: int, target: Console) -> Iterator[T]:
    """Pass results on as they come, above a bar that vanishes at the end; behind a pipe, only pass them on."""
    if total < LONG or not target.is_terminal:
        yield from done
        return
    columns = (TextColumn("pieces"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=target, transient=True) as progress:
        task = progress.add_task("pieces", total=total)
        for result in done:
            yield result
            progress.advance(task)
