"""The critical report in a browser: what was typed stays text, everybody can read it, places lead to the proof."""

from __future__ import annotations

import base64
from pathlib import Path

import pypdfium2
import pytest

from tests.browser.conftest import EVIL, Page
from tests.browser.machine import sized
from tests.browser.test_reach import AXE, CHECK


def opened(page: Page, name: str) -> None:
    found = next(page.out.rglob(f"{name}/critical-report.html"))
    page.driver.get(found.as_uri())


def test_nothing_typed_becomes_markup(page: Page) -> None:
    opened(page, "all signs #1")
    assert page.run("return window.broken") is None
    assert page.run("return [document.querySelector('h1').textContent, document.title]") == [
        EVIL,
        f"{EVIL}, critical report",
    ]
    assert page.run("return document.querySelectorAll('script, img, svg, s, u, i').length") == 0


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [1200, 400])
def test_no_serious_fault(page: Page, width: int, dark: bool) -> None:
    if not Path(AXE).is_file():
        pytest.skip("LONGNECK_AXE names no axe.min.js (npm package axe-core)")
    sized(page.driver, width, 900, dark=dark)
    for name in ("all signs #1", "02-ground", "04-empty"):
        opened(page, name)
        page.run(Path(AXE).read_text(encoding="utf-8"))
        assert page.driver.execute_async_script(CHECK) == []


def test_a_narrow_window_never_scrolls_sideways(page: Page) -> None:
    sized(page.driver, 400, 800)
    opened(page, "all signs #1")
    assert page.run("return document.documentElement.scrollWidth") <= 400


def test_on_paper_it_is_a_table(page: Page) -> None:
    """Names of the columns stand over them, not before every cell as in a narrow window."""
    opened(page, "all signs #1")
    printed = page.driver.execute_cdp_cmd("Page.printToPDF", {"paperWidth": 8.27, "paperHeight": 11.69})
    text = "".join(
        sheet.get_textpage().get_text_range() for sheet in pypdfium2.PdfDocument(base64.b64decode(printed["data"]))
    )
    assert text.count("In the edition") == 1


def test_a_place_leads_to_its_sign(page: Page) -> None:
    opened(page, "all signs #1")
    page.click("return document.querySelector('td a[href$=\"#b1e2c3\"]')")
    page.wait("return typeof now === 'object' && now.chosen === 'b1e2c3'")
