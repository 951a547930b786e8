"""Pages look the same whatever faces a machine has, in a browser and in programs that only draw; their text is text.

Two machines are made of ``FONTCONFIG_FILE``: one with a face of the widths of Times under its usual names, one with
nothing but a face a fifth wider. Both faces are the program's own, renamed, so nothing need be installed.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from PIL import Image

from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from pipeline.writers.engrave.widths import text_width
from pipeline.writers.faces.setting import TEXT
from tests.browser.conftest import FIXTURES, Page
from tests.browser.machine import CHROMIUM, FLAGS, missing
from tests.writers.test_pdf import FACES, apart, grey, pages

RSVG = shutil.which("rsvg-convert")
#: Dots to the unit of style sheets, and the size of A4 in whole units.
SCALE, WIDE, HIGH = 2, 794, 1123
USUAL = ("Times New Roman", "Liberation Serif")


def machine(folder: Path, names: tuple[str, ...], wider: float = 1.0) -> Path:
    """The fontconfig file of a machine with our text faces under these names only, so much wider and larger."""
    for number, name in enumerate(names):
        for (bold, italic), own in TEXT.items():
            font = TTFont(FACES / f"{own}.ttf")
            font["head"].unitsPerEm = round(font["head"].unitsPerEm / wider)
            style = " ".join(["Bold"] * bold + ["Italic"] * italic) or "Regular"
            for record, text in ((1, name), (2, style), (4, f"{name} {style}"), (6, f"{name}-{style}")):
                font["name"].setName(text.replace(" ", "") if record == 6 else text, record, 3, 1, 0x409)
            font["name"].names = [record for record in font["name"].names if record.platformID == 3]
            (folder / "faces").mkdir(parents=True, exist_ok=True)
            font.save(folder / "faces" / f"{number}-{own}.ttf")
    file = folder / "fonts.conf"
    file.write_text(
        '<?xml version="1.0"?>\n<!DOCTYPE fontconfig SYSTEM "fonts.dtd">\n'
        f"<fontconfig><dir>{folder / 'faces'}</dir><cachedir>{folder / 'cache'}</cachedir></fontconfig>\n",
        encoding="utf-8",
    )
    return file


@pytest.fixture(scope="module")
def machines(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("machines")
    return machine(folder / "usual", USUAL), machine(folder / "wide", ("Wide Serif",), 1.2)


@pytest.fixture(scope="module")
def songs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The first pages of a song and of a piece with two columns of notes; and one without faces."""
    folder = tmp_path_factory.mktemp("pages")
    heading = SourceText.of("heading.intav", (FIXTURES / "anthology" / "heading.intav").read_text(encoding="utf-8"))
    made: dict[str, Path] = {}
    for name in ("songs/06-aria", "theorbo/07-bergamasca"):
        text = (FIXTURES / "anthology" / f"{name}.intav").read_text(encoding="utf-8")
        result = build_piece(SourceText.of("p.intav", text), (heading,), Options(forms=(Form.SVG,)))
        made[name] = folder / f"{name[-6:]}.svg"
        made[name].write_bytes(dict(result.artefacts)["edition-001.svg"])
    made["bare"] = folder / "bare.svg"
    made["bare"].write_text(pages()[0], encoding="utf-8")
    return made


def in_browser(page: Path, fonts: Path) -> Image.Image:
    shot = fonts.parent / "shot.png"
    size = (f"--force-device-scale-factor={SCALE}", f"--window-size={WIDE},{HIGH}", "--hide-scrollbars")
    profile = f"--user-data-dir={fonts.parent / 'profile'}"
    command = [str(CHROMIUM), *FLAGS, *size, profile, f"--screenshot={shot}", page.as_uri()]
    subprocess.run(command, env={**os.environ, "FONTCONFIG_FILE": str(fonts)}, check=True, capture_output=True)
    return Image.open(BytesIO(shot.read_bytes()))


def by_rsvg(page: Path, fonts: Path) -> Image.Image:
    dots = str(96 * SCALE)
    command = [str(RSVG), "-d", dots, "-p", dots, str(page)]
    environment = {**os.environ, "FONTCONFIG_FILE": str(fonts)}
    return Image.open(BytesIO(subprocess.run(command, env=environment, check=True, capture_output=True).stdout))


