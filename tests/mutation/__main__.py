"""``python -m tests.mutation --sample N --seed S``: which of N small faults the tests notice."""

from __future__ import annotations

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue

from tests.mutation.mutants import Mutant, how_many, mutant
from tests.mutation.rooms import ROOMS, ROOT, sources

Chosen = tuple[str, Path, Mutant]


def chosen(rooms: list[str], sample: int, seed: int) -> list[Chosen]:
    """A sample, as even over the rooms as it divides."""
    draw = random.Random(seed)
    found: list[Chosen] = []
    for place, room in enumerate(rooms):
        texts = {path: path.read_text(encoding="utf-8") for path in sources(room)}
        here = [(path, number) for path, text in texts.items() for number in range(how_many(text))]
        share = sample // len(rooms) + (place < sample % len(rooms))
        picked = draw.sample(here, min(share, len(here)))
        found += [(room, path, mutant(texts[path], number)) for path, number in picked]
    return found


def copied(folder: Path) -> Path:
    """A copy of the project to break."""
    tree = folder / "tree"
    left = shutil.ignore_patterns(".git", ".venv", "out", "__pycache__", ".*_cache", ".hypothesis")
    shutil.copytree(ROOT, tree, ignore=left)
    (tree / ".git").mkdir()  # the root of a collection is found by it, and names count from there
    return tree


def tested(tree: Path, paths: tuple[str, ...], limit: float) -> str:
    """``killed``, ``survived`` or ``too slow`` (killed too: a program that does not end is noticed)."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *paths]
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(tree), "OPENBLAS_NUM_THREADS": "1"}
    try:
        done = subprocess.run(command, cwd=tree, env=environment, capture_output=True, timeout=limit, check=False)
    except subprocess.TimeoutExpired:
        return "too slow"
    if done.returncode not in (0, 1, 2):
        raise RuntimeError(done.stdout.decode()[-2000:] + done.stderr.decode()[-2000:])
    return "killed" if done.returncode else "survived"


def tried(one: Chosen, trees: Queue[Path], limit: float) -> tuple[Chosen, str]:
    """Break a free copy, test it, mend it."""
    room, path, broken = one
    tree = trees.get()
    there = tree / path.relative_to(ROOT)
    before = there.read_text(encoding="utf-8")
    try:
        there.write_text(broken.text, encoding="utf-8")
        return one, tested(tree, ROOMS[room][1], limit)
    finally:
        there.write_text(before, encoding="utf-8")
        trees.put(tree)


def main() -> int:
    """Prints every mutant's fate; 0 if so many were killed as asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--sample", type=int, default=45)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--room", choices=ROOMS, action="append", help="only this room; may be repeated")
    parser.add_argument("--limit", type=float, default=180, help="seconds for one mutant")
    parser.add_argument("--jobs", type=int, default=1)
    asked = parser.parse_args()
    rooms = asked.room or list(ROOMS)
    fates: Counter[tuple[str, str]] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        trees: Queue[Path] = Queue()
        for number in range(asked.jobs):
            trees.put(copied(Path(folder) / str(number)))
        paths = tuple(dict.fromkeys(path for room in rooms for path in ROOMS[room][1]))
        if (fate := tested(Path(folder) / "0" / "tree", paths, 600)) != "survived":
            print(f"these tests fail without any mutant ({fate}): {' '.join(paths)}")
            return 2
        with ThreadPoolExecutor(asked.jobs) as pool:
            for (room, path, broken), fate in pool.map(
                lambda one: tried(one, trees, asked.limit), chosen(rooms, asked.sample, asked.seed)
            ):
                fates[room, fate] += 1
                print(f"{fate:9} {path.relative_to(ROOT)}:{broken.line} {broken.meaning}", flush=True)
    return summed(rooms, fates)


def summed(rooms: list[str], fates: Counter[tuple[str, str]]) -> int:
    """The figures; 0 if at least 85 in a hundred were noticed."""
    for room in rooms:
        all_of = sum(count for (where, _), count in fates.items() if where == room)
        print(f"{room:9} {all_of - fates[room, 'survived']} of {all_of}")
    survived = sum(count for (_, fate), count in fates.items() if fate == "survived")
    killed = fates.total() - survived
    print(f"noticed: {killed} of {fates.total()} ({100 * killed / max(fates.total(), 1):.0f} %)")
    return 0 if 100 * killed >= 85 * fates.total() else 1


if __name__ == "__main__":
    sys.exit(main())
