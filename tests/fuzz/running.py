"""One target over many inputs: how many, how fast, the slowest, and every promise that was broken."""

from __future__ import annotations

import gc
import signal
import time
import traceback
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

#: Seconds of processor time after which an input counts as one that never ends.
ENOUGH = 20
#: Seconds for making an input small.
SHRINKING = 60
#: Broken promises of one target that are kept; they mostly have few causes.
MOST_KEPT = 20


class NeverEndsError(BaseException):
    """The input takes longer than any should. No Exception: a reader that takes any of them for a damaged file must not
    catch this one."""


@dataclass(slots=True)
class Tally:
    """What a run over one target gave. ``broken`` are (input, traceback), one for each place in the program."""

    name: str
    inputs: int = 0
    seconds: float = 0.0
    slowest: float = 0.0
    slowest_input: bytes = b""
    faults: int = 0
    broken: dict[str, tuple[bytes, str]] = field(default_factory=dict)


def run(name: str, promise: Callable[[bytes], object], inputs: Iterable[bytes]) -> Tally:
    """Try every input. Processor time is measured, so that a busy machine does not count."""
    tally = Tally(name)
    gc.collect()
    gc.disable()  # as in a build: no record holds a cycle
    try:
        for data in inputs:
            before = time.process_time()
            said = fault(promise, data)
            took = time.process_time() - before
            tally.inputs += 1
            tally.seconds += took
            if took > tally.slowest:
                tally.slowest, tally.slowest_input = took, data
            if said:
                tally.faults += 1
                if len(tally.broken) < MOST_KEPT:
                    tally.broken.setdefault(_where(said), (data, said))
            if tally.inputs % 2000 == 0:
                gc.collect()
    finally:
        gc.enable()
    return tally


def fault(promise: Callable[[bytes], object], data: bytes) -> str:
    """The traceback, if the promise is broken for this input, else nothing."""
    try:
        with _time_limit():
            promise(data)
    except (Exception, NeverEndsError):
        return traceback.format_exc()
    return ""


def shrunk(promise: Callable[[bytes], object], data: bytes, said: str) -> bytes:
    """A smaller input with the same fault: parts are left out, as long as it stays and there is time."""
    where = _where(said)

    def same(less: bytes) -> bool:
        return _where(fault(promise, less)) == where

    size = max(1, len(data) // 2)
    tries = 0
    end = time.monotonic() + SHRINKING
    while size and tries < 2000 and time.monotonic() < end:
        at = 0
        while at < len(data) and tries < 2000 and time.monotonic() < end:
            tries += 1
            less = data[:at] + data[at + size :]
            if same(less):
                data = less
            else:
                at += size
        size //= 2
    return data


def _where(said: str) -> str:
    """Where in the program a fault happened, and what it was: the last place and the kind."""
    if not said:
        return ""
    lines = said.strip().splitlines()
    places = [line.strip() for line in lines if line.lstrip().startswith("File ")]
    return f"{places[-1] if places else ''} {lines[-1].split(':')[0]}"


@contextmanager
def _time_limit() -> Iterator[None]:
    if not hasattr(signal, "setitimer"):  # Windows: only measured
        yield
        return

    def stop(*_: object) -> None:
        raise NeverEndsError(f"longer than {ENOUGH} s")

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, ENOUGH)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
