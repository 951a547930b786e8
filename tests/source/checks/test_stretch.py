"""Stretches. Fret distances are equal temperament, L · (2^(-a/12) - 2^(-b/12)) (calc); the reach is from memory."""

from __future__ import annotations

import pytest

from pipeline.source.checks.stretch import check, distance, string_length
from tests.made import sounding
from tests.source.checks.found import Found, find

THEORBO = "longneck 1\ntitle Trial\ninstrument theorbo in A\nstrings 84 cm, 160 cm\nmetre none\n"
UNDECLARED = THEORBO.replace("strings 84 cm, 160 cm\n", "")
LUTE = "longneck 1\ntitle Trial\ninstrument lute in G, 6 courses\nstrings 60 cm, 60 cm\nmetre none\n"


def test_distances_along_the_string() -> None:
    # calc: the twelfth fret halves the string; the seventh takes a third of it (nearly), the fifth a quarter.
    assert distance(0, 12, 84) == pytest.approx(42)
    assert distance(0, 7, 90) == pytest.approx(30, abs=0.1)
    assert distance(0, 5, 80) == pytest.approx(20, abs=0.1)


def test_a_figure_far_from_the_others() -> None:
    (found,) = find(check, "| 2=7,4:1,3:3 7,4:1,3:8,2:1", THEORBO)
    assert found == Found(
        1,
        21,
        "3:8",
        "wide-stretch",
        "Bar 1: frets 1 and 8 lie 26.4 cm apart on a string of 84 cm; a hand reaches 16.5 cm.",
        "Look at the figure on course 3 again: confused with another one, or one line off?",
        ((1, 17, "the other end of the stretch, course 4"),),
        "1",
    )


def test_the_odd_one_may_be_the_low_one() -> None:
    (found,) = find(check, "| 2=4:8,3:7,2:8,1:1", THEORBO)
    assert (found.under, found.column) == ("1:1", 17)


@pytest.mark.parametrize(
    ("heading", "music", "count"),
    [
        (THEORBO, "| 2=4:1,3:5", 0),  # 16.4 cm: hard, but reached
        (THEORBO, "| 2=4:1,3:6", 1),
        (THEORBO, "| 2=4:5,3:9", 0),  # the frets stand closer higher up
        (THEORBO, "| 2=5:0,4:0,3:8,2:0", 0),  # open strings do not count
        (THEORBO, "| 2=4:1 3:8", 0),  # one after the other
        (THEORBO, "| 2=4:1 4:-,3:8", 1),  # held under the hold line
        (THEORBO, "| 2=4:1,3:8 4== =\n| ditto", 1),  # said once
        (LUTE, "| 2=4:1,3:6", 0),
        (LUTE, "| 2=4:1,3:8", 1),
        (UNDECLARED, "| 2=4:1,3:5", 0),
        (UNDECLARED, "| 2=4:1,3:6", 1),
    ],
)
def test_what_a_hand_reaches(heading: str, music: str, count: int) -> None:
    assert len(find(check, music, heading)) == count


def test_undeclared_lengths_are_the_shortest_of_the_trade() -> None:
    # PS: R. Spencer, Early Music 4/4 (1976): theorbo 70-93 cm stopped, liuto attiorbato 55-64 cm.
    for name, length in (
        ("theorbo in A", 70),
        ("theorbo in G", 70),
        ("archlute in G", 55),
        ("tiorbino in A", 55),
        ("lute in D minor, 11 courses", 55),
    ):
        piece = sounding("| 1=3:0", f"longneck 1\ninstrument {name}\nmetre none\n")
        assert string_length(piece.heading, piece.heading.instrument) == (length, False)
    (found,) = find(check, "| 2=4:1,3:6", UNDECLARED)
    assert "even a short string of 70 cm" in found.message
