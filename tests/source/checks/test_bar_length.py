"""Bars and their metre: a semibreve is two minims, and C holds four crotchets (common practice, no source)."""

from __future__ import annotations

import pytest

from pipeline.source.checks.bar_length import check
from tests.source.checks.found import Found, find

HEADING = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n"
TRIPLE = HEADING.replace("metre C", "metre 3/2")
SHORT, LONG = " A bar short on purpose begins |<.", " A bar long on purpose begins |>."
FULL = "| 4=3:0 3:2 3:3 3:0\n"


def one(music: str, heading: str = HEADING) -> Found:
    (found,) = find(check, music, heading)
    return found


@pytest.mark.parametrize(
    "music",
    [
        "| 4=3:0 3:2 3:3 3:0",
        "| 4=3:0 3:2 2=3:3\n| 3:0 3:2\n| 1=3:0",  # a sign holds over the bar line
        "| 4.=3:0 8=3:2 8/3=3:3 3:2 3:0 /3=3:0 3:2 3:3",
        "| 4=- - 2=3:0",
        "| 4=3:0 - - -",
        "| 2=3:0 4== =",
        "|< 4=3:0\n| 1=3:0",  # an upbeat
        "|> 4=3:0 3:2 3:3 3:0 3:2\n|> 4=3:0",
        "| 1=3:0\nmetre none\n| 4=3:0 3:2 3:3\nmetre 3\n| 2=3:0 4=3:2",
        "| -\n| 1=3:0",  # a bar left empty
        "|< 4=3:0\n| ditto\n| 1=3:0",  # the original says that it is short
        "| 4=3:0 3:2 !| 3:3 3:0",  # a bar line that the edition takes away
        "| 2=3:0 ||. 4=3:2 3:3",  # a repeat sign in mid-bar
    ],
)
def test_nothing_is_said_of_bars_that_add_up_or_are_not_measured(music: str) -> None:
    assert find(check, music, HEADING) == []


@pytest.mark.parametrize(
    "music",
    [
        "| 1=3:0\n| 2=3:0 ||.\n| 2=3:2\n| 1=3:0 .||",  # the parts stand on both sides of the line
        "| 1=3:0\n| 2=3:0\nopens ||.\n| 2=3:2\n| 1=3:0 .||",
        "|< 4=3:0\n| 1=3:2\n| 2.=3:0 .||\n| 1=3:0",  # back to the upbeat
        "|< 4=3:0\n| 1=3:2\n| 2.=3:0 |||",  # last bar and upbeat make one
        "|< 4=3:0\n| 1=3:2\n| 2.=3:0 .||\n|< 4=3:0\n| 1=3:2\n| 2.=3:0 .||",
        # first ending leads back to the upbeat, the second ends the strain
        "|< 4=3:0\n| 1=3:2\nending 1\n| 2.=3:0 .||\nending 2\n| 2.=3:0 ||\nending end\n|< 4=3:0\n| 1=3:0 |||",
    ],
)
def test_a_bar_that_a_repeat_or_double_bar_divides_may_be_short(music: str) -> None:
    assert find(check, music, HEADING) == []


def test_parts_that_do_not_make_a_bar_are_both_reported() -> None:
    found = find(check, "| 1=3:0\n| 2=3:0 ||.\n| 4=3:2\n| 1=3:0 .||", HEADING)
    assert [(each.line, each.slug) for each in found] == [(2, "bar-too-short"), (3, "bar-too-short")]


@pytest.mark.parametrize(
    "music",
    [
        "| 1=3:0\n| 2=3:0 |!\n| 2=3:2\n| 1=3:0",  # the source's bar divided
        "| 2=3:0 3:2 3:0 |!\n| 2=3:2\n| 1=3:0",  # an added line inside a note: split and tied
        "| 1=3:0 |!\n| 1=3:2 |!\n| 1=3:0",  # each part a whole bar
    ],
)
def test_bars_joined_by_added_lines_are_measured_together(music: str) -> None:
    assert find(check, music, HEADING) == []


def test_joined_bars_that_do_not_add_up_together() -> None:
    found = one("| 1=3:0\n| 2=3:0 3:2 3:0 |!\n| 4.=3:2 4=3:0\n| 1=3:0")
    assert (found.line, found.column, found.under, found.slug) == (3, 3, "4.", "bar-too-long")
    assert found.message == (
        "Bars 2 to 3, one in the source, are 1/8 too long: the signs add up to 17/8, the metre C asks for 16/8."
    )


# --- which sign ----------------------------------------------------------------------------------------


def test_a_forgotten_dot() -> None:
    found = one(f"{FULL}| 2=7,3:0 4=3:2 8=3:3\n| 1=8,2:1")
    assert found == Found(
        2,
        11,
        "4",
        "bar-too-short",
        "Bar 2 is 1/8 too short: the signs add up to 7/8, the metre C asks for 8/8.",
        "Most likely the sign over event 2 should be 4.=, not 4= (4.!4= if the source has it so)." + SHORT,
        ((2, 17, "or else the sign over event 3 should be 4=, not 8="),),
        "2",
    )


def test_a_forgotten_sign_after_a_dot() -> None:
    found = one(f"{FULL}| 2=7,3:0 4.=3:2 3:3\n| 1=8,2:1")
    assert (found.line, found.column, found.under, found.slug) == (2, 18, "3:3", "bar-too-long")
    assert found.message == "Bar 2 is 1/4 too long: the signs add up to 5/4, the metre C asks for 4/4."
    assert found.hint == "Most likely a sign 8= is missing over event 3 (8!= if the source lacks it)." + LONG


