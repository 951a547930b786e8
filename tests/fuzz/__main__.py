"""Fuzzing, in one command.

    python -m tests.fuzz [--inputs N] [--seconds S] [--target NAME] [--seed N] [--guided]
    python -m tests.fuzz --growth [--size N]

Inputs are made up from parts of real files (``maker``) and, with ``--guided``, by coverage too, which wants atheris:
``pip install -e '.[fuzz]'``. What breaks a promise is made small and kept in ``out/fuzz``; the exit code is then 1.
"""

from __future__ import annotations

import argparse
import hashlib
import platform
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from tests.fuzz.growth import growth
from tests.fuzz.guided import Guided, guided
from tests.fuzz.maker import Maker
from tests.fuzz.running import Tally, run, shrunk
from tests.fuzz.seeds import words_for
from tests.fuzz.targets import TARGETS, Target

KEPT = Path("out") / "fuzz"
_HEAD = f"{'target':10} {'inputs':>9} {'faults':>6} {'s':>7} {'per s':>7}  slowest        coverage"


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("--inputs", type=int, default=20_000, help="how many inputs in all")
    parser.add_argument("--seconds", type=int, default=0, help="and no longer than this for each target")
    parser.add_argument("--target", choices=tuple(TARGETS), action="append", help="only this target")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--guided", action="store_true", help="as many inputs again, guided by coverage (atheris)")
    parser.add_argument("--growth", action="store_true", help="time texts of one bad shape instead, at growing sizes")
    parser.add_argument("--size", type=int, default=1_000_000, help="the largest of them, in characters")
    asked = parser.parse_args()
    if asked.growth:
        return growth(asked.size)
    targets = [TARGETS[name] for name in asked.target or TARGETS]
    whole = sum(target.share for target in targets)
    print(f"Python {platform.python_version()}, {platform.machine()}, seed {asked.seed}\n{_HEAD}", flush=True)
    total = failed = 0
    for target in targets:
        count = max(20, asked.inputs * target.share // whole)
        made = run(target.name, target.run, _inputs(target, count, asked.seed, asked.seconds))
        _print(made)
        total += made.inputs
        failed += len(made.broken)
        for data, said in made.broken.values():
            _keep(target, data, said)
        if asked.guided and not target.slow:
            found = guided(target.name, count, asked.seed, asked.seconds)
            total += found.inputs
            failed += bool(found.said)
            _print_guided(target, found)
    print(f"{total:,} inputs; {failed or 'no'} faults")
    return int(failed > 0)


def _inputs(target: Target, count: int, seed: int, seconds: int) -> Iterator[bytes]:
    """Every seed as it is, then what is made of them."""
    yield from target.seeds()[:count]
    maker = Maker(target.seeds(), words_for(target.name), seed)
    end = time.monotonic() + seconds
    for _ in range(count - len(target.seeds())):
        if seconds and time.monotonic() > end:
            return
        yield maker.input()


def _print(made: Tally) -> None:
    rate = made.inputs / made.seconds if made.seconds else 0
    slowest = f"{made.slowest:.3f} s, {len(made.slowest_input):,} B"
    print(f"{made.name:10} {made.inputs:9,} {made.faults:6} {made.seconds:7.1f} {rate:7.0f}  {slowest}", flush=True)


def _print_guided(target: Target, found: Guided) -> None:
    if found.missing:
        print(f"{'':10} not guided: atheris is not installed (pip install -e '.[fuzz]')", flush=True)
        return
    place = f"below {found.slowest + 1} s"
    print(f"{' guided':10} {found.inputs:9,} {bool(found.said):6} {'':15}  {place:14} {found.coverage:,}", flush=True)
    if found.said:
        _keep(target, found.crash, found.said)


def _keep(target: Target, data: bytes, said: str) -> None:
    """Write what broke a promise, made small, and say where it is."""
    KEPT.mkdir(parents=True, exist_ok=True)
    less = shrunk(target.run, data, said)
    place = KEPT / f"{target.name}-{hashlib.sha256(less).hexdigest()[:8]}"
    place.write_bytes(less)
    print(f"  {place}: {less[:120]!r}\n{said}", flush=True)


if __name__ == "__main__":
    sys.exit(main())
