"""The retuning sheet in a browser: valid, no serious fault of accessibility, narrow windows, the dark, no markup."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.desk.programme.plan import programme
from pipeline.desk.programme.writers.page import programme_page
from pipeline.folder.concert import in_concert_order, read_concert
from tests.browser.conftest import EVIL, FIXTURES, Page
from tests.browser.machine import sized
from tests.browser.test_reach import AXE, CHECK
from tests.browser.test_valid import faults


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sheet of the anthology, and of a piece whose title tries to become markup."""
    folder = tmp_path_factory.mktemp("programme")
    evil = f"longneck 1\ntitle {EVIL}\ninstrument lute in G, 10 courses\npitch 465\n\n| 1=7\nretune 7 = F#2\n| 1=7\n"
    (folder / "evil.intav").write_text(evil, encoding="utf-8")
    pieces = in_concert_order([FIXTURES / "anthology", folder / "evil.intav", folder / "evil.intav"])
    made = programme([(one.name, one.piece) for one in read_concert(pieces) if one.piece is not None])
    (folder / "sheet.html").write_bytes(programme_page(made))
    return folder / "sheet.html"


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [1400, 400])
def test_no_serious_fault(page: Page, sheet: Path, width: int, dark: bool) -> None:
    if not Path(AXE).is_file():
        pytest.skip("LONGNECK_AXE names no axe.min.js (npm package axe-core)")
    sized(page.driver, width, 900, dark=dark)
    page.driver.get(sheet.as_uri())
    page.run(Path(AXE).read_text(encoding="utf-8"))
    assert page.driver.execute_async_script(CHECK) == []


@pytest.mark.parametrize("width", [400, 1400])
def test_only_tables_scroll_sideways(page: Page, sheet: Path, width: int) -> None:
    sized(page.driver, width, 800)
    page.driver.get(sheet.as_uri())
    assert page.run("return document.documentElement.scrollWidth") <= width


def test_what_is_typed_never_becomes_markup(page: Page, sheet: Path) -> None:
    page.driver.get(sheet.as_uri())
    assert page.run("return window.broken") is None
    titles = page.run("return [...document.querySelectorAll('.piece > h2')].map((head) => head.textContent)")
    assert titles[-1] == f"{len(titles)}. {EVIL}"


def test_the_page_is_valid(sheet: Path) -> None:
    assert faults(sheet) == []
