"""From key to findings, and what ten thousand keys leave behind: ``python -m tests.benchmarks.editor_speed [EDITS]``.

A piece of 300 bars (2,400 events, chords of three and four notes) is typed in, sign by sign, at random places (seeded),
begun anew after every tenth sign; then with each sign all its lines move. Said are the milliseconds from the change to
the findings of its signs, in time on the clock and in time of the processor (which does not count what else the machine
does). The findings of the reading follow later, from another process: the seconds that these take are said too. Then
a short piece is edited, lines and all, and what is held is said after the first fifth of the edits and after the last.
"""

from __future__ import annotations

import gc
import random
import statistics
import sys
import time
from functools import lru_cache
from pathlib import Path

from pipeline.folder.conversing import Conversation, read_parcel
from tests.benchmarks.watch_speed import piece
from tests.editing import edited

BARS, SEED = 300, 7
#: Characters of a short piece that has grown long enough.
LONGEST = 1_500
_CACHE = type(lru_cache(int))


def main() -> None:
    """Print the figures."""
    edits = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    _memory(edits)
    _keys(min(edits, 100))


def _keys(edits: int) -> None:
    """How long a key takes, where lines stay in their places and where they move."""
    for what, moves in (("within a line", False), ("lines moved", True)):
        chance = random.Random(SEED)
        talk, text = Conversation(), piece(BARS).format("Typed")
        talk.opened("piece", None, text, 0)
        talk.looked_at("piece")
        clock, work = [], []
        begun_with = text
        for number in range(edits):
            text = text if number % 10 else begun_with
            text = text.replace("\n\n", "\n; moved\n\n", 1) if moves else edited(text, chance, lines=False)
            began, begun = time.perf_counter(), time.process_time()
            talk.opened("piece", None, text, number)
            talk.looked_at("piece")
            clock.append(1000 * (time.perf_counter() - began))
            work.append(1000 * (time.process_time() - begun))
        print(f"key to findings of the signs, {what}: {_said(clock)} on the clock, {_said(work)} of the processor")
    document = talk.looked_at("piece")
    assert document is not None and document.packed is not None
    began, begun = time.perf_counter(), time.process_time()
    read_parcel(document.packed.whole())
    print(
        f"the whole reading: {time.perf_counter() - began:.2f} s, {time.process_time() - begun:.2f} s of the processor"
    )


def _said(milliseconds: list[float]) -> str:
    every = sorted(milliseconds)
    return f"median {statistics.median(every):.0f} ms, 95 % within {every[int(len(every) * 0.95)]:.0f} ms"


def _memory(edits: int) -> None:
    """What is held after so many edits of a short piece, beyond what is held after the first fifth: objects of Python,
    bounded caches emptied before they are counted, and what the system says of the whole process."""
    chance = random.Random(SEED)
    begun_with = piece(6).format("Typed")
    talk, text = Conversation(), begun_with
    for number in range(1, edits + 1):
        text = edited(text, chance) if number % 100 and len(text) < LONGEST else begun_with
        talk.opened("piece", None, text, number)
        talk.looked_at("piece")
        if number in (max(1, edits // 5), edits):
            held = _resident()
            _empty_caches()
            print(f"held after {number:,} edits: {sys.getallocatedblocks():,} blocks; the process: {held:.0f} MB")


def _empty_caches() -> None:
    for one in gc.get_objects():
        if isinstance(one, _CACHE):
            one.cache_clear()
    gc.collect()


def _resident() -> float:
    """Megabytes that the system says this process holds."""
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1000
    return 0.0


if __name__ == "__main__":
    main()
