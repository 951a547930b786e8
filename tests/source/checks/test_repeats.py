"""Repeat signs (common practice, no source)."""

from __future__ import annotations

import pytest

from pipeline.source.checks.repeats import check
from tests.source.checks.found import Found, find


def test_a_repeat_that_never_closes() -> None:
    (found,) = find(check, "| 4=3:0 ||.\n| 3:2\n| 3:0 |||")
    assert found == Found(
        1,
        9,
        "||.",
        "unclosed-repeat",
        "A repeat opens here, and no later bar line closes it.",
        "Type .|| where the strain ends; .||! if the source lacks it.",
        (),
        "1",
    )


def test_a_repeat_that_another_one_overtakes() -> None:
    (found,) = find(check, "opens ||.\n| 4=3:0\n| 3:0 ||.\n| 3:2 .||")
    assert (found.line, found.column, found.under) == (1, 7, "||.")
    assert found.message == "A repeat opens here, and another repeat opens at line 7 before it closes."


def test_a_repeat_that_may_begin_in_two_places() -> None:
    (found,) = find(check, "| 4=3:0 ||\n| 3:2 .||")
    assert found == Found(
        2,
        7,
        ".||",
        "unopened-repeat",
        "This repeat has no beginning of its own, and a double bar without dots stands on the way back.",
        "Type ||. at the double bar if the players go back to it, or opens ||. where they do.",
        ((1, 9, "the double bar on the way"),),
        "2",
    )


@pytest.mark.parametrize(
    "music",
    [
        "| 4=3:0 .||\n| 3:2 .||",  # back to the beginning, then to the repeat before
        "| 4=3:0 .||.\n| 3:2 .||",
        "| 4=3:0 .||.\n| 3:2 .||.",  # dots on both sides at the very end are an ornament
        "opens ||.\n| 4=3:0 .||",
        'opens ||."a\n"a : Ritornello\n| 4=3:0 .||',
        "| 4=3:0 ||. 3:2 .||",  # in mid-bar
        "| 4=3:0 ||\nsection Altra\n| 3:2 .||",  # a section is a beginning
        "| 4=3:0 !||.\n| 3:2 |||",  # the edition takes the sign away
        "| 4=3:0 ||.\n| 3:2 .||!",  # the edition adds it
        "| 4=3:0 ||\n| 3:2 ||",
    ],
)
def test_repeats_that_are_clear(music: str) -> None:
    assert find(check, music) == []


def test_dots_that_open_at_the_end_are_no_ornament() -> None:
    (found,) = find(check, "| 4=3:0 ||.")
    assert found.slug == "unclosed-repeat"
