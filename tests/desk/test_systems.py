"""Systems seen on pictures that are drawn here, straight and crooked, clean and spoiled; and on the one of the
anthology, against what its editor declared."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from pipeline.desk.systems import Bands, bands_of, equal_line, seen_line
from pipeline.folder.pictures import grey_of

WIDE, HIGH = 800, 1000
PICTURE = Path("fixtures/anthology/theorbo/images/02-ground-7r.jpg")


def page(systems: int, lines: int = 6, *, angle: float = 0, noise: int = 0, words: bool = False) -> NDArray[np.uint8]:
    """A page of so many systems, the first line of each at the places that :func:`tops` says."""
    picture = Image.new("L", (WIDE, HIGH), 220)
    pen = ImageDraw.Draw(picture)
    for top in tops(systems):
        for line in range(lines):
            pen.line((60, top + 9 * line, WIDE - 60, top + 9 * line), fill=70, width=1)
        for place in range(10):
            pen.text((80 + 65 * place, top + 9 * (place % lines) - 6), str(place), fill=40)
    if words:
        pen.text((250, 20), "Toccata prima del libro primo", fill=40)
    picture = picture.rotate(angle, fillcolor=220, resample=Image.Resampling.BICUBIC)
    spoiled = np.asarray(picture).astype(int) + np.random.default_rng(3).integers(-noise, noise + 1, (HIGH, WIDE))
    return np.clip(spoiled, 0, 255).astype(np.uint8)


def tops(systems: int) -> list[int]:
    step = (HIGH - 160) // systems
    return [110 + step * number for number in range(systems)]


@pytest.mark.parametrize("systems", [1, 2, 5, 8])
@pytest.mark.parametrize(
    "spoiled", [{}, {"angle": 1.2}, {"angle": -1.5}, {"noise": 25}, {"words": True, "noise": 10}, {"lines": 5}]
)
def test_every_system_is_seen_with_its_lines_and_nothing_of_its_neighbours(
    systems: int, spoiled: dict[str, int]
) -> None:
    found = bands_of(page(systems, **spoiled)).systems
    assert len(found) == systems
    deep = 9 * (spoiled.get("lines", 6) - 1)
    for (top, bottom), place in zip(found, tops(systems), strict=True):
        assert top <= 100 * place / HIGH and 100 * (place + deep) / HIGH <= bottom
    assert all(before[1] <= after[0] for before, after in pairwise(found))


def test_where_the_lines_begin_and_end_across_the_page() -> None:
    found = bands_of(page(4))
    assert abs(found.left - 100 * 60 / WIDE) < 4 and abs(found.right - 100 * (WIDE - 60) / WIDE) < 4


@pytest.mark.parametrize("bright", [0, 128, 255])
def test_nothing_is_seen_on_an_empty_page(bright: int) -> None:
    assert bands_of(np.full((HIGH, WIDE), bright, dtype=np.uint8)) == Bands(())


def test_nothing_is_seen_in_noise_and_on_a_stamp() -> None:
    assert bands_of(page(3)[:20, :20]).systems == ()
    assert bands_of(np.random.default_rng(1).integers(0, 256, (400, 400)).astype(np.uint8)).systems == ()


def test_on_the_folio_of_the_anthology_as_its_editor_has_them() -> None:
    """The lines lie inside what is declared there (17-36, 42-60, 66-86); the room around them is a matter of taste."""
    grey = grey_of(PICTURE.read_bytes())
    assert not isinstance(grey, str)
    found = bands_of(grey).systems
    assert len(found) == 3
    for (top, bottom), (first, last) in zip(found, [(17, 36), (42, 60), (66, 86)], strict=True):
        assert abs(top - first) <= 3 and abs(bottom - last) <= 3


def test_the_lines_of_a_heading() -> None:
    assert seen_line("4r", Bands(((8.0, 20.0), (24.0, 36.0)))) == "systems 4r = 8-20, 24-36"
    assert seen_line("4r", Bands(((8.0, 20.0),), 5.0, 95.0)) == "systems 4r = 8-20, across 5-95"
    assert equal_line("4r", 3) == "systems 4r = 3 in 5-95"
