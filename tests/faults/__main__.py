"""Everything that can happen to a build, at full length.

    python -m tests.faults [--kills 200]

About ten minutes on two cores. Mounting small disks needs root; without it those two say so and are left out.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.faults import harm


def main() -> int:
    """Run all, say how each went; the exit code is 1 if any failed."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults")
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    failed = 0
    events: tuple[tuple[str, Callable[[Path], object]], ...] = (
        (f"kill -9 at {asked.kills} random moments", lambda folder: harm.killed(folder, asked.kills, asked.seed)),
        ("tidy killed at 40 random moments", lambda folder: harm.tidying_killed(folder, 40, asked.seed)),
        ("a full disk", harm.full_disk),
        ("a read-only disk", harm.read_only),
        ("two builds at once, 10 times", lambda folder: harm.two_at_once(folder, 10)),
        ("stopped from the keyboard", harm.stopped_from_the_keyboard),
    )
    for name, event in events:
        start = time.perf_counter()
        with tempfile.TemporaryDirectory() as folder:
            try:
                made = event(Path(folder) / "collection")
                said = "nothing lost" if made is None else f"nothing lost; {made} were cut short"
            except harm.NoDiskError as error:
                said = f"left out: {error}"
            except AssertionError as error:
                failed, said = failed + 1, f"FAILED: {error}"
        print(f"{name:40} {time.perf_counter() - start:6.1f} s  {said}", flush=True)
    return int(failed > 0)


if __name__ == "__main__":
    sys.exit(main())