def test_a_forgotten_sign_among_bars_of_the_same_rhythm() -> None:
    rhythm = "| 4=3:0 3:2 8=3:3 3:0 3:0 3:2\n"
    found = one(f"{rhythm}| 4=3:0 3:2 3:3 3:0 3:0 3:2\n{rhythm}")
    assert (found.line, found.column, found.under) == (2, 13, "3:3")
    assert found.hint.startswith("Most likely a sign 8= is missing over event 3 (8!= if the source lacks it).")


def test_one_hook_too_many() -> None:
    rhythm = "| 2=3:0 4=3:1 3:1\n"
    found = one(f"{rhythm}| 2=3:0 8=3:1 3:1\n{rhythm}")
    assert (found.line, found.column, found.under, found.related) == (2, 9, "8", ())
    assert found.hint.startswith("Most likely the sign over event 2 should be 4=, not 8= (4!8= if the source")


def test_a_sign_that_cannot_be_read_is_looked_at_first() -> None:
    found = one(f"{FULL}| 2=3:0 *=3:2 3:3\n{FULL}")
    assert (found.line, found.column, found.under) == (2, 9, "*")
    assert found.hint.startswith("Most likely the sign over event 2 that cannot be read is 4= (4!*= says so).")


def test_a_doubtful_sign_is_looked_at_before_a_clear_one() -> None:
    found = one(f"{FULL}| 4=3:0 4?=3:2 4=3:3\n{FULL}")
    assert (found.line, found.column, found.under) == (2, 9, "4?")


def test_the_sign_that_holds_into_the_next_bar_mends_both() -> None:
    quavers = "3:0 3:2 3:3 3:0 3:0 3:2 3:3 3:0"
    found = one(f"{FULL}| 16={quavers}\n| {quavers}\n{FULL}")
    assert (found.line, found.column, found.under, found.slug) == (2, 3, "16", "bar-too-short")
    assert found.hint.startswith("Most likely the sign over event 1 should be 8=, not 16=")


def test_a_group_keeps_its_time() -> None:
    found = one(f"{FULL}| 2=3:0 8/3=3:2 3:0 3:2 8=3:2\n{FULL}")
    assert found.message == "Bar 2 is 1/8 too short: the signs add up to 7/8, the metre C asks for 8/8."
    assert (found.column, found.under) == (25, "8")


def test_no_single_sign() -> None:
    found = one(f"{FULL}| 8=3:0 16=3:2\n{FULL}")
    assert (
        found.hint
        == f"No change to a single sign corrects it: a sign or an event is missing, or there is one too many.{SHORT}"
    )
    assert (found.line, found.column, found.under) == (2, 9, "16=3:2")


# --- bar lines -----------------------------------------------------------------------------------------


def test_a_bar_line_too_many() -> None:
    found = one(f"{FULL}| 4=3:0 3:2\n| 4=3:3 3:0\n{FULL}")
    assert (found.line, found.column, found.under) == (2, 12, "")
    likely = "the bar line after it is superfluous, since bar 3 is too short by as much (!| if the source has it)."
    assert found.hint == f"Most likely {likely}{SHORT}"


def test_a_missing_bar_line() -> None:
    found = one("| 2=3:0 4=3:1 3:1\n| 2=3:0 4=3:1 3:1 4=3:0 2=3:2 4=3:3\n| 2=3:0 4=3:1 3:1")
    assert (found.line, found.column, found.under, found.slug) == (2, 19, "4=3:0", "bar-too-long")
    assert found.hint == f"Most likely a bar line is missing before event 4 (|! if the source lacks it).{LONG}"


# --- upbeats, metres, ratios ---------------------------------------------------------------------------


def test_a_first_bar_may_be_an_upbeat_that_does_not_say_so() -> None:
    found = one(f"| 4=3:0\n{FULL}| 2.=3:0 |||")
    assert (found.line, found.slug) == (1, "bar-too-short")
    assert found.hint.startswith("If it is an upbeat, it begins |<. If not, most likely the sign over event 1")


def test_an_upbeat_longer_than_a_bar() -> None:
    found = one(f"|< 4=3:0 3:0 3:2 3:0 3:0\n{FULL}")
    assert found.slug == "bar-too-long"
    assert found.message == "This upbeat is 1/4 too long: the signs add up to 5/4, the metre C asks for 4/4."


def test_three_in_a_bar() -> None:
    assert find(check, "| 2=3:0 3:2 3:3\n| 1=3:0 2=3:2\n| 1.=3:0", TRIPLE) == []
    found = one("| 1=3:0 2=3:2\n| 1=3:0\n| 1=3:0 2=3:2", TRIPLE)
    assert found.message == "Bar 2 is 1/2 too short: the signs add up to 2/2, the metre 3/2 asks for 3/2."
    assert (
        found.hint == "Most likely the sign over event 1 should be 1.=, not 1= (1.!1= if the source has it so)." + SHORT
    )


def test_lengths_are_told_as_the_source_writes_them() -> None:
    halved = HEADING + "values 1:2\n"
    assert find(check, "| 2=3:0 3:1\n| 1=3:2", halved) == []
    found = one("| 2=3:0 3:1\n| 2=3:0 3:1 3:1\n| 2=3:0 3:1", halved)
    assert found.message == "Bar 2 is 1/2 too long: the signs add up to 6/4, the metre C asks for 4/4."


def test_what_was_reported_already_is_not_measured() -> None:
    assert find(check, "| 4=3:0 3:2 3;3\n| 4=3:0 3:2 | 3:3\n| 1=3:0", HEADING) == []


def test_very_long_bars_are_reported_without_a_suggestion() -> None:
    found = one("| 4=" + " ".join(["3:0"] * 500))
    assert found.slug == "bar-too-long"
    assert found.hint.startswith("No change to a single sign corrects it")