@pytest.mark.parametrize("name", ["songs/06-aria", "theorbo/07-bergamasca"])
def test_a_browser_draws_the_same_whatever_faces_there_are(
    name: str, machines: tuple[Path, Path], songs: dict[str, Path]
) -> None:
    if why := missing():
        pytest.skip(why)
    usual, wide = (np.asarray(in_browser(songs[name], fonts).convert("RGB")) for fonts in machines)
    assert np.array_equal(usual, wide)


@pytest.mark.parametrize("name", ["songs/06-aria", "theorbo/07-bergamasca"])
def test_a_program_that_only_draws_does_so_too(name: str, machines: tuple[Path, Path], songs: dict[str, Path]) -> None:
    if not RSVG:
        pytest.skip("no rsvg-convert (Debian: librsvg2-bin)")
    usual, wide = (np.asarray(by_rsvg(songs[name], fonts).convert("RGB")) for fonts in machines)
    assert np.array_equal(usual, wide)


@pytest.mark.parametrize("name", ["songs/06-aria", "theorbo/07-bergamasca"])
def test_both_draw_the_same_page(name: str, machines: tuple[Path, Path], songs: dict[str, Path]) -> None:
    """By eye: means of squares of 24 dots, as edges are smoothed in two ways. A page a millimetre off is told apart."""
    if why := missing() or ("" if RSVG else "no rsvg-convert (Debian: librsvg2-bin)"):
        pytest.skip(why)
    drawn, seen = grey(by_rsvg(songs[name], machines[1])), grey(in_browser(songs[name], machines[1]))
    assert apart(drawn, seen).max() < 0.03
    assert apart(np.roll(drawn, round(96 * SCALE / 25.4), axis=0), seen).max() > 0.09


def test_a_page_without_faces_would_differ(machines: tuple[Path, Path], songs: dict[str, Path]) -> None:
    """The machines are not alike: they set a page that brings nothing along in two ways."""
    if why := missing():
        pytest.skip(why)
    usual, wide = (grey(in_browser(songs["bare"], fonts)) for fonts in machines)
    assert apart(usual, wide).max() > 0.09


def test_text_is_text_in_our_faces(page: Page, songs: dict[str, Path]) -> None:
    """It can be chosen and searched, it is as long as the engraver reckons, and nothing is drawn twice."""
    page.driver.get(songs["theorbo/07-bergamasca"].as_uri())
    assert page.wait("return document.fonts.status === 'loaded' && [...document.fonts].length > 2")
    assert page.run("return [...document.fonts].every((face) => face.status === 'loaded')")
    said = "Bar 3: not written out in the source: as the 2 bars before."
    long = page.run(
        "const found = [...document.querySelectorAll('text')].find((each) => each.textContent === arguments[0]);"
        "getSelection().selectAllChildren(found);"
        "const size = parseFloat(found.getAttribute('font-size'));"
        "return [getSelection().toString(), found.getComputedTextLength(), size]",
        said,
    )
    assert long[0] == said
    assert long[1] == pytest.approx(text_width(said, long[2]), rel=0.001)
    assert page.run("return window.find('The scribe writes a pattern', true, false, true)")
    shown = (
        "return [...document.querySelectorAll('.letters')].filter((each) => getComputedStyle(each).display !== 'none')"
    )
    assert page.run(f"{shown}.length") == 0


def test_html_pages_are_set_in_our_faces(page: Page) -> None:
    for name in ("proof.html", "critical-report.html"):
        page.driver.get(next(page.out.rglob(f"02-ground/{name}")).as_uri())
        assert page.wait("return document.fonts.status === 'loaded' && [...document.fonts].length > 1")
        assert page.run("return document.fonts.check('16px \"Longneck Text\"', 'Rosa')")
        wide = page.run(
            "const pen = document.createElement('canvas').getContext('2d');"
            "pen.font = `100px ${getComputedStyle(document.body).fontFamily}`; return pen.measureText('Rosa').width"
        )
        assert wide == pytest.approx(text_width("Rosa", 100), abs=0.5)
