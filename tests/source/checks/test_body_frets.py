"""Tied gut frets reach the 8th; body frets 9 to 12 are modern, though higher positions were played (PS-inf)."""

from __future__ import annotations

from pipeline.source.checks.body_frets import check
from tests.source.checks.found import Found, find


def test_one_finding_for_each_bar_at_its_first_high_fret() -> None:
    (found,) = find(check, "| 4=1:7 1:X 1:9 1:7")
    assert found == Found(
        1,
        9,
        "1:X",
        "fret-on-body",
        "Bar 1: fret 10 on course 1 lies beyond the tied frets, which end at 8.",
        "Such notes were played; check whether the source has one here (confused figures, or a diapason sign typed "
        "on a course).",
        ((1, 13, "also fret 9"),),
        "1",
    )


def test_tied_frets_and_the_open_tenth_course_are_silent() -> None:
    assert find(check, "| 4=1:8 X,1:0 10,3:3") == []


def test_dittos_and_repeated_chords_are_not_reported_again() -> None:
    assert [found.line for found in find(check, "| 4=1:9 4== =\n| ditto")] == [1]


def test_french_letters() -> None:
    french = "longneck 1\ninstrument theorbo in A\nsigns french\n"
    (found,) = find(check, "| 4=1i 1k", french)
    assert (found.under, found.message) == (
        "1k",
        "Bar 1: fret 9 on course 1 lies beyond the tied frets, which end at 8.",
    )


def test_an_instrument_may_declare_more_tied_frets() -> None:
    heading = "longneck 1\ninstrument theorbo in A\nfrets 9, 12\n"
    assert [found.under for found in find(check, "| 4=1:9 1:X", heading)] == ["1:X"]
