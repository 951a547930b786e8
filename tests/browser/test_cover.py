"""The cover sheet of a set in a browser: valid, narrow windows, one printed page, no markup."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import pypdfium2
import pytest

from pipeline.desk.move.wish import Wish
from pipeline.model.artefacts import Form
from pipeline.model.interval import Interval
from pipeline.model.options import Options
from pipeline.model.presets import find_preset
from pipeline.model.text import SourceText
from pipeline.rehearsal import Setting, rehearse_piece
from tests.browser.conftest import EVIL, FIXTURES, Page
from tests.browser.machine import sized
from tests.browser.test_valid import faults


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """That of the song, a minor third up on another theorbo: all its diapasons but one move. Its title tries to become
    markup."""
    song = (FIXTURES / "anthology" / "songs" / "06-aria.intav").read_text(encoding="utf-8")
    title, heading = f"title {EVIL}", "instrument theorbo in G\npitch 440\n"
    text = song.replace("title Langue la rosa al sole", title).replace(
        "metre C\n", f"{heading}metre C\neditor EB = E. B.\n", 1
    )
    wish = Wish(Interval(2, 3), find_preset("theorbo in A"))
    made = rehearse_piece(SourceText.of("song.intav", text), (), {}, Setting(wish, Options(forms=(Form.MUSICXML,))))
    page = tmp_path_factory.mktemp("set") / "cover.html"
    page.write_bytes(dict(made.artefacts)["cover.html"])
    return page


@pytest.mark.parametrize("width", [400, 1400])
def test_only_tables_scroll_sideways(page: Page, sheet: Path, width: int) -> None:
    sized(page.driver, width, 800)
    page.driver.get(sheet.as_uri())
    assert page.run("return document.documentElement.scrollWidth") <= width


def test_it_prints_on_one_page(page: Page, sheet: Path) -> None:
    page.driver.get(sheet.as_uri())
    printed = page.driver.execute_cdp_cmd("Page.printToPDF", {"paperWidth": 8.27, "paperHeight": 11.69})
    assert len(pypdfium2.PdfDocument(io.BytesIO(base64.b64decode(printed["data"])))) == 1


def test_what_is_typed_never_becomes_markup(page: Page, sheet: Path) -> None:
    page.driver.get(sheet.as_uri())
    assert page.run("return window.broken") is None
    assert page.run("return document.querySelector('h1').textContent") == EVIL


def test_the_page_is_valid(sheet: Path) -> None:
    assert faults(sheet) == []
