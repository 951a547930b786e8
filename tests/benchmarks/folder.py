"""A whole folder, every time: what a build of many pieces costs, and what is saved when little has changed.

    python -m tests.benchmarks.folder [--pieces 1000] [--bars 60]

One table; every ratio is taken within the run. The pieces are invented (``collection.py``); each figure is that of
``longneck build`` in a process of its own, with all its processes counted. A run over 1,000 pieces takes about half an
hour on two cores.
"""

from __future__ import annotations

import argparse
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

import verovio
from rich.console import Console
from rich.table import Table

from pipeline.writers.engrave import OPTIONS
from pipeline.writers.engrave.drawing import COPY_OPTIONS
from tests.benchmarks import floor
from tests.benchmarks.build_speed import best
from tests.benchmarks.collection import BARS, piece, write_collection

ROOT = Path(__file__).parent.parent.parent
#: Pieces that music21 builds; its time per piece does not fall with their number.
FOR_MUSIC21 = 8
#: Seconds between two looks at the memory of the workers.
LOOK = 0.2


@dataclass(slots=True)
class Ran:
    """A build: seconds on the clock, seconds of processor, and the largest worker (MB) at each look."""

    wall: float
    cpu: float
    memory: list[float] = field(default_factory=list)


def build(collection: Path, out: Path, *options: str, look: bool = False) -> Ran:
    """One build, in processes of its own."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "pipeline", "build", ".", "--out", str(out), *options]
    memory: list[float] = []
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    process = subprocess.Popen(command, env=env, cwd=collection, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    if look:
        threading.Thread(target=_look, args=(process, memory), daemon=True).start()
    _, errors = process.communicate()
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert process.returncode in (0, 1) and not errors, errors.decode()
    return Ran(wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, memory)


def _look(process: subprocess.Popen[bytes], memory: list[float]) -> None:
    """The resident memory of the largest child, as long as the process runs. Linux only."""
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    while process.poll() is None:
        sizes = [
            _resident(number) for task in children.parent.parent.glob("*/children") for number in _read(task).split()
        ]
        memory.append(max(sizes, default=0.0))
        time.sleep(LOOK)


def _resident(number: str) -> float:
    for line in _read(Path(f"/proc/{number}/status")).splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1000
    return 0.0


def _read(path: Path) -> str:
    try:
        return path.read_text()
    except OSError:
        return ""


def floor_of(pieces: int, bars: int) -> float:
    """Seconds of processor for verovio's load, layout and drawing of what the first release wrote for such a folder:
    measured on one piece of each kind, counted for all pieces of a kind, and in proportion to the bars."""
    kinds = floor.of_pieces()
    of_kind = [floor.seconds(documents, 2) for documents in kinds]
    return sum(of_kind[number % len(kinds)] for number in range(pieces)) * bars / BARS


def engraver_alone(out: Path) -> float:
    """Seconds of processor for verovio's load, layout and drawing of the documents written today."""
    start = time.process_time()
    for path in sorted(out.rglob("*.mei")):
        mei = path.read_text(encoding="utf-8")
        toolkit = verovio.toolkit()
        more = COPY_OPTIONS if path.name == "reduction.mei" else {}
        toolkit.setOptions({**OPTIONS, **more, "breaks": "smart" if "<sb" in mei else "auto"})
        toolkit.loadData(mei)
        for page in range(1, toolkit.getPageCount() + 1):
            toolkit.renderToSVG(page)
    return time.process_time() - start


def music21_alone(pieces: int, bars: int) -> float:
    """Seconds of processor a piece for building the notes of the editions in music21, and exporting them."""
    # Imported late: only this row needs it.
    from music21.musicxml.m21ToXml import GeneralObjectExporter  # noqa: PLC0415

    from pipeline.model.text import SourceText  # noqa: PLC0415
    from tests.benchmarks.musicxml_speed import build_in_music21, score_of_text  # noqa: PLC0415

    total = 0.0
    for number in range(pieces):
        score = score_of_text(SourceText.of(f"{number}.intav", piece(number, bars)))
        start = time.process_time()
        GeneralObjectExporter(build_in_music21(score)).parse()
        total += time.process_time() - start
    return total / pieces


