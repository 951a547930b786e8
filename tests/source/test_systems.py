"""Where the systems lie on the image of a folio: one line of the heading."""

from __future__ import annotations

import pytest

from pipeline.model.facsimile import ImageFile
from pipeline.source.facsimile import folio_images
from tests.made import HEADING, resolved

IMAGES = {"1r.png": ImageFile("1r.png", "png", 10, 600, 800)}
MUSIC = "&1r\n| 1=7\n| 1=8\n&\n| 1=9\n| 2=X & 2=7\n| 1=8\n&1v\n| 1=9 |||"


def found(
    line: str, music: str = MUSIC
) -> tuple[list[tuple[float, float, float, float]], list[tuple[int, ...]], list[str]]:
    piece, said = resolved(music, f"{HEADING}metre C\nfacsimile 1r = 1r.png\n{line}\n")
    images = folio_images(piece, IMAGES)
    systems = images.value[0].systems
    zones = [(one.zone.top, one.zone.bottom, one.zone.left, one.zone.right) for one in systems]
    return (
        zones,
        [one.bars for one in systems],
        [f"{one.span.start} {one.message}" for one in (*said, *images.diagnostics)],
    )


def test_each_zone_has_the_bars_of_its_system() -> None:
    """A bar with a break inside it stands in both systems."""
    zones, bars, said = found("systems 1r = 8-20, 24-36.5, 40 - 52")
    assert zones == [(8, 20, 0, 100), (24, 36.5, 0, 100), (40, 52, 0, 100)]
    assert bars == [(0, 1), (2, 3), (3, 4)] and said == []


def test_equal_systems_and_their_width() -> None:
    zones, bars, said = found("systems 1r = 3 in 10-70, across 5-95")
    assert zones == [(10, 30, 5, 95), (30, 50, 5, 95), (50, 70, 5, 95)]
    assert len(bars) == 3 and said == []


def test_bars_before_any_break_stand_in_the_first_system() -> None:
    _, bars, said = found("systems 1r = 8-20, 24-36", "| 1=7\n&\n| 1=8 |||")
    assert bars == [(0,), (1,)] and said == []


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("8-20, 24", "20 Expected where a system begins and ends, in percent of the image’s height, not “24”."),
        ("8-20, 124-130", "20 Expected two numbers up to 100, the smaller first, not “124-130”."),
        ("20-8", "14 Expected two numbers up to 100, the smaller first, not “20-8”."),
        ("24-36, 8-20", "21 Expected a system below the one before it, not “8-20”."),
        ("31 in 8-92", "14 Expected at most 30 systems, not “31 in 8-92”."),
        ("2 in 8-92, 4-5", "25 Expected only “across” after a number of systems, not “4-5”."),
        (
            "across 5-95",
            "14 Expected where a system begins and ends, in percent of the image’s height, not “across 5-95”.",
        ),
        ("8-20,, 24-36", "19 Expected where a system begins and ends, in percent of the image’s height, not “”."),
    ],
)
def test_what_cannot_be_read_is_told_at_its_column(value: str, said: str) -> None:
    zones, _, told = found(f"systems 1r = {value}")
    assert told == [said] and zones == []


def test_other_numbers_of_systems_than_in_the_text() -> None:
    zones, bars, said = found("systems 1r = 8-20, 24-36, 40-52, 60-70")
    assert said == ["1 Folio 1r has 4 systems by this line, and 3 in the text."]
    assert len(zones) == 4 and bars[3] == ()
    assert found("systems 9r = 8-20")[2] == [
        "1 The systems of folio 9r are declared, but the heading names no image of it."
    ]
