"""Music after the final bar line."""

from __future__ import annotations

import pytest

from pipeline.source.checks.after_end import check
from tests.source.checks.found import Found, find


def test_music_after_the_end() -> None:
    (found,) = find(check, "| 4=3:0 |||\n| 3:2\n| 3:0 |||")
    assert found == Found(
        2,
        3,
        "3:2",
        "music-after-end",
        "Music follows the final bar line.",
        "Type || for a double bar, or a section line before the music that follows.",
        ((1, 9, "the final bar line"),),
        "2",
    )


@pytest.mark.parametrize(
    "music",
    [
        "| 4=3:0 ||\n| 3:2 |||",
        "| 4=3:0 |||\nsection Altra\n| 3:2 |||",
        "| 4=3:0 |||\ngap 12 bars\n| 3:2 |||",
        "| 4=3:0 !|||\n| 3:2 |||",  # the edition takes the line away
        "| 4=3:0 |||\nagain start",
    ],
)
def test_ends_that_end(music: str) -> None:
    assert find(check, music) == []
