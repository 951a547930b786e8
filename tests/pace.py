"""How fast this machine is just now, for limits of time that are to hold on a busy machine as well.

Programs on the threads of one core slow each other down, in processor time too. So a limit is said for a machine on
which a fixed piece of work takes :data:`USUAL` seconds, and stretched by as much as that work takes longer here.
"""

from __future__ import annotations

import time

#: Seconds of processor that the work took with two cores while nothing else ran: 0.032 to 0.037 in most of 25 runs.
USUAL = 0.035


def slowness() -> float:
    """1 on a machine as fast as the usual one, 2 on one that takes twice as long; from 1 to 2.5, so that a program that
    has become slow is still found out on a busy machine."""
    return min(2.5, max(1.0, max(_seconds() for _ in range(3)) / USUAL))


def _seconds() -> float:
    """What programs here do most: making small objects, hashing them, looking them up."""
    start = time.process_time()
    known: dict[tuple[int, str], int] = {}
    for number in range(120_000):
        key = (number % 5000, "xyz"[number % 3])
        known[key] = known.get(key, 0) + len(key)
    return time.process_time() - start
