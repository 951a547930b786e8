"""From save to stamp to seen: ``python -m tests.benchmarks.watch_speed [SAVES]``.

A piece of 60 bars (some 480 events, chords of three and four notes) is saved again and again, each time with another
title, while it is watched. Said are the seconds from the save until the stamp is written, and, where a browser is at
hand, until the new title stands in the open page with its first sheet drawn.
"""

from __future__ import annotations

import os
import random
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.browser.machine import browser, missing

ROOT = Path(__file__).parent.parent.parent
HEADING = "longneck 1\ntitle {}\ninstrument theorbo in A\npitch 415\ndiapasons 12 = Bb1\nmetre C\nkey D minor\n\n"
CHORDS = ("X,4:2,3:3,2:1", "7,4:0,3:0,2:0", "11,4:2,3:5", "8,4:2,3:1,2:1", "6:0,5:2,4:2,3:2", "9,4:2,3:0", "12,4:3,3:3")
LINE = ("3:0", "3:1", "3:3", "3:5", "2:0", "2:1", "2:3", "1:0")
#: The title is the new one, and a sheet is drawn.
SEEN = """
const title = document.querySelector("h1"), sheet = document.querySelector(".sheet");
return !!title && title.textContent === arguments[0] && !!sheet && !!sheet.shadowRoot.querySelector("svg");
"""
#: Seconds after which a save counts as lost.
LOST = 30.0


def piece(bars: int = 60, seed: int = 1) -> str:
    """The music of a piece, under a heading that lacks its title."""
    chance = random.Random(seed)
    lines = []
    for _ in range(bars):
        first, last = chance.choice(CHORDS), chance.choice(CHORDS)
        notes = [chance.choice(LINE) for _ in range(6)]
        lines.append(f"| 4={first} 8={notes[0]} {notes[1]} 16={' '.join(notes[2:])} 4={last}")
    return HEADING + "\n".join(lines) + " |||\n"


def main() -> None:
    """Print the table."""
    saves = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / ".git").mkdir()
        (folder / "piece.intav").write_text(piece().format("Begun"), encoding="utf-8")
        process = subprocess.Popen(
            [sys.executable, "-m", "pipeline", "watch", "piece.intav", "--out", "out", "--jobs", "1"],
            stdout=subprocess.DEVNULL,
            cwd=folder,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        try:
            stamp = folder / "out/piece/stamp.js"
            _until(stamp.exists)
            _say("save to stamp", [_to_stamp(folder, stamp, number) for number in range(saves)])
            if missing():
                print(f"save to seen: {missing()}")
                return
            with browser(folder / "profile") as driver:
                driver.get((folder / "out/piece/proof.html").as_uri())
                _say("save to seen", [_to_seen(folder, driver, number) for number in range(saves)])
        finally:
            process.send_signal(signal.SIGINT)
            process.wait()


def _to_stamp(folder: Path, stamp: Path, number: int) -> float:
    before = stamp.read_bytes()
    return _timed(folder, f"Stamp {number}", lambda: stamp.read_bytes() != before)


def _to_seen(folder: Path, driver: Any, number: int) -> float:
    return _timed(folder, f"Seen {number}", lambda: bool(driver.execute_script(SEEN, f"Seen {number}")))


def _timed(folder: Path, title: str, told: Callable[[], bool]) -> float:
    # Not in step with the looks of the program and of the page.
    time.sleep(0.7 + random.Random(title).random() * 0.35)
    (folder / "piece.intav").write_text(piece().format(title), encoding="utf-8")
    began = time.perf_counter()
    _until(told)
    return time.perf_counter() - began


def _until(told: Callable[[], bool]) -> None:
    end = time.perf_counter() + LOST
    while not told():
        if time.perf_counter() > end:
            raise TimeoutError("a save was never seen")
        time.sleep(0.02)  # asking takes time of its own


def _say(what: str, seconds: list[float]) -> None:
    every = sorted(seconds)
    middle = statistics.median(every)
    print(f"{what}: median {middle:.2f} s, least {every[0]:.2f}, most {every[-1]:.2f} ({len(every)} saves)")


if __name__ == "__main__":
    main()
