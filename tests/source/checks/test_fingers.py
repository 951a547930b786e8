"""Fingers of the left hand: four, and barres (common practice, no source)."""

from __future__ import annotations

import pytest

from pipeline.source.checks.fingers import check, fingers
from tests.source.checks.found import Found, find


@pytest.mark.parametrize(
    ("frets", "needed"),
    [
        ({}, 0),
        ({1: 0, 2: 0}, 0),
        ({1: 2}, 1),
        ({1: 2, 2: 2}, 1),  # one finger across two neighbours
        ({1: 2, 3: 2}, 1),  # and across a course that does not sound
        ({1: 2, 2: 3, 3: 2}, 2),  # or sounds higher
        ({1: 2, 2: 0, 3: 2}, 2),  # not across an open one
        ({1: 2, 2: 1, 3: 2}, 3),  # nor a lower one
        ({1: 1, 2: 1, 3: 2, 4: 3, 5: 3, 6: 1}, 3),  # the common barre of six courses
        ({6: 1, 5: 4, 4: 2, 3: 4, 2: 1, 1: 3}, 5),
    ],
)
def test_fingers_of_a_chord(frets: dict[int, int], needed: int) -> None:
    assert fingers(frets) == needed


def test_a_barre_that_the_page_marks_stops_its_fret_with_one_finger() -> None:
    chord = {6: 1, 5: 3, 4: 0, 3: 1, 2: 2, 1: 1}
    assert fingers(chord) == 4
    assert fingers(chord, barre=True) == 3


def test_a_chord_for_five_fingers() -> None:
    (found,) = find(check, "| 4=3:0 6:1,5:4,4:2,3:4,2:1,1:3")
    assert found == Found(
        1,
        9,
        "6:1,5:4,4:2,3:4,2:1,1:3",
        "too-many-fingers",
        "Bar 1: this chord needs 5 fingers of the left hand.",
        "Look for a figure that stands one line off, or an open course read as stopped; a barre is typed 'b over "
        "the event.",
        (),
        "1",
    )


@pytest.mark.parametrize(
    "music",
    [
        "| 4=7,6:0,5:2,4:2,3:1,2:0,1:0",
        "| 4=8,6:1,5:3,4:3,3:2,2:1,1:1",
        "| 4'b=6:1,5:4,4:0,3:2,2:1,1:3",
        "| 4=6:1,5:4,4:2,3:4 2:1,1:3",  # not at once
    ],
)
def test_chords_that_a_hand_can_stop(music: str) -> None:
    assert find(check, music) == []


def test_held_courses_count_and_repetitions_are_reported_once() -> None:
    found = find(check, "| 4=6:1 6:-,5:4,4:2,3:4,2:1,1:3 4== =\n| ditto")
    assert [(each.line, each.column) for each in found] == [(1, 9)]
