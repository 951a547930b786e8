"""Collections of every size: what a run costs a piece, what the main process holds, and what one piece asked costs.

    python -m tests.benchmarks.scale [--most 20000] [--minutes 14] [--stand-in 100000]

One table, from 200 pieces up, of short, middling and long pieces (``collection.py``), in the usual forms, with all five
reports. A row that would take more than its part of the minutes, by what a piece took in the row before, is not left
out: its pieces are built by work that takes no time (``stand_in.py``), and the table says so. ``--stand-in`` adds a row
of that many pieces by such work alone.
"""

from __future__ import annotations

import argparse
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console
from rich.table import Table

from pipeline.folder.cache import versions
from tests.benchmarks.collection import write_collection

ROOT = Path(__file__).parent.parent.parent
SIZES = (200, 2000, 20000)
#: Bars of a piece.
BARS = (1, 8, 60)
REPORTS = ("json", "sarif", "junit", "github", "markdown")
#: How often one piece is asked for; the best counts.
TIMES = 3


@dataclass(frozen=True, slots=True)
class Row:
    """One collection. Seconds on the clock; ``memory`` is the most that the main process held (MB)."""

    pieces: int
    bars: int
    real: bool
    cold: float
    warm: float
    one: float
    memory: float
    megabytes: float
    files: int
    largest: int

    @property
    def each(self) -> float:
        """Seconds for a piece, when all are built."""
        return self.cold / self.pieces


def build(collection: Path, path: str, out: Path, *, real: bool, reports: bool) -> tuple[float, float]:
    """Seconds on the clock, and MB that the main process held."""
    command = [sys.executable, "-m", "tests.benchmarks.stand_in", "real" if real else "none"]
    asked = [part for form in REPORTS for part in ("--report", f"{form}={out.parent / form}")] if reports else []
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    start = time.perf_counter()
    ran = subprocess.run(
        [*command, "build", path, "--out", str(out), *asked], cwd=collection, env=env, capture_output=True, check=False
    )
    wall = time.perf_counter() - start
    assert ran.returncode in (0, 1), ran.stderr.decode()
    return wall, float(ran.stderr.split()[-1])


def measured(folder: Path, pieces: int, bars: int, *, real: bool) -> Row:
    """One row, its collection and its editions taken away again."""
    collection, out = folder / "collection", folder / "out"
    write_collection(collection, pieces, bars)
    cold, held = build(collection, ".", out, real=real, reports=True)
    warm, again = build(collection, ".", out, real=real, reports=True)
    files = [path for path in out.rglob("*") if path.is_file()]
    size = sum(path.stat().st_size for path in files) / 1e6
    largest = max(path.stat().st_size for path in files if path.name.startswith("index"))
    one = min(_one(collection, out, number, real=real) for number in range(TIMES))
    shutil.rmtree(collection), shutil.rmtree(out)
    return Row(pieces, bars, real, cold, warm, one, max(held, again), size, len(files), largest)


def _one(collection: Path, out: Path, number: int, *, real: bool) -> float:
    """Seconds for one piece that has changed, asked for alone among all editions."""
    path = collection / "shelf1" / "0001.intav"
    path.write_text(path.read_text(encoding="utf-8").replace("title ", f"title {number} ", 1), encoding="utf-8")
    return build(collection, "shelf1/0001.intav", out, real=real, reports=False)[0]


def rows(folder: Path, most: int, seconds: float, stand_in: int) -> Iterator[Row]:
    """The rows, one by one. Each may take a half of the time that is left, the largest more."""
    end = time.perf_counter() + seconds
    each: dict[int, float] = {}
    sizes = [(pieces, bars) for pieces in SIZES if pieces <= most for bars in BARS]
    for pieces, bars in sizes:
        left = end - time.perf_counter()
        real = each.get(bars, 0.0) * pieces < left * (0.5 if pieces < most else 0.7)
        row = measured(folder, pieces, bars, real=real)
        if row.real:
            each[bars] = row.each
        yield row
    if stand_in:
        yield measured(folder, stand_in, BARS[0], real=False)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.scale")
    parser.add_argument("--most", type=int, default=SIZES[-1])
    parser.add_argument("--minutes", type=float, default=14.0)
    parser.add_argument("--stand-in", type=int, default=0)
    asked = parser.parse_args()
    told = ", ".join(f"{name} {version}" for name, version in versions().items())
    print(f"{time.strftime('%Y-%m-%d')}; {os.cpu_count()} cores; Python {platform.python_version()}; {told}")
    table = Table(title="Usual forms, five reports, one worker a core")
    for column in (
        "pieces",
        "bars",
        "work",
        "cold",
        "a piece",
        "warm",
        "one asked",
        "main process",
        "out",
        "index page",
    ):
        table.add_column(column, justify="right")
    with tempfile.TemporaryDirectory() as folder:
        for row in rows(Path(folder), asked.most, asked.minutes * 60, asked.stand_in):
            cells = (
                f"{row.pieces:,}",
                str(row.bars),
                "real" if row.real else "stand-in",
                f"{row.cold:.1f} s",
                f"{row.each * 1000:.1f} ms",
                f"{row.warm:.1f} s",
                f"{row.one:.2f} s",
                f"{row.memory:.0f} MB",
                f"{row.megabytes:,.0f} MB, {row.files:,} files",
                f"{row.largest / 1000:.0f} kB",
            )
            print("  " + "  ".join(cells), file=sys.stderr, flush=True)
            table.add_row(*cells)
    Console(width=140).print(table)


if __name__ == "__main__":
    main()
