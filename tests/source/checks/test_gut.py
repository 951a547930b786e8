"""Gut breaks at about 248 Hz·m, frequency × string length (PS-inf)."""

from __future__ import annotations

import pytest

from pipeline.model.gut import BREAKING_HZ_M
from pipeline.model.pitch import frequency
from pipeline.source.checks.gut import check
from tests.source.checks.found import Found, find


def _heading(instrument: str, strings: str, *lines: str) -> str:
    return "\n".join(["longneck 1", f"instrument {instrument}", f"strings {strings}", *lines, "metre none", ""])


def test_the_rule_itself() -> None:
    # PS-inf: 0.80 m holds up to 310 Hz, below E4 = 329.63 Hz at A4 = 440.
    assert pytest.approx(310) == BREAKING_HZ_M / 0.80
    assert frequency(64, 440) == pytest.approx(329.63, abs=0.005)


def test_a_first_course_that_is_not_tuned_down() -> None:
    heading = _heading("theorbo in A", "80 cm, 160 cm", "pitch 440", "course 2 = E4")
    (found,) = find(check, "| 1=1:0", heading)
    assert found == Found(
        -2,
        1,
        "course 2 = E4",
        "string-would-break",
        "Course 2 at E4 is 330 Hz at A4 = 440 Hz on 80 cm: gut of that length breaks at about 310 Hz.",
        "Check pitch, strings and tuning. If they are right, tune up slowly, mind your eyes, and ask a maker.",
        (),
        "",
    )


@pytest.mark.parametrize(
    ("heading", "broken"),
    [
        (_heading("theorbo in A", "84 cm, 160 cm", "pitch 465"), []),
        (_heading("lute in G, 6 courses", "60 cm, 60 cm", "pitch 440"), []),  # 392 Hz × 0.60 = 235
        (_heading("lute in G, 6 courses", "65 cm, 65 cm", "pitch 440"), ["strings 65 cm, 65 cm"]),  # 255
        (_heading("lute in G, 6 courses", "65 cm, 65 cm", "pitch 392"), []),  # 227
        (_heading("lute in G, 6 courses", "65 cm, 65 cm"), []),  # no standard declared: the lowest is taken
        (_heading("lute in G, 6 courses", "75 cm, 75 cm"), ["strings 75 cm, 75 cm"]),
        (_heading("theorbo in A", "84 cm, 160 cm", "pitch 440", "course 7 = G2+G3"), ["course 7 = G2+G3"]),
    ],
)
def test_what_breaks(heading: str, broken: list[str]) -> None:
    assert [found.under for found in find(check, "| 1=1:0", heading)] == broken


def test_nothing_without_a_length() -> None:
    assert find(check, "| 1=1:0", "longneck 1\ninstrument theorbo in A\npitch 465\ncourse 1 = A5\n") == []


def test_no_pitch_standard() -> None:
    (found,) = find(check, "| 1=1:0", _heading("lute in G, 6 courses", "75 cm, 75 cm"))
    assert found.message == (
        "Course 1 at G4 is 349 Hz at A4 = 392 Hz, the lowest standard in use, on 75 cm: gut of that length breaks at "
        "about 331 Hz."
    )


def test_a_retuning_is_looked_at_where_it_stands() -> None:
    heading = _heading("theorbo in A", "84 cm, 160 cm", "pitch 440")
    (found,) = find(check, "| 1=1:0\nretune 7 = G3\n| 1=1:0", heading)
    assert (found.line, found.under) == (2, "7 = G3")
    assert found.message.startswith("Course 7 at G3 is 196 Hz at A4 = 440 Hz on 160 cm")
