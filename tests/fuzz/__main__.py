"""Mutated input against every reader of the program.

    python -m tests.fuzz [--inputs 20000] [--seconds 120] [--seed 1] [--target NAME]
    python -m tests.fuzz --growth [--size 1000000]

The first form cuts, doubles, swaps and flips bytes of real files (anthology, faulty pieces, what a build writes) and
prints for each target how many inputs it took, what it raised, and its slowest input. The second gives the processor
time of texts of one bad shape at an eighth, a quarter, half and the whole of a size. Exit code 1 if anything raises.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
import traceback
from pathlib import Path
from tempfile import TemporaryDirectory

from pipeline.batch import build_all
from pipeline.files import discover
from pipeline.options import Options
from tests.fuzz.families import FAMILIES
from tests.fuzz.targets import FIXTURES, TARGETS, Target, check

_SIGNS = b"0123456789:=,>_-!?*'\"./|&;+acXTv \n<>{}[]\\\0\xff"
_INTERVALS = [b"M2", b"-m3", b"C4:G5", b"P8", b"A4", b"Bb2:F#6"]
_SLOW = 5.0


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.fuzz")
    asked.add_argument("--inputs", type=int, default=20_000, help="for each target at most")
    asked.add_argument("--seconds", type=float, default=120.0, help="for each target at most")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--target", choices=TARGETS)
    asked.add_argument("--growth", action="store_true")
    asked.add_argument("--size", type=int, default=1_000_000)
    options = asked.parse_args()
    if options.growth:
        return growth(options.size)
    with TemporaryDirectory() as folder:
        written = Path(folder)
        list(build_all(discover([FIXTURES / "anthology" / "songs"]), written, Options()))
        chosen = [options.target] if options.target else list(TARGETS)
        counts = [attacked(name, written, options.inputs, options.seconds, options.seed) for name in chosen]
    print(f"{sum(tried for tried, _ in counts)} inputs, {sum(raised for _, raised in counts)} raised")
    return int(any(raised for _, raised in counts))


def attacked(name: str, written: Path, inputs: int, seconds: float, seed: int) -> tuple[int, int]:
    """How many inputs a target took, and how many of them made it raise."""
    target, pattern = TARGETS[name]
    seeds = _seeds(pattern, written)
    rng = random.Random(f"{seed} {name}")
    end, raised, slowest, size, tried = time.monotonic() + seconds, 0, 0.0, 0, 0
    while tried < inputs and time.monotonic() < end:
        data = mutated(rng, seeds)
        tried += 1
        taken, failed = _tried(target, data)
        raised += failed
        if taken > slowest:
            slowest, size = taken, len(data)
    print(f"{name:10} {tried:8} inputs  {raised:3} raised  slowest {slowest:6.3f} s at {size} bytes", flush=True)
    return tried, raised


def _seeds(pattern: str, written: Path) -> list[bytes]:
    if not pattern:
        return _INTERVALS
    places = FIXTURES.rglob(pattern) if pattern.endswith(".intav") else written.rglob(pattern)
    return [place.read_bytes() for place in sorted(places)]


def mutated(rng: random.Random, seeds: list[bytes]) -> bytes:
    """One of the seeds with up to a dozen changes: bytes cut, put in, swapped, doubled; or a stretch of another."""
    data = bytearray(rng.choice(seeds))
    for _ in range(rng.randint(1, 12)):
        place = rng.randrange(len(data) + 1)
        match rng.randrange(5):
            case 0:
                del data[place : place + rng.choice((1, 1, 2, 8, 64))]
            case 1:
                data[place:place] = bytes((rng.choice(_SIGNS),))
            case 2:
                data[place:place] = data[place : place + rng.choice((1, 4, 32))] * rng.choice((1, 2, 50))
            case 3:
                other = rng.choice(seeds)
                start = rng.randrange(len(other) + 1)
                data[place : place + 20] = other[start : start + 20]
            case _:
                data[place : place + 1] = bytes((rng.randrange(256),))
    return bytes(data)


def _tried(target: Target, data: bytes) -> tuple[float, bool]:
    start = time.process_time()
    try:
        target(data)
    except Exception:
        print(f"--- {data[:200]!r}")
        traceback.print_exc(limit=-4, file=sys.stdout)
        return time.process_time() - start, True
    return time.process_time() - start, False


def growth(size: int) -> int:
    """Seconds of the whole check for each family at four sizes."""
    wrong = 0
    for name, family in FAMILIES.items():
        times = []
        for part in (8, 4, 2, 1):
            taken, failed = _tried(check, family(size // part).encode())
            wrong += failed
            times.append(taken)
        slow = "  SLOW" if times[-1] > _SLOW * size / 1_000_000 else ""
        print(f"{name:44}" + "".join(f" {taken:7.3f}" for taken in times) + slow, flush=True)
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
