"""Capital marks are declared in the heading: ornament signs vary by source."""

from __future__ import annotations

from pipeline.source.checks.declared_marks import check
from tests.made import HEADING
from tests.source.checks.found import Found, find


def test_once_for_each_letter() -> None:
    (found,) = find(check, "| 4=3:0'T 3:2 3:3'T")
    assert found == Found(
        1,
        8,
        "'T",
        "undeclared-mark",
        "The mark T is not declared in the heading.",
        'Declare it there, for example: mark T = "t" trill, after',
        ((1, 18, "also here"),),
        "",
    )


def test_declared_marks_fingers_and_small_letters() -> None:
    heading = HEADING + 'mark T = "t" trill, after\n'
    assert find(check, "| 4'r=3:0'T,2:0'1 3:2'i", heading) == []


def test_letters_of_the_source_that_the_edition_replaces_are_declared_too() -> None:
    heading = HEADING + 'mark T = "t" trill, after\n'
    assert [found.message for found in find(check, "| 4=3:0'T!M", heading)] == [
        "The mark M is not declared in the heading."
    ]
    assert find(check, "| 4=3:0'!T", heading) == []