class Rows:
    """The table, filled row by row and shown at once, for the patience of those who wait."""

    def __init__(self, title: str) -> None:
        self.table = Table(title=title)
        for column in ("what", "measured", "aim"):
            self.table.add_column(column, justify="left" if column == "what" else "right")

    def add(self, what: str, measured: str, aim: str = "") -> None:
        print(f"  {what}: {measured}", file=sys.stderr, flush=True)
        self.table.add_row(what, measured, aim)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.folder")
    parser.add_argument("--pieces", type=int, default=1000)
    parser.add_argument("--bars", type=int, default=BARS)
    asked = parser.parse_args()
    rows = Rows(f"{asked.pieces:,} pieces of {asked.bars} bars, {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as folder:
        _measure(Path(folder), asked.pieces, asked.bars, rows)
    Console().print(rows.table)


def _measure(folder: Path, pieces: int, bars: int, rows: Rows) -> None:
    collection, out = folder / "collection", folder / "out"
    write_collection(collection, pieces, bars)
    one = build(collection, folder / "one", "--jobs", "1")
    rows.add("cold, one worker", f"{one.wall:.1f} s")
    two = build(collection, out, "--jobs", "2", look=True)
    rows.add("cold, two workers", f"{two.wall:.1f} s")
    rows.add("– two workers against one", f"{one.wall / two.wall:.2f} times", "1.8 times")
    _same(folder / "one", out)
    first, engraver = floor_of(pieces, bars), engraver_alone(out)
    rows.add("engraver alone, documents of the first release", f"{first:.1f} s of processor")
    rows.add("– all processor time against it", f"{one.cpu / first:.2f} times", "1.5 times")
    rows.add("engraver alone, documents of today", f"{engraver:.1f} s of processor")
    rows.add("– all processor time against it", f"{one.cpu / engraver:.2f} times")
    _memory(two, pieces, rows)
    _again(collection, out, two.wall, rows)
    shutil.rmtree(out)
    _musicxml(folder, collection, pieces, bars, rows)
    _growth(folder, one.wall, pieces, bars, rows)


def _same(one: Path, two: Path) -> None:
    """However many workers: the same files, byte for byte."""
    ran = subprocess.run(["diff", "-r", str(one), str(two)], check=False, capture_output=True)
    assert ran.returncode == 0, ran.stdout[:2000]
    shutil.rmtree(one)


def _memory(ran: Ran, pieces: int, rows: Rows) -> None:
    tenth = max(1, len(ran.memory) // 10)
    early, late = max(ran.memory[tenth : 2 * tenth], default=0.0), max(ran.memory[-tenth - 1 : -1], default=0.0)
    rows.add("largest worker, whole run", f"{max(ran.memory, default=0.0):.0f} MB", "250 MB")
    rows.add(f"– after {pieces // 10} pieces, at the end", f"{early:.0f} MB, {late:.0f} MB", "flat")


def _again(collection: Path, out: Path, cold: float, rows: Rows) -> None:
    warm, _ = best(partial(build, collection, out, "--jobs", "2"), 3)
    rows.add("warm, nothing changed", f"{warm:.2f} s")
    rows.add("– against cold, two workers", f"{warm / cold * 100:.2f} %", "2 %")
    changed = collection / "shelf0" / "0000.intav"
    alone, _ = best(lambda: _one_alone(changed, out.parent / "alone"), 2)
    changed.write_text(changed.read_text(encoding="utf-8").replace("title ", "title A new ", 1), encoding="utf-8")
    again, _ = best(partial(build, collection, out, "--jobs", "2"), 1)
    rows.add("one piece changed", f"{again:.2f} s, alone {alone:.2f} s")
    rows.add("– the rest against cold", f"{(again - alone) / cold * 100:.2f} %", "2 %")


def _one_alone(changed: Path, out: Path) -> None:
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "pipeline", "build", str(changed), "--out", str(out)]
    subprocess.run(command, env=env, check=False, capture_output=True)
    shutil.rmtree(out)


def _musicxml(folder: Path, collection: Path, pieces: int, bars: int, rows: Rows) -> None:
    ran = build(collection, folder / "musicxml", "--jobs", "1", "--no-copy", "--only", "musicxml")
    shutil.rmtree(folder / "musicxml")
    other = music21_alone(min(FOR_MUSIC21, pieces), bars)
    rows.add("MusicXML only, text to file", f"{ran.cpu / pieces * 1000:.0f} ms of processor a piece")
    rows.add(
        f"music21, build and export ({min(FOR_MUSIC21, pieces)} pieces)", f"{other * 1000:.0f} ms of processor a piece"
    )
    rows.add("– music21 against it", f"{other / (ran.cpu / pieces):.1f} times", "15 times")


def _growth(folder: Path, whole: float, pieces: int, bars: int, rows: Rows) -> None:
    """Time for a quarter of the pieces, and for a piece four times as long, against the whole."""
    quarter = max(1, pieces // 4)
    write_collection(folder / "quarter", quarter, bars)
    few = build(folder / "quarter", folder / "few", "--jobs", "1").wall / quarter
    rows.add(f"a piece among {quarter}, among {pieces}", f"{few * 1000:.0f} ms, {whole / pieces * 1000:.0f} ms", "flat")
    times = []
    for factor in (1, 4, 16):
        write_collection(folder / f"long{factor}", 4, bars * factor)
        seconds = build(folder / f"long{factor}", folder / "long", "--jobs", "1").cpu
        times.append(seconds / (4 * bars * factor))
        shutil.rmtree(folder / "long")
    said = ", ".join(f"{seconds * 1000:.1f}" for seconds in times)
    rows.add(f"a bar in pieces of {bars}, {bars * 4}, {bars * 16} bars", f"{said} ms of processor", "flat")


if __name__ == "__main__":
    main()
