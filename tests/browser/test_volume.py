"""The site of a volume: its search works, nothing is asked of a network, and checkers find nothing on any page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from pipeline.desk.volume.record import Missing, Section, Volume
from pipeline.desk.volume.writers.site import SitePiece, write_site
from pipeline.model.record import replace
from tests.browser.conftest import EVIL
from tests.browser.machine import asked_for, complaints, sized
from tests.browser.test_reach import AXE, CHECK
from tests.browser.test_valid import faults
from tests.desk.test_volume import volume

#: What a build makes of a piece that the pages lead to; what is in them does not matter here.
FILES = ("critical-report.html", "edition-001.svg", "edition.mei", "edition.pdf", "reduction-001.svg")


def with_evil_names(one: Volume) -> Volume:
    """The same with titles and reasons that try to become markup."""
    sections = tuple(
        Section(section.title and EVIL, section.leaves, (Missing("x/y", EVIL, EVIL), *section.missing))
        for section in one.sections
    )
    return replace(one, book=replace(one.book, title=EVIL, subtitle=EVIL, imprint=(EVIL,)), sections=sections)


def written(one: Volume, folder: Path) -> list[Path]:
    """The pages of a site, without the files that lie beside them."""
    pieces = {leaf.place: SitePiece(FILES) for leaf in one.leaves}
    pages = []
    for name, data in write_site(one, pieces):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
        pages.append(folder / name)
    for leaf in one.leaves:
        for name in ("edition-001.svg", "reduction-001.svg"):
            (folder / leaf.place / name).write_text(leaf.right[0], encoding="utf-8")
    return [page for page in pages if page.suffix == ".html"]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return written(volume(), tmp_path_factory.mktemp("site"))


@pytest.fixture(scope="module")
def evil(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return written(with_evil_names(volume()), tmp_path_factory.mktemp("evil"))


def test_the_search_finds_titles_and_first_lines_without_accents(driver: Any, site: list[Path]) -> None:
    sized(driver, 1200, 900)
    driver.get(site[0].as_uri())
    shown = (
        "const field = document.getElementById('asked'); field.value = arguments[0];"
        "field.dispatchEvent(new Event('input'));"
        "return [...document.querySelectorAll('[data-words]')].filter((row) => row.offsetParent)"
        ".map((row) => (row.querySelector('a') ?? row.firstChild).textContent)"
    )
    found = {asked: driver.execute_script(shown, asked) for asked in ("", "eglogue", "OMBRE ven", "lost", "zzz")}
    assert found == {
        "": ["Canto", "Alba", "Èglogue", "Lost"],
        "eglogue": ["Èglogue"],
        "OMBRE ven": ["Canto"],
        "lost": ["Lost"],
        "zzz": [],
    }
    assert driver.execute_script("return document.getElementById('found').textContent") == "0 pieces"
    assert driver.execute_script("return document.querySelectorAll('.part:not([hidden])').length") == 0


def test_no_name_becomes_markup_and_nothing_is_fetched(driver: Any, evil: list[Path]) -> None:
    driver.get("about:blank")
    complaints(driver), asked_for(driver)
    for page in evil:
        driver.get(page.as_uri())
        assert driver.execute_script("return window.broken") is None
        assert EVIL in driver.execute_script("return document.body.textContent")
    assert complaints(driver) == []
    assert {address.partition(":")[0] for address in asked_for(driver)} <= {"file", "data", "about"}


@pytest.mark.parametrize(("width", "dark"), [(1024, True), (390, False)])
def test_pages_are_accessible_and_no_wider_than_the_window(
    driver: Any, site: list[Path], width: int, dark: bool
) -> None:
    if not Path(AXE).is_file():
        pytest.skip("LONGNECK_AXE names no axe.min.js (npm package axe-core)")
    sized(driver, width, 900, dark=dark)
    for page in site:
        driver.get(page.as_uri())
        assert driver.execute_script("return document.documentElement.scrollWidth") <= width, page.name
        driver.execute_script(Path(AXE).read_text(encoding="utf-8"))
        assert driver.execute_async_script(CHECK) == [], page.name


def test_pages_are_valid(site: list[Path], evil: list[Path]) -> None:
    assert faults(*site, *evil) == []
