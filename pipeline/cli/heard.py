"""Standard output and standard error as they may be: a pipe that closes, a full disk, nothing at all.

Who listens has no say in the work: what cannot be said is dropped, and the exit code tells that it was.
"""

from __future__ import annotations

import io
import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer


class Heard(io.FileIO):
    """A stream to whoever listens. From the first write that fails everything is dropped; ``lost`` is why."""

    lost: OSError | None = None
    #: It was closed before the program began.
    nowhere = False

    def write(self, data: ReadableBuffer, /) -> int:
        if self.lost is None:
            try:
                return super().write(data)
            except OSError as error:
                self.lost = error
        return len(memoryview(data).cast("B"))


class Talk:
    """The two streams of this process, and what became of them."""

    def __init__(self) -> None:
        """Take them over. One that was closed before the program began leads nowhere: nobody is to hear, and no file
        that is opened later may come to stand in its place."""
        filled = _fill()
        self._streams = (Heard(1, "wb", closefd=False), Heard(2, "wb", closefd=False))
        for stream in self._streams:
            stream.nowhere = stream.fileno() in filled
        sys.stdout, sys.stderr = (_text(stream) for stream in self._streams)

    def end(self) -> OSError | None:
        """Say the last of it; why something was not heard, if it was not, of standard output first."""
        for stream in (sys.stdout, sys.stderr):
            stream.flush()
        return next((stream.lost for stream in self._streams if stream.lost is not None), None)


def output_leads_nowhere() -> bool:
    """True if standard output was closed before the program began."""
    raw = getattr(getattr(sys.stdout, "buffer", None), "raw", None)
    return isinstance(raw, Heard) and raw.nowhere


def _fill() -> set[int]:
    """Have something behind each of the three streams that every program has; those that had nothing."""
    filled = set()
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            filled.add(number)
            nowhere = os.open(os.devnull, os.O_RDWR)
            if nowhere != number:
                os.dup2(nowhere, number)
                os.close(nowhere)
    return filled


def _text(stream: Heard) -> io.TextIOWrapper:
    """Text in the letters of the machine; a terminal that knows few of them must not end a run."""
    usual = sys.__stdout__ if stream.fileno() == 1 else sys.__stderr__
    encoding = usual.encoding if usual is not None else None
    return io.TextIOWrapper(
        io.BufferedWriter(stream), encoding, errors="replace", line_buffering=stream.isatty() or stream.fileno() == 2
    )
