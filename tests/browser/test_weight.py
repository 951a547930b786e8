"""How heavy a page is, how soon it is seen, and that a piece of 5,000 bars can still be worked with."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.desk.proof.proofs import proof_of
from pipeline.desk.proof.record import View
from pipeline.desk.proof.writers import write_proof
from pipeline.edition.apparatus import apparatus
from pipeline.edition.perform import perform
from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from pipeline.model.song import Song
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from tests.benchmarks.build_speed import piece_of
from tests.browser.conftest import Page
from tests.made import HEADING, voiced

PAINT = "return Math.max(0, ...performance.getEntriesByName('first-contentful-paint').map((each) => each.startTime))"
BARS, ON_A_PAGE = 5000, 16


def test_sixty_bars(page: Page, tmp_path: Path) -> None:
    """Eight events a bar, chords on the beat: denser than most. Limits: 1.5 MB, first view in a second."""
    file = tmp_path / "sixty.html"
    file.write_bytes(dict(build_piece(piece_of(480), (), Options(forms=(Form.PROOF,))).artefacts)["proof.html"])
    assert file.stat().st_size < 1_500_000
    page.driver.get(file.as_uri())
    assert 0 < page.wait(PAINT) < 1000


def drawing(first: int) -> str:
    """A page as the engraver names things on it, with little on it: engraving 5,000 bars takes too long for a test."""
    bars = "".join(
        f'<g id="m{bar}" class="measure"><g class="staff"><path d="M0 {400 * row} L20000 {400 * row}"/>'
        f'<g id="t-b{bar}e1c7" class="note"><path d="M{900} {400 * row} h200 v200 z"/></g></g></g>'
        for row, bar in enumerate(range(first, min(first + ON_A_PAGE, BARS + 1)), start=1)
    )
    filling = '<path d="M1 2 L3 4"/>' * 3000  # as many elements as a real page has
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24387 34490">{filling}{bars}</svg>'


def test_five_thousand_bars(page: Page, tmp_path: Path) -> None:
    heading, music = f"{HEADING}metre C\n", "\n".join(["| 1=7"] * BARS)
    piece = voiced(music, heading)
    views = [View("edition", "Edition", tuple(drawing(first) for first in range(1, BARS + 1, ON_A_PAGE)))]
    text = SourceText.of("x.intav", f"{heading}\n{music}\n")
    proof = proof_of((text,), piece, apparatus(piece), Song(), perform(piece), views, ())
    file = tmp_path / "many.html"
    file.write_bytes(write_proof(proof))
    assert file.stat().st_size > 20_000_000
    page.driver.get(file.as_uri())
    assert 0 < page.wait(PAINT) < 1000
    assert page.run("return bars.length") == BARS
    for work in ("choose('b4991e1', '')", "stepEvent(1)", "choose('b12', '')", "setSize(1.4)"):
        spent = page.run(
            f"const begin = performance.now(); {work}; document.body.offsetHeight; return performance.now() - begin"
        )
        assert spent < 1000, work
    page.run("choose('b4991e1', '')")
    page.wait("return sheetsOf('b4991').some((sheet) => sheet.root.querySelector('.chosen'))")
    page.wait("return drawnSheets().length < 6")  # those far away are let go: zooming lays out what is drawn


@pytest.mark.parametrize("name", ["02-ground", "06-aria"])
def test_pieces_of_the_anthology(page: Page, name: str) -> None:
    page.open(name)
    assert 0 < page.wait(PAINT) < 1000
