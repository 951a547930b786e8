"""A watched page loads itself anew when the file beside it says so, and what was looked at stays."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest

from pipeline.folder.batch import build_all
from pipeline.folder.files import discover
from pipeline.model.options import Options
from tests.browser.conftest import FIXTURES, Page

#: A bar of the ground, and the same with an octave pinned.
PLAIN = "| 4=X,4:2,3:3,2:1 4.=3:5 8=3:6\n"
PINNED = '| 4=X,4:2,3:3,2:1"a 4.=3:5 8=3:6\n"a > octave up\n'


@pytest.fixture(scope="module")
def watched(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("watched")
    (folder / ".git").mkdir()
    text = (FIXTURES / "anthology" / "theorbo" / "02-ground.intav").read_text(encoding="utf-8")
    pinned = text.replace(PLAIN, PINNED, 1)  # an octave whose other reading can be shown, whatever the reader finds
    assert pinned != text
    (folder / "piece.intav").write_text(pinned, encoding="utf-8")
    build(folder)
    return folder


def build(folder: Path) -> None:
    assert not any(done.fault for done in build_all(discover([folder]), folder / "out", Options(live=True)))


def stamp(folder: Path, text: str) -> None:
    for place in (folder / "out", folder / "out" / "piece"):
        (place / "stamp.js").write_text(f'longneckStamp("{text}");', encoding="utf-8")


def test_a_new_build_is_seen_and_what_was_looked_at_stays(page: Page, watched: Path) -> None:
    stamp(watched, "one")
    page.driver.get((watched / "out" / "piece" / "proof.html").as_uri())
    octave = page.run(
        "return document.querySelector('#hand .item:is([data-hand=asked], [data-hand=restored])').dataset.at"
    )
    page.run("choose('b30e2', ''); setSize(1.5); setView('reduction'); showPane('hand'); toggleOther(arguments[0]);"
             "document.querySelector('#filters input').click(); document.getElementById('pace').value = 99;"
             "textPane.scrollTop = 777; window.before = true", octave)  # fmt: skip
    scrolled = page.run("return [scorePane.scrollTop, textPane.scrollTop]")
    time.sleep(0.8)
    assert page.run("return window.before")  # nothing new: nothing happens
    text = (watched / "piece.intav").read_text(encoding="utf-8")
    (watched / "piece.intav").write_text(text.replace("title Passacaglia", "title Ciaccona"), encoding="utf-8")
    build(watched)
    written = time.monotonic()
    stamp(watched, "two")
    page.wait(
        "return !window.before && document.readyState === 'complete' && document.fonts.status === 'loaded' && "
        "document.querySelector('h1').textContent.startsWith('Ciaccona')"
    )
    assert time.monotonic() - written < 1.5
    assert page.run("return [now.chosen, now.size, now.view, [...now.other], document.body.dataset.list]") == [
        "b30e2", 1.5, "reduction", [octave], "hand",
    ]  # fmt: skip
    assert page.run(
        "return [document.querySelector('#filters input').checked, document.getElementById('pace').value]"
    ) == [False, "99"]
    assert page.run("return [scorePane.scrollTop, textPane.scrollTop]") == pytest.approx(scrolled, abs=2)
    assert page.run("return [...document.querySelectorAll('#findings .item.error')].map((item) => item.hidden)") == [
        True
    ]


def test_the_page_of_all_pieces_too(page: Page, watched: Path) -> None:
    stamp(watched, "one")
    page.driver.get((watched / "out" / "index.html").as_uri())
    time.sleep(0.5)
    page.run("window.before = true")
    stamp(watched, "three")
    page.wait("return !window.before")


def test_without_a_stamp_nothing_happens(page: Page, watched: Path) -> None:
    for place in (watched / "out", watched / "out" / "piece"):
        (place / "stamp.js").unlink(missing_ok=True)
    page.driver.get((watched / "out" / "piece" / "proof.html").as_uri())
    page.run("window.before = true")
    time.sleep(0.7)
    assert page.run("return window.before")


def test_other_pages_never_ask(page: Page) -> None:
    text = (page.out / "02-ground" / "proof.html").read_text(encoding="utf-8")
    assert "stamp.js" not in text and re.search(r"script-src 'sha256-[\w+/=]{44}';", text)
    page.open("02-ground")
    time.sleep(0.5)
    assert page.run("return performance.getEntriesByType('resource').length") == 0
