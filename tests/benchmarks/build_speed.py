"""The whole build against the engraver's own time for the documents of the first release, in one run.

    python -m tests.benchmarks.build_speed

For pieces of 50, 500 and 5,000 events, in seconds of processor: the engraver's load, layout and drawing of what the
first release wrote (the floor, ``floor/``), the same of what is written today, the whole build, its ratio to both, and
our own time per event; then the time of every stage and writer of ours. Each figure is the best of several runs.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

import verovio
from rich.console import Console
from rich.table import Table

from pipeline.edition.casting import cast_off
from pipeline.edition.lead import lead
from pipeline.edition.notate import notate, notate_copy
from pipeline.edition.reduce import reduce
from pipeline.edition.spell import spell
from pipeline.folder.batch import Done, Job, build_one
from pipeline.folder.files import PieceFile
from pipeline.model.copy import Copy, Fullness
from pipeline.model.options import Options
from pipeline.model.song import Song
from pipeline.model.text import SourceText
from pipeline.source.checks import run_checks
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve
from pipeline.writers.engrave import engrave
from pipeline.writers.engrave.drawing import COPY_OPTIONS, OPTIONS
from pipeline.writers.events import write_events
from pipeline.writers.mei import write_mei
from pipeline.writers.musicxml import write_musicxml
from tests.benchmarks import floor

T = TypeVar("T")
SIZES = (50, 500, 5000)
#: How often each is measured: the short ones are the more easily disturbed.
REPEATS = (9, 5, 3)
HEADING = "longneck 1\ntitle Trial of speed\ninstrument theorbo in A\nmetre C\nkey D minor\n\n"


def piece_of(events: int) -> SourceText:
    """An invented piece: chords on the beat over a diapason, single notes between; eight events a bar."""
    rng = random.Random(1)
    bars = []
    for _ in range(-(-events // 8)):
        words = []
        for place in range(8):
            fret = rng.randrange(6)
            if place % 4 == 0:
                words.append(f"{rng.choice(('7', '8', '9', 'X'))},4:{rng.randrange(4)},3:{fret}")
            else:
                words.append(f"{rng.randrange(1, 4)}:{fret}")
        words[0] = f"8={words[0]}"
        bars.append("| " + " ".join(words))
    return SourceText.of("speed.intav", HEADING + "\n".join(bars) + "\n")


def best(run: Callable[[], T], repeats: int, clock: Callable[[], float] = time.perf_counter) -> tuple[float, T]:
    """Shortest of several runs, in seconds of the clock, and what it made."""
    times = []
    for _ in range(repeats):
        start = clock()
        made = run()
        times.append(clock() - start)
    return min(times), made


def engraver_alone(documents: list[bytes]) -> int:
    """Verovio's load, layout and drawing of an edition and perhaps its copy. Returns the number of systems."""
    systems = 0
    for mei, more in zip(documents, ({}, COPY_OPTIONS), strict=False):
        toolkit = verovio.toolkit()
        toolkit.setOptions({**OPTIONS, **more, "breaks": "smart" if b"<sb" in mei else "auto"})
        toolkit.loadData(mei.decode())
        for page in range(1, toolkit.getPageCount() + 1):
            toolkit.renderToSVG(page)
        systems += int(toolkit.getPageCount())
    return systems


def documents_of(source: SourceText, *, copy: bool) -> list[bytes]:
    """The documents that the engraver is given: the edition, and with ``copy`` the singer's copy."""
    tablature = parse(source).value
    voiced = spell(lead(resolve(tablature, declare(tablature).value).value))
    scores = [notate(voiced)]
    if copy:
        scores.append(notate_copy(reduce(voiced, Fullness.PLAYABLE), Song(), Copy()))
    return [write_mei(cast_off(score)) for score in scores]


def built(source: SourceText, *, copy: bool) -> Done:
    """The whole build as the command does it: from the file read to every artefact written."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / source.name
        path.write_text(source.text, encoding="utf-8")
        return build_one(Job(PieceFile(path, source.name, Path("speed")), Path(folder) / "out"), Options(copy=copy))


def least(runs: Sequence[Callable[[], object]], repeats: int) -> list[float]:
    """Least seconds of processor of each run. They take turns, so that a slower minute of a shared machine counts for
    all of them."""
    times: list[list[float]] = [[] for _ in runs]
    for _ in range(repeats):
        for run, took in zip(runs, times, strict=True):
            took.append(best(run, 1, time.process_time)[0])
    return [min(took) for took in times]


def main() -> None:
    table = Table(title="Whole build against the engraver alone, seconds of processor")
    for column in ("events", "what", "floor", "today", "build", "to floor", "to today", "ours µs/event"):
        table.add_column(column, justify="right")
    for size, repeats in zip(SIZES, REPEATS, strict=True):
        source = piece_of(size)
        for copy in (False, True):
            packed = floor.unpacked(floor.of_events(size, copy=copy))
            written = documents_of(source, copy=copy)
            runs = (
                partial(floor.draw_all, packed),
                partial(engraver_alone, written),
                partial(built, source, copy=copy),
            )
            first, today, whole = least(runs, repeats)
            table.add_row(
                f"{size:,}",
                "with copy" if copy else "edition",
                f"{first:.3f}",
                f"{today:.3f}",
                f"{whole:.3f}",
                f"{whole / first:.2f}",
                f"{whole / today:.2f}",
                f"{(whole - today) / size * 1e6:.0f}",
            )
    console = Console()
    console.print(table)
    console.print(stages(piece_of(5000)))


def stages(source: SourceText) -> Table:
    """Where our own time goes."""
    table = Table(title="Where the time goes, 5,000 events")
    table.add_column("step")
    table.add_column("ms", justify="right")
    steps: list[tuple[str, float]] = []

    def timed(name: str, run: Callable[[], T]) -> T:
        seconds, made = best(run, 2, time.process_time)
        steps.append((name, seconds))
        return made

    tablature = timed("parse", lambda: parse(source)).value
    heading = timed("declare", lambda: declare(tablature)).value
    sounding = timed("resolve", lambda: resolve(tablature, heading)).value
    timed("checks", lambda: run_checks(sounding))
    led = timed("lead", lambda: lead(sounding))
    voiced = timed("spell", lambda: spell(led))
    score = timed("notate", lambda: notate(voiced))
    mei = timed("write MEI", lambda: write_mei(cast_off(score)))
    timed("write MusicXML", lambda: write_musicxml(score))
    timed("write events", lambda: write_events(voiced))
    timed("engrave", lambda: engrave(mei, score))
    for name, seconds in steps:
        table.add_row(name, f"{seconds * 1000:.0f}")
    return table


if __name__ == "__main__":
    main()
