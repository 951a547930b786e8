"""A page that is open while its piece is watched shows what was saved, keeps its place, and asks for nothing else."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.machine import asked_for, complaints

ROOT = Path(__file__).parent.parent.parent
PIECE = (
    "longneck 1\ntitle {}\ninstrument theorbo in A\nmetre C\n\n" + "| 2=7,4:0,3:0 4=3:2 3:3\n" * 12 + "| 1=7,4:2 |||\n"
)
#: Seconds that the slowest machine may take.
LONG = 120.0


@pytest.fixture(scope="module")
def watched(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A folder with two pieces in it, watched by the program."""
    folder = tmp_path_factory.mktemp("watched")
    (folder / ".git").mkdir()
    for name in ("a", "b"):
        (folder / f"{name}.intav").write_text(PIECE.format(name.upper()), encoding="utf-8")
    with (folder / "log").open("wb") as stream:
        process = subprocess.Popen(
            [sys.executable, "-m", "pipeline", "watch", ".", "--out", "out", "--jobs", "1"],
            stdout=stream,
            stderr=stream,
            cwd=folder,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        try:
            until(lambda: b"Watching." in (folder / "log").read_bytes())
            (folder / "pid").write_text(str(process.pid), encoding="utf-8")
            yield folder
            if not (folder / "ending").exists():
                process.send_signal(signal.SIGINT)
            assert process.wait(LONG) == 0
        finally:
            process.kill()
            process.wait()


def until(told: Callable[[], bool]) -> None:
    end = time.monotonic() + LONG
    while not told():
        assert time.monotonic() < end
        time.sleep(0.02)


def heading(driver: Any) -> str:
    """The title as it stands in the page now; nothing while it loads."""
    found = driver.execute_script("const h = document.querySelector('h1'); return h ? h.textContent : ''")
    return str(found)


def test_what_is_saved_is_seen(watched: Path, driver: Any) -> None:
    driver.get("about:blank")
    complaints(driver), asked_for(driver)
    driver.get((watched / "out/a/proof.html").as_uri())
    assert heading(driver) == "A"
    (watched / "a.intav").write_text(PIECE.format("Saved"), encoding="utf-8")
    until(lambda: heading(driver) == "Saved")
    (watched / "a.intav").write_text(PIECE.format("Again").replace("7,4:2", "7:1,4:2"), encoding="utf-8")
    until(lambda: heading(driver) == "Again")
    assert "fretted-diapason" in driver.page_source
    assert complaints(driver) == []
    assert {address.partition(":")[0] for address in asked_for(driver)} <= {"file", "data"}


def test_a_page_keeps_its_place(watched: Path, driver: Any) -> None:
    driver.get((watched / "out/b/proof.html").as_uri())
    driver.execute_script("document.getElementById('text').scrollTo(0, 60)")
    before = driver.execute_script("return document.getElementById('text').scrollTop")
    (watched / "b.intav").write_text(PIECE.format("Elsewhere"), encoding="utf-8")
    until(lambda: heading(driver) == "Elsewhere")
    until(lambda: driver.execute_script("return document.getElementById('text').scrollTop") == before)


def test_the_page_of_all_pieces_is_told_too(watched: Path, driver: Any) -> None:
    driver.get((watched / "out/index.html").as_uri())
    (watched / "a.intav").write_text(PIECE.format("In the list"), encoding="utf-8")
    until(lambda: "In the list" in driver.execute_script("return document.body ? document.body.textContent : ''"))
    assert complaints(driver) == []


def test_a_page_keeps_its_place_over_an_empty_save_and_when_bars_come_above(watched: Path, driver: Any) -> None:
    """By what bars hold: the chosen one, and the line of the text that is looked at."""
    driver.get((watched / "out/b/proof.html").as_uri())
    driver.execute_script("choose('b9', 'text'); textPane.scrollTop = byId('L14').offsetTop; window.before = true")
    where = "return byId(lineId(0, bars[barOf(now.chosen) - 1].line)).getBoundingClientRect().top"
    before = driver.execute_script(where)
    (watched / "b.intav").write_text("", encoding="utf-8")
    until(lambda: bool(driver.execute_script("return document.readyState === 'complete' && bars.length === 0")))
    longer = PIECE.format("Longer").replace("metre C\n\n", "metre C\n\n| 1=8\n| 1=9\n| 1=X\n")
    (watched / "b.intav").write_text(longer, encoding="utf-8")
    until(lambda: heading(driver) == "Longer")
    assert driver.execute_script("return now.chosen") == "b12"
    assert abs(driver.execute_script(where) - before) < 3


def test_a_page_says_when_the_watch_has_ended(watched: Path, driver: Any) -> None:
    """The last test of this file: it ends the watch."""
    driver.get((watched / "out/a/proof.html").as_uri())
    said = "const it = document.querySelector('.ended'); return it ? it.textContent : ''"
    assert driver.execute_script(said) == ""
    (watched / "ending").touch()
    os.kill(int((watched / "pid").read_text(encoding="utf-8")), signal.SIGINT)
    until(lambda: "The watch has ended" in driver.execute_script(said))
