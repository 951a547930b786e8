"""For everybody: no fault that a checker of accessibility finds, a narrow window, the dark, paper."""

from __future__ import annotations

import base64
import os
from pathlib import Path

import pypdfium2
import pytest

from tests.browser.conftest import Page
from tests.browser.machine import sized

#: The script of the checker: axe.min.js of the npm package axe-core.
AXE = os.environ.get("LONGNECK_AXE", "")
PANES = ("score", "text", "findings", "hand", "misprints", "source")
CHECK = """const done = arguments[arguments.length - 1];
axe.run(document, {resultTypes: ['violations']}).then((found) => done(found.violations
  .map((each) => [each.id, ...each.nodes.slice(0,
    5).map((node) => node.target.join(' ') + ' ' + node.failureSummary)])))"""
#: The drawings have thousands of elements: they are looked into once, not in every light and width.
WITHOUT_DRAWINGS = CHECK.replace("axe.run(document,", "axe.run({exclude: [['.sheet']]},")


@pytest.fixture
def checked(page: Page) -> Page:
    if not Path(AXE).is_file():
        pytest.skip("LONGNECK_AXE names no axe.min.js (npm package axe-core)")
    return page


def ready(page: Page, name: str) -> None:
    page.open(name)
    page.run(Path(AXE).read_text(encoding="utf-8"))


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [1400, 400])
def test_no_serious_fault(checked: Page, width: int, dark: bool) -> None:
    page = checked
    sized(page.driver, width, 900, dark=dark)
    ready(page, "index.html")
    page.run("for (const fold of document.querySelectorAll('details')) fold.open = true")
    assert page.driver.execute_async_script(WITHOUT_DRAWINGS) == []
    ready(page, "all signs #1")
    page.run("choose('b1e1c10', ''); for (const fold of document.querySelectorAll('details')) fold.open = true")
    for pane in PANES if width < 900 else PANES[2:]:
        page.run("showPane(arguments[0])", pane)
        assert page.driver.execute_async_script(WITHOUT_DRAWINGS) == [], pane
    page.press("?")
    assert page.driver.execute_async_script(WITHOUT_DRAWINGS) == []


@pytest.mark.parametrize("name", ["04-empty", "rhythm", "no-version"])
def test_no_serious_fault_in_other_pieces(checked: Page, name: str) -> None:
    ready(checked, name)
    assert checked.driver.execute_async_script(CHECK) == []


def test_the_checker_sees_a_fault(checked: Page) -> None:
    """The check above can fail: a button without a name, pale words."""
    page = checked
    ready(page, "02-ground")
    page.run("document.getElementById('keys').textContent = ''; document.querySelector('h1').style.color = '#ddd'")
    assert {each[0] for each in page.driver.execute_async_script(WITHOUT_DRAWINGS)} == {"button-name", "color-contrast"}


@pytest.mark.parametrize("width", [400, 800])
def test_a_narrow_window_never_scrolls_sideways(page: Page, width: int) -> None:
    sized(page.driver, width, 800)
    across = "return [document.documentElement.scrollWidth, document.body.scrollWidth]"
    for name in ("index.html", "all signs #1", "06-aria", "rhythm"):
        page.open(name)
        assert max(page.run(across)) <= width
        for pane in PANES if name != "index.html" else ():
            page.run("showPane(arguments[0])", pane)
            assert max(page.run(across)) <= width
            assert page.run(
                "const it = document.getElementById(arguments[0]); return it.scrollWidth <= it.clientWidth", pane
            )
            assert page.run("return document.getElementById(arguments[0]).clientHeight", pane) > 300


def test_all_panes_are_reached_on_a_narrow_window(page: Page) -> None:
    sized(page.driver, 400, 800)
    page.open("all signs #1")
    for name in ("text", "findings", "hand", "source", "score"):
        page.click("return document.querySelector(`#panes [data-pane=${arguments[0]}]`)", name)
        seen = page.run(
            "return [...document.querySelectorAll('.pane')].filter((each) => "
            "each.checkVisibility()).map((each) => each.id)"
        )
        assert seen == [name]


def test_size_of_the_score(page: Page) -> None:
    page.open("02-ground")
    width = "return document.querySelector('.sheet').getBoundingClientRect().width"
    before = page.run(width)
    page.press("+", "+")
    assert page.run(width) == pytest.approx(before * 1.56, rel=0.02)
    assert page.run("return document.getElementById('size').textContent") == "156 %"
    page.press("0")
    assert page.run(width) == pytest.approx(before, rel=0.01)


def test_the_dark_is_dark_inside_the_sheets_too(page: Page) -> None:
    sized(page.driver, 1400, 900, dark=True)
    page.open("02-ground")
    page.wait("return drawnSheets().length")
    paper, ink = page.run(
        "const root = sheets.get('edition 1').root; return [getComputedStyle(root.querySelector('.paper')).fill,"
        "getComputedStyle(root.querySelector('.notehead use')).fill]"
    )
    assert sum(map(int, paper[4:-1].split(","))) < 200
    assert sum(map(int, ink[4:-1].split(","))) > 500


def test_on_paper_stand_all_pages_findings_reasons_and_text(page: Page) -> None:
    page.open("02-ground")
    printed = base64.b64decode(page.driver.execute_cdp_cmd("Page.printToPDF", {"printBackground": True})["data"])
    document = pypdfium2.PdfDocument(printed)
    words = " ".join(" ".join(sheet.get_textpage().get_text_range().split()) for sheet in document)
    for said in (
        "Passacaglia sopra quattro note",
        "Quinta",
        "section Maggiore",
    ):
        assert said in words
    for hidden in ("Listen to bar", "Show G4 instead", "all kinds"):
        assert hidden not in words
    first = " ".join(document[0].get_textpage().get_text_range().split())
    assert "Theorbo in A, fourteen courses" in first  # the title stands over the music, not on a sheet of its own
    assert 4 <= len(document) <= 6


def test_on_paper_stand_the_questions_of_the_reading(page: Page) -> None:
    page.open("reading")
    printed = base64.b64decode(page.driver.execute_cdp_cmd("Page.printToPDF", {"printBackground": True})["data"])
    document = pypdfium2.PdfDocument(printed)
    words = " ".join(" ".join(sheet.get_textpage().get_text_range().split()) for sheet in document)
    assert "octave-doubtful" in words
    assert "the line may mean" in words
