"""Left-hand slurs stay on their course: only the first note is plucked (common practice, no source)."""

from __future__ import annotations

import pytest

from pipeline.source.checks.slur_course import check
from tests.source.checks.found import Found, find


def test_a_slur_to_another_course() -> None:
    (found,) = find(check, "| 4=7,3:0 8=3:2 _2:3")
    assert found == Found(
        1,
        17,
        "_2:3",
        "slur-leaves-course",
        "Bar 1: a slur leads to course 2, but the event before has nothing on course 2.",
        "Correct the course, or remove the slur (!_ keeps it as the source's reading).",
        ((1, 11, "the event before"),),
        "1",
    )


def test_a_slur_at_the_very_beginning() -> None:
    (found,) = find(check, "| 4=_3:2 3:3")
    assert found.message == "Bar 1: a slur leads to course 3, but nothing stands before."
    assert (found.under, found.related) == ("_3:2", ())


@pytest.mark.parametrize(
    "music",
    [
        "| 4=3:0 _3:2 _3:3",
        "| 4=3:0\n| _3:2",  # over the bar line
        "| 4=3:0\n&\n| _3:2",  # and the system
        "| 4=7,4:0,3:0 9,_4:2,_3:2",
        "| 4=3:0 _?3:2 _!3:3",  # doubtful and added slurs are slurs
        "| 4=3:0 !_2:2",  # the edition takes it away
        "| 4=5:0 3:2,5:- _5:2",  # the course still sounds
        "| 4=3:0 == _3:2",  # struck again without being printed
        "| 4=3:0 ?:2 _2:3",  # the line is unclear, so it may be course 2
        "| 4=3:0 ! _2:3",  # a word that cannot be read is reported already
        "| 4=3:0\ngap 2 bars, corner torn\n| _2:3",
        "| 4=3:0\nending 1\n| 4=2:0 .||\nending 2\n| _3:2",
    ],
)
def test_slurs_that_stay_or_of_which_nothing_can_be_said(music: str) -> None:
    assert find(check, music) == []


def test_a_slur_after_a_rest_or_an_empty_place() -> None:
    found = find(check, "| 4=3:0 4=- _3:2\n| 3:0 - _3:2")
    assert [(each.line, each.under) for each in found] == [(1, "_3:2"), (2, "_3:2")]
