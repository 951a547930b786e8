"""Progress on long work, at a terminal only."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, ProgressColumn, Task, TextColumn, TimeRemainingColumn
from rich.text import Text

T = TypeVar("T")

#: Fewer pieces than this are done before a bar could be read.
LONG = 3


class RateColumn(ProgressColumn):
    """How many pieces are done in a second, or how many seconds one takes."""

    def render(self, task: Task) -> Text:
        return Text(rate(task.finished_speed or task.speed or 0.0))


def rate(speed: float) -> str:
    """``12 a second``, ``3.5 a second``, ``4 s each``; nothing where it is not known yet."""
    if speed <= 0:
        return ""
    if speed >= 1:
        return f"{speed:.0f} a second" if speed >= 10 else f"{speed:.1f} a second"
    return f"{1 / speed:.0f} s each"


def watched(done: Iterator[T], total: int, target: Console) -> Iterator[T]:
    """Pass results on as they come, above a bar that vanishes at the end; behind a pipe, only pass them on."""
    if total < LONG or not target.is_terminal:
        yield from done
        return
    left = (TextColumn("time left"), TimeRemainingColumn(compact=True))
    columns = (TextColumn("pieces"), BarColumn(), MofNCompleteColumn(), RateColumn(), *left)
    with Progress(*columns, console=target, transient=True) as progress:
        task = progress.add_task("pieces", total=total)
        for result in done:
            yield result
            progress.advance(task)
