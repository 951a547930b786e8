"""The index of a large collection in a browser: its search reaches every piece, its pages are valid and lead on."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.desk.proof.record import ListedPiece
from pipeline.folder.batch.index import write_index_of
from tests.browser.conftest import EVIL, Page
from tests.browser.machine import complaints, sized
from tests.browser.test_reach import AXE, CHECK
from tests.browser.test_valid import faults


def listed(folder: str, title: str, errors: int = 0) -> ListedPiece:
    return ListedPiece(f"{folder}.intav", title, folder, errors, 0, 0, ("findings.json", "proof.html"))


@pytest.fixture(scope="module")
def index(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two folders in many parts, one of them deep, a hostile title, a name that is no address and no UTF-8."""
    out = tmp_path_factory.mktemp("index")
    pieces = [listed(f"book/{number:03d}", f"Corrénte {number}", number % 2) for number in range(30)]
    pieces += [listed(f"book/deep #1/{number:03d}", EVIL) for number in range(12)]
    pieces += [listed("a b?/\udcff", "Last of all"), listed("z", "")]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("pipeline.folder.batch.index.dividing.MOST", 10)
        write_index_of(pieces, out)
    for one in pieces:
        folder = out / one.folder
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "proof.html").write_text("<!DOCTYPE html><title>proof</title>", encoding="utf-8")
    return out


def search(page: Page, words: str, found: str) -> list[str]:
    page.run("document.getElementById('asked').focus(); document.getElementById('asked').value = arguments[0]", words)
    page.run("document.getElementById('asked').dispatchEvent(new Event('input'))")
    page.wait("return document.getElementById('found').textContent.startsWith(arguments[0])", found)
    return list(
        page.run("return [...document.querySelectorAll('#results li')].map((row) => row.textContent.toWellFormed())")
    )


def test_the_search_reaches_every_piece_below(page: Page, index: Path) -> None:
    page.driver.get((index / "index.html").as_uri())
    assert len(search(page, "corrente", "30 of 44 pieces found")) == 30
    assert search(page, "CORRÉNTE 29 book", "1 of 44") == ["Corrénte 29 book/029.intav 1 error"]
    assert search(page, "nothing", "0 of 44") == []
    assert page.run("return document.querySelector('.wide').hidden") is True
    search(page, "", "")
    assert page.run("return document.querySelector('.wide').hidden") is False
    search(page, "last", "1 of 44")
    page.click("return document.querySelector('#results a')")
    page.wait("return document.title === 'proof'")
    assert page.driver.current_url.endswith("/a%20b%3F/%FF/proof.html")


def test_the_search_of_a_folder_stays_in_it(page: Page, index: Path) -> None:
    page.driver.get((index / "book/deep #1/index.html").as_uri())
    assert len(search(page, "0", "12 of 12 pieces found")) == 12
    assert page.run("return window.broken") is None
    assert page.run("return document.querySelector('#results a').textContent") == EVIL
    page.click("return document.querySelector('#results a')")
    page.wait("return document.title === 'proof'")


def test_every_page_leads_to_the_next_and_back(page: Page, index: Path) -> None:
    page.driver.get((index / "index.html").as_uri())
    page.click("return [...document.querySelectorAll('th a')].find((each) => each.textContent === 'book/')")
    page.wait("return document.querySelector('h1').textContent === 'book'")
    page.click("return [...document.querySelectorAll('th a')].find((each) => each.textContent === '01…')")
    page.wait("return document.querySelector('h1').textContent === 'book: 01…'")
    page.click("return [...document.querySelectorAll('nav a')][1]")
    page.wait("return document.querySelector('h1').textContent === 'book'")
    page.click("return document.querySelector('nav a')")
    page.wait("return document.querySelector('h1').textContent === 'All pieces'")
    assert complaints(page.driver) == []


@pytest.mark.parametrize("width", [1400, 400])
def test_pages_can_be_reached_and_fit(page: Page, index: Path, width: int) -> None:
    sized(page.driver, width, 900)
    for name in ("index.html", "book/index.html"):
        page.driver.get((index / name).as_uri())
        search(page, "corr", "30 of")
        assert page.run("return document.documentElement.scrollWidth") <= width
        if Path(AXE).is_file():
            page.run(Path(AXE).read_text(encoding="utf-8"))
            assert page.driver.execute_async_script(CHECK) == []


def test_the_pages_are_valid(index: Path) -> None:
    assert faults(*index.rglob("index*.html")) == []
