"""First and second endings (common practice, no source)."""

from __future__ import annotations

import pytest

from pipeline.source.checks.endings import check
from tests.source.checks.found import Found, find


def test_a_second_ending_without_a_first() -> None:
    (found,) = find(check, "| 4=3:0\nending 2\n| 3:2 |||")
    assert found == Found(
        2,
        8,
        "2",
        "endings-out-of-order",
        "The second ending stands here without the first before it.",
        "Endings are counted from 1, one after the other.",
        (),
        "",
    )


@pytest.mark.parametrize(
    ("music", "line", "message"),
    [
        ("| 4=3:0\nending end\n| 3:2", 2, "This ends an ending, but none has begun."),
        (
            "| 4=3:0\nending 1\n| 3:2 .||",
            2,
            "Neither a second ending nor “ending end” follows this first ending.",
        ),
        (
            "ending 1\n| 4=3:2 .||\nending 2\n| 3:2\n| 3:0\nending 1\n| 3:0 .||\nending 2\n| 3:0",
            6,
            "A new first ending begins inside the second.",
        ),
        (
            "ending 1\n| 4=3:2 .||\nending 3\n| 3:2",
            3,
            "The third ending stands here without the second before it.",
        ),
        (
            "ending 1\n| 4=3:2 .||\nsection Altra\n| 3:2",
            1,
            "Neither a second ending nor “ending end” follows this first ending.",
        ),
    ],
)
def test_out_of_order(music: str, line: int, message: str) -> None:
    found = [each for each in find(check, music) if each.slug == "endings-out-of-order"]
    assert [(each.line, each.message) for each in found] == [(line, message)]


def test_an_ending_that_does_not_lead_back() -> None:
    (found,) = find(check, "ending 1\n| 4=3:0\nending 2\n| 3:2")
    assert (found.line, found.column, found.slug) == (2, 8, "ending-without-repeat")
    assert found.message == "The first ending closes without a repeat sign."
    assert found.hint == "Type .|| at the end of its last bar; .||! if the source lacks it."
    (found,) = find(check, "ending 1\n| 4=3:0 !.||\nending end\n| 3:2")
    assert found.slug == "ending-without-repeat"


@pytest.mark.parametrize(
    "music",
    [
        "| 4=3:0\nending 1\n| 3:2 .||\nending 2\n| 3:2\nending end\n| 3:0",
        "| 4=3:0\nending 1\n| 3:2 .||.\nending 2\n| 3:2 .||\nending 3\n| 3:2 |||",
        "| 4=3:0\nending 1\n| 3:2 .||!\nending end\n| 3:0",  # the second time straight on
        "| 4=3:0\nending 1\n| 3:2 .||\nending 2\n| 3:2\nending end\nending 1\n| 3:2 .||\nending 2\n| 3:2",
        "ending first\n| 4=3:0\nending end",  # reported as a line that makes no sense
    ],
)
def test_endings_in_order(music: str) -> None:
    assert find(check, music) == []
