"""Guarded processes on this machine: whatever a piece does to its process, the run goes on.

Why not a ready-made pool: that of the standard library is lost with the first process that dies, and cannot stop a
piece that hangs. Here each thread of a plain thread pool asks one process at a time, over a pipe; a process that ends
is replaced. The processes are started fresh, so that they hold no part of this one, and cannot be the "daemons" that
a cluster's worker may not have.
"""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from functools import partial
from typing import Any, ParamSpec, TypeVar

from pipeline.folder.batch.child import DONE, MEMORY
from pipeline.folder.batch.ends import BrokeDownError, DiedError, OutOfMemoryError, OutOfTimeError
from pipeline.folder.batch.frames import receive, send
from pipeline.folder.batch.jobs import Limits
from pipeline.folder.batch.memory import within

T = TypeVar("T")
P = ParamSpec("P")

#: Pieces after which a process is replaced, so that nothing that a library never gives back can pile up.
MOST_PIECES = 500
#: Seconds in which a process must have loaded, and that it may stay past its own alarm.
LOADING, GRACE = 120.0, 5.0
#: Characters of what a dying process said that are kept.
MOST_SAID = 4000


class Guarded:
    """One process, asked by one thread at a time."""

    def __init__(self, limits: Limits) -> None:
        self.limits = Limits(limits.seconds, within(limits.megabytes))
        self.asked = 0
        self._overdue = False
        self._errors = tempfile.TemporaryFile()  # noqa: SIM115  closed with the process
        command = [
            sys.executable,
            "-P",
            "-m",
            "pipeline.folder.batch.child",
            str(self.limits.seconds),
            str(self.limits.megabytes),
        ]
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=self._errors, env=_environment()
        )
        assert self._process.stdin is not None and self._process.stdout is not None
        self._questions, self._answers = self._process.stdin, self._process.stdout

    def ask(self, work: Callable[..., T], arguments: tuple[object, ...]) -> T:
        """Have work done there. Raises OutOfTimeError, OutOfMemoryError or DiedError if the process ended over it
        (it must then not be asked again), BrokeDownError if the work raised anything."""
        try:
            if not self.asked:
                self._answer(LOADING)
            self.asked += 1
            send(self._questions, (work, arguments))
            kind, value = self._answer(self.limits.seconds + GRACE if self.limits.seconds else None)
        except (EOFError, OSError) as error:
            raise self._end() from error
        if kind == DONE:
            return value  # type: ignore[no-any-return]
        if kind == MEMORY:
            raise OutOfMemoryError(self._memory)
        raise BrokeDownError(value)

    @property
    def alive(self) -> bool:
        return self._process.poll() is None

    def close(self) -> None:
        """End the process, now."""
        self._process.kill()
        self._process.wait()
        for stream in (self._questions, self._answers, self._errors):
            with suppress(OSError):
                stream.close()

    def _answer(self, seconds: float | None) -> tuple[str, Any]:
        """The next message. A process that outstays its own alarm is killed. Raises EOFError if it has ended."""
        if seconds is not None and hasattr(select, "poll"):
            poll = select.poll()
            poll.register(self._answers, select.POLLIN)
            if not poll.poll(seconds * 1000):
                self._overdue = True
                self._process.kill()
        kind, value = receive(self._answers)
        return kind, value

    def _end(self) -> Exception:
        """How the process ended, as an exception."""
        with suppress(OSError):
            self._questions.close()
        code = self._process.wait()
        said = self._said()
        if self._overdue or -code == getattr(signal, "SIGALRM", 0):
            return OutOfTimeError(f"{self.limits.seconds:g} seconds", said)
        if "bad_alloc" in said or "MemoryError" in said:
            return OutOfMemoryError(self._memory, said)
        return DiedError(f"signal {signal.Signals(-code).name}" if code < 0 else f"exit code {code}", said)

    @property
    def _memory(self) -> str:
        return f"{self.limits.megabytes} MB" if self.limits.megabytes else "there is"

    def _said(self) -> str:
        self._errors.seek(0)
        return self._errors.read()[-MOST_SAID:].decode(errors="replace").strip()


def _environment() -> dict[str, str]:
    """That of this process, with the same modules at hand; one thread for each process."""
    path = os.pathsep.join(entry for entry in sys.path if entry)
    threads = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    return {**os.environ, **threads, "PYTHONPATH": path}


class Guards:
    """The guarded processes of this process, kept as long as they are well."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self._lock = threading.Lock()
        self._idle: list[Guarded] = []
        self._busy: set[Guarded] = set()

    def ask(self, work: Callable[..., T], arguments: tuple[object, ...]) -> T:
        """Have work done by a process of its own. Raises as :meth:`Guarded.ask`."""
        guarded = self._take()
        well = False
        try:
            made = guarded.ask(work, arguments)
            well = guarded.asked < MOST_PIECES
            return made
        except BrokeDownError:
            well = True
            raise
        finally:
            self._give_back(guarded, well=well)

    def prepare(self, count: int) -> None:
        """Start so many processes, without waiting for them to load."""
        fresh = [Guarded(self.limits) for _ in range(count - len(self._idle))]
        with self._lock:
            self._idle.extend(fresh)

    def close(self) -> None:
        """End all of them, whatever they are doing."""
        with self._lock:
            every, self._idle = [*self._idle, *self._busy], []
        for guarded in every:
            guarded.close()

    def _take(self) -> Guarded:
        with self._lock:
            while self._idle:
                guarded = self._idle.pop()
                if guarded.alive:
                    break
                guarded.close()
            else:
                guarded = Guarded(self.limits)
            self._busy.add(guarded)
            return guarded

    def _give_back(self, guarded: Guarded, *, well: bool) -> None:
        with self._lock:
            self._busy.discard(guarded)
            if well:
                self._idle.append(guarded)
        if not well:
            guarded.close()


class Workers(Executor):
    """Guarded processes on this machine, as an executor of the standard library. Futures raise what
    :meth:`Guarded.ask` raises. Used as a context, it ends its processes with it."""

    def __init__(self, count: int, limits: Limits) -> None:
        self.count = count
        self._guards = Guards(limits)
        self._threads = ThreadPoolExecutor(count, thread_name_prefix="guard")

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Have it done by one of the processes; ``fn`` and what it is given must be picklable."""
        work = partial(fn, **kwargs) if kwargs else fn
        return self._threads.submit(self._guards.ask, work, args)

    def prepare(self, count: int) -> None:
        """Start processes ahead of the work, as many as there are or will be pieces."""
        self._guards.prepare(min(count, self.count))

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End the processes. Work that has begun is waited for, unless ``wait`` says no."""
        if wait and not cancel_futures:
            self._threads.shutdown(wait=True)
        self._guards.close()
        self._threads.shutdown(wait=False, cancel_futures=True)
