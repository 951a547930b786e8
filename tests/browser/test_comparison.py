"""The pages of ``compare`` and ``verify`` in a browser: valid, no serious fault of accessibility, narrow windows, the
dark, no markup."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.browser.conftest import EVIL, FIXTURES, PIECE, Page
from tests.browser.machine import sized
from tests.browser.test_reach import AXE, CHECK
from tests.browser.test_valid import faults
from tests.cli.asked import run

GROUND = (FIXTURES / "anthology" / "theorbo" / "02-ground.intav").read_text(encoding="utf-8")
#: Slips of a copyist: a figure, a rhythm sign, a bar left out, another diapason.
CHANGED = ("3:3,2:1 4.=3:5 8=3:6", "3:1,2:1 4=3:5 4=3:6"), ("4=13,4:2,3:3 8=13,3:2", "4=12,4:2,3:3 8=12,3:2")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """A comparison of two folders, and of editions with the pieces as they now are; one piece tries to become
    markup."""
    folder = tmp_path_factory.mktemp("comparison")
    (folder / ".git").mkdir()
    for name in ("one", "two"):
        (folder / name).mkdir()
        (folder / name / "evil & <i>.intav").write_text(PIECE, encoding="utf-8")
        (folder / name / "ground.intav").write_text(GROUND, encoding="utf-8")
    (folder / "one" / "gone.intav").write_text(GROUND, encoding="utf-8")
    shutil.copytree(folder / "one", folder / "book")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        assert run("build", "book", "--out", "kept", "--only", "events", "--only", "musicxml")[0] <= 1
        _slip(folder / "two")
        (folder / "book" / "gone.intav").unlink()
        for name in ("one", "two"):
            assert run("build", f"{name}/ground.intav", "--only", "proof")[0] <= 1
        assert run("build", "book/ground.intav", "--out", "kept", "--only", "proof", "--only", "events")[0] <= 1
        assert run("compare", "one", "two", "--page", "compare.html", "--readings")[0] == 1
        _slip(folder / "book")
        assert run("verify", "book", "--out", "kept", "--page", "verify.html")[0] == 1
    return [folder / "compare.html", folder / "verify.html"]


def _slip(folder: Path) -> None:
    text = GROUND
    for before, after in CHANGED:
        assert before in text
        text = text.replace(before, after, 1)
    (folder / "ground.intav").write_text(text, encoding="utf-8")
    evil = PIECE.replace(EVIL, EVIL + "!").replace("| 2=7,4:0", "| 2=8,4:0").replace("<s>Du- ri_</s>", "<s>Du- r_</s>")
    (folder / "evil & <i>.intav").write_text(evil, encoding="utf-8")


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [1400, 400])
def test_no_serious_fault(page: Page, pages: list[Path], width: int, dark: bool) -> None:
    if not Path(AXE).is_file():
        pytest.skip("LONGNECK_AXE names no axe.min.js (npm package axe-core)")
    sized(page.driver, width, 900, dark=dark)
    for one in pages:
        page.driver.get(one.as_uri())
        page.run(Path(AXE).read_text(encoding="utf-8"))
        assert page.driver.execute_async_script(CHECK) == []


@pytest.mark.parametrize("width", [400, 1400])
def test_only_tables_scroll_sideways(page: Page, pages: list[Path], width: int) -> None:
    sized(page.driver, width, 800)
    for one in pages:
        page.driver.get(one.as_uri())
        assert page.run("return document.documentElement.scrollWidth") <= width


def test_what_is_typed_never_becomes_markup(page: Page, pages: list[Path]) -> None:
    for one in pages:
        page.driver.get(one.as_uri())
        assert page.run("return window.broken") is None
        assert page.run("return document.querySelectorAll('script, img, svg, s, u, i').length") == 0
        shown = page.run("return document.body.textContent")
        assert EVIL in shown and "evil & <i>" in shown


def test_a_click_leads_into_both_proof_pages(page: Page, pages: list[Path]) -> None:
    sides = (("out/one/ground", "out/two/ground"), ("kept/book/ground", "verify-proofs/book/ground"))
    for one, places in zip(pages, sides, strict=True):
        page.driver.get(one.as_uri())
        links = page.run("return [...document.querySelectorAll('.typed-at a')].map((each) => each.href)")
        assert {Path(link.partition("#")[0].removeprefix("file://")) for link in links} == {
            one.parent / place / "proof.html" for place in places
        }
        page.click("return document.querySelector('.typed-at a')")
        assert page.wait("return location.hash && document.readyState === 'complete' && now.chosen", seconds=15)
        page.driver.get("about:blank")


def test_every_page_leads_back_to_all_pieces(page: Page, pages: list[Path]) -> None:
    for one, home in zip(pages, ("out", "kept"), strict=True):
        page.driver.get(one.as_uri())
        assert page.run("return document.querySelector('header .home').href").endswith(f"/{home}/index.html")


def test_on_a_telephone_the_two_stand_under_each_other(page: Page, pages: list[Path]) -> None:
    sized(page.driver, 390, 800)
    page.driver.get(pages[0].as_uri())
    was, is_ = page.run(
        "return ['.was', '.is'].map((each) => { const box = document.querySelector(each).getBoundingClientRect();"
        "return [box.left, box.top, box.bottom, box.right] })"
    )
    assert was[0] == is_[0] and was[2] <= is_[1] and is_[3] <= 390
    assert page.run("return document.documentElement.scrollWidth") <= 390


def test_on_paper_both_columns_stand_whole(page: Page, pages: list[Path]) -> None:
    sized(page.driver, 680, 900, paper=True)
    page.driver.get(pages[0].as_uri())
    assert page.run(
        "return [...document.querySelectorAll('.differences td')]"
        ".every((each) => each.getBoundingClientRect().right <= 680)"
    )
    sized(page.driver, 1400, 900)


def test_the_pages_are_valid(pages: list[Path]) -> None:
    assert faults(*pages) == []
