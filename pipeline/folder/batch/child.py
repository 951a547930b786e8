"""What runs in a guarded process: one piece of work after another, as long as the guard asks for it.

The system itself holds the limits: an alarm ends the process whatever it is doing, and memory past the limit is
refused. A process whose guard is gone ends by itself, at the latest with its alarm.
"""

from __future__ import annotations

import faulthandler
import gc
import os
import signal
import sys
import traceback
from contextlib import suppress
from typing import IO

from pipeline.folder.batch.frames import receive, send
from pipeline.folder.batch.jobs import Limits

READY, DONE, RAISED, MEMORY = "ready", "done", "raised", "memory"


def main() -> None:
    """Answer messages (work, arguments) from standard input until it ends. What the work prints goes to the stream of
    errors, so that it cannot get between the messages."""
    limits = Limits(float(sys.argv[1]), int(sys.argv[2]))
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    _prepare(limits)
    from pipeline.folder.batch.work import preload  # noqa: PLC0415  the limits hold for all that is loaded

    preload()
    gc.freeze()
    try:
        send(answers, (READY, None))
        while _answer(limits, answers):
            pass
    except (EOFError, BrokenPipeError, KeyboardInterrupt):
        pass  # the guard is gone
    os._exit(0)


def _prepare(limits: Limits) -> None:
    where = os.dup(2)  # the engraver's complaints are caught at 2: what a fault says must not end up there
    faulthandler.enable(where)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the guard says when it is over
    if hasattr(signal, "SIGALRM"):
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        faulthandler.register(signal.SIGALRM, where, chain=True)
    try:
        import resource  # noqa: PLC0415  not on every system
    except ImportError:
        return
    _limit(resource.RLIMIT_CORE, 0)
    if limits.megabytes:
        _limit(resource.RLIMIT_AS, limits.megabytes * 10**6)


def _limit(kind: int, size: int) -> None:
    """Set a limit, or leave it as it is where the system does not let us: a lower one holds already, or it knows none
    of this kind."""
    import resource  # noqa: PLC0415  as above

    with suppress(ValueError, OSError):
        resource.setrlimit(kind, (size, size))


def _answer(limits: Limits, answers: IO[bytes]) -> bool:
    """Do one piece of work and send what came of it; False if the process should end now."""
    work, arguments = receive(sys.stdin.buffer)
    if limits.seconds and hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, limits.seconds)
    try:
        answer = DONE, work(*arguments)
    except MemoryError:
        answer = MEMORY, None
    except Exception:
        answer = RAISED, traceback.format_exc()
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, 0)
    send(answers, answer)
    return answer[0] != MEMORY


if __name__ == "__main__":
    main()
