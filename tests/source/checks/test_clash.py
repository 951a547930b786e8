"""Diapasons against the notes above them: they are tuned in a scale to suit the key (common practice, no source)."""

from __future__ import annotations

import pytest

from pipeline.model.pitch import SpelledPitch
from pipeline.source.checks.clash import altered, check
from tests.source.checks.found import Found, find

HEADING = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n"
DECLARED = HEADING + "diapasons 8 = F#2\n"


def test_f_natural_in_the_bass_of_a_chord_with_f_sharp() -> None:
    (found,) = find(check, "| 2=X,5:0,4:2 8,5:0,3:3,2:2\n| 1=7,4:0\n| 2=8,4:2,2:2 7", HEADING)
    assert found == Found(
        1,
        15,
        "8",
        "diapason-clash",
        "Diapason 8 is tuned to F2, but the notes above it have F sharp and never F natural (bars 1, 3).",
        "No bass scale is declared. If the piece needs it, type in the heading: diapasons 8 = F#2",
        ((3, 5, "the same in bar 3"),),
        "1",
    )


def test_the_declared_scale_is_taken_at_its_word() -> None:
    assert find(check, "| 2=8,5:0,3:3,2:2 8,5:0,2:2", DECLARED) == []
    (found,) = find(check, "| 2=8,5:0,3:3,2:1 8,5:0,2:1", DECLARED)
    assert found.message == (
        "Diapason 8 is tuned to F#2, but the notes above it have F natural and never F sharp (bar 1)."
    )
    assert found.hint == "Check these bars, or tune the course: diapasons 8 = F2, or a retune line."


def test_flats() -> None:
    # B natural on course 12 against B flat (course 3 open is B; course 4 fret 3 is B flat)
    (found,) = find(check, "| 2=12,5:3,4:3 3:3", HEADING)
    assert found.hint.endswith("diapasons 12 = Bb1")


@pytest.mark.parametrize(
    "music",
    [
        "| 2=8,5:0,3:3,2:1 8,3:1,2:1",  # F with F
        "| 2=8,2:2 5:3,2:1",  # its own note stands in the bar too
        "| 2=8,4:2 5:0,2:2",  # the harmony has moved on when F sharp comes, once
        "| 4=8,4:2 5:0,2:2 6:0,2:2 5:0,2:2",  # and with new basses each time
        "| 4=8,4:2 3:1 2:2 3:1",  # a single F sharp in passing
        "| 2=7,2:2 7,2:2",  # G and F sharp: the leading note
        "| 2=9,4:4,3:4,2:2 9,4:4,3:4",  # B major over E: D sharp, the leading note
        "| 2=12,4:3,3:2,2:2 12,4:3,2:2",  # F sharp major over B: A sharp
        "| 2=13,4:1,2:4 13,4:1,2:4",  # A and G sharp: the leading note
        "| 2=X,5:0,4:2 X,3:3",
    ],
)
def test_no_clash(music: str) -> None:
    assert find(check, music, HEADING) == []


def test_e_flat_over_e() -> None:
    (found,) = find(check, "| 2=9,4:5,3:4 9,4:5,3:4", HEADING)  # C and E flat
    assert found.hint.endswith("diapasons 9 = Eb2")


def test_several_in_the_bar_while_the_diapason_rings() -> None:
    (found,) = find(check, "| 4=8,4:2 2:2 3:0 2:2", HEADING)
    assert (found.under, found.bar) == ("8", "1")


def test_a_ditto_says_nothing_new() -> None:
    (found,) = find(check, "| 2=8,2:2 8,2:2\n| ditto", HEADING)
    assert found.related == ()


def test_what_may_be_meant() -> None:
    natural = {step: altered(SpelledPitch(step, 0, 2)) for step in "CDEFGAB"}
    assert {step: str(pitch) for step, pitch in natural.items() if pitch} == {
        "C": "C#2",
        "E": "Eb2",
        "F": "F#2",
        "G": "G#2",
        "B": "Bb2",
    }
    assert altered(SpelledPitch("B", -1, 1)) == SpelledPitch("B", 0, 1)


def test_retuning_makes_another_scale() -> None:
    found = find(check, "| 2=8,2:2 8,2:2\nretune 8 = F#2\n| 2=8,2:2 8,2:2", HEADING)
    assert [each.line for each in found] == [1]


def test_a_note_of_the_key_under_another_letter() -> None:
    """In C sharp minor D sharp over an open E is no E flat; without a key nobody can tell (common practice)."""
    music = "| 2=9,5:1,4:2 9,5:1"
    assert find(check, music, f"{HEADING}key C# minor\n") == []
    assert [found.slug for found in find(check, music, HEADING)] == ["diapason-clash"]
    assert [found.slug for found in find(check, music, f"{HEADING}key C minor\n")] == ["diapason-clash"]
