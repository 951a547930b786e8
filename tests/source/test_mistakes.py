"""Mistakes of typists: what is typed, and the one finding that it gives, at its place, with what was likely meant.

The mistakes are those that were made while real openings were typed, and their neighbours on the keyboard (common
practice, no source). Every one of them is made in a piece that is otherwise clean.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from pipeline.findings.codes import PLAIN_HEADING
from pipeline.model.text import SourceText
from pipeline.source.read import read_piece

HEADING = PLAIN_HEADING.removesuffix("\n")
BEFORE = """\

section Prima parte
| 4=7,3:0 3:2 3:3 3:0
| 4=8,3:0 3:2 3:3 2:0
| 4=7,4:0 3:2 3:3 2:1
"""
FIRST = (HEADING + BEFORE).count("\n") + 1


class Mistake(NamedTuple):
    """``typed`` after the clean bars; line (from 0 there) and column, the text that is underlined, the code, the
    message and the beginning of the hint."""

    typed: str
    line: int
    column: int
    text: str
    code: str
    message: str
    hint: str


MISTAKES = [
    # --- keys that lie side by side
    Mistake(
        *("| 4=12 5:3 3:2 3:3 3:0", 0, 3, "4=12", "bar-too-long"),
        "Bar 4 is 1/4 too long: the signs add up to 5/4, the metre C asks for 4/4.",
        "Most likely a comma is missing between events 1 and 2, which are struck together (4=12,5:3).",
    ),
    Mistake("| 4=7,4;0 3:2 3:3 3:0", 0, 8, ";", "syntax", "Expected “:”, not “;”.", "Perhaps 4=7,4:0"),
    Mistake("| 4=7,3.0 3:2 3:3 3:0", 0, 8, ".", "syntax", "Expected “:”, not “.”.", "Perhaps 4=7,3:0"),
    Mistake("| 4=7.3:0 3:2 3:3 3:0", 0, 6, ".", "syntax", "Expected “,”, not “.”.", "Perhaps 4=7,3:0"),
    Mistake("| 4=7,,3:0 3:2 3:3 3:0", 0, 6, ",,", "syntax", "Expected “,”, not “,,”.", "Perhaps 4=7,3:0"),
    Mistake(
        *("| 4=7, 3:0 3:2 3:3", 0, 7, "", "syntax", "Expected a stop after “4=7,”."),
        "No white space stands inside a chord: 4=7,3:2",
    ),
    Mistake("| 4=7,3:O 3:2 3:3 3:0", 0, 9, "O", "syntax", "Expected “0”, not “O”.", "Perhaps 4=7,3:0"),
    Mistake("| 4=7,3:l 3:2 3:3 3:0", 0, 9, "l", "syntax", "Expected “1”, not “l”.", "Perhaps 4=7,3:1"),
    Mistake("| 4=7,l:0 3:2 3:3 3:0", 0, 7, "l", "syntax", "Expected “1”, not “l”.", "Perhaps 4=7,1:0"),
    Mistake(
        *("| 4=x,3:0 3:2 3:3 3:0", 0, 5, "x", "syntax", "Expected a stop, not “x”."),
        "The tenth course is a capital X",
    ),
    Mistake(
        *("4=7,3:0 3:2 3:3 3:0", 0, 1, "4=7,3:0", "unknown-line", "No kind of line begins with “4=7,3:0”."),
        "A bar begins with |",
    ),
    Mistake(
        *("| 4 7,3:0 3:2 3:3", 0, 3, "4", "bare-figure", "A bare figure is a diapason from 7 on, not “4”."),
        "A fret needs its course: type 3:4; a value is joined to its event by =: 4=3:0",
    ),
    # --- what text programs and other keyboards make of a sign
    Mistake(
        "| 4=7,3:0“a 3:2 3:3 3:0\n“a EB: why",
        *(0, 10, "“", "foreign-sign", 'Expected “"”, not ““” (left double quotation mark).'),
        'Perhaps 4=7,3:0"a',
    ),
    Mistake(
        *("| 4=7,3:0’T 3:2’T 3:3 3:0", 0, 10, "’", "foreign-sign"),
        *("Expected “'”, not “’” (right single quotation mark).", "Perhaps 4=7,3:0'T"),
    ),
    Mistake(
        *("| 4=Х,3:0 3:2 3:3 3:0", 0, 5, "Х", "foreign-sign"),
        *("Expected “X”, not “Х” (cyrillic capital letter ha).", "Perhaps 4=X,3:0"),
    ),
    Mistake(
        *("| 4=7,3:0 3:2 3:3 4=–", 0, 21, "–", "foreign-sign"),
        *("Expected “-”, not “–” (en dash).", "Perhaps 4=-"),
    ),
    Mistake(
        *("| 4=7，3:0 3:2 3:3 3:0", 0, 6, "，", "foreign-sign"),
        *("Expected “,”, not “，” (fullwidth comma).", "Perhaps 4=7,3:0"),
    ),
    Mistake(
        *("| 1=7,3:0\nv 2=D5 2=–", 1, 10, "–", "foreign-sign"),
        *("Expected “-”, not “–” (en dash).", "Perhaps 2=-"),
    ),
    # --- words
    Mistake(
        *("retun 8 = F#2\n| 1=7,3:0", 0, 1, "retun", "unknown-line", "No kind of line begins with “retun”."),
        "Perhaps retune",
    ),
    Mistake(
        *("Section Altra\n| 1=7,3:0", 0, 1, "Section", "unknown-line", "No kind of line begins with “Section”."),
        "Perhaps section",
    ),
    Mistake(
        *("mettre 3/2\n| 2=7,3:0 3:2 3:3", 0, 1, "mettre", "unknown-line", "No kind of line begins with “mettre”."),
        "Perhaps metre",
    ),
    Mistake(
        *("| dito Prima parte 3", 0, 3, "dito", "ditto", "Expected “ditto”, not “dito”."),
        "Perhaps ditto Prima parte 3",
    ),
    Mistake(
        *("| ditto Seconda 3", 0, 3, "ditto Seconda 3", "unknown-section", "There is no section called “Seconda”."),
        "The sections are: Prima parte",
    ),
    Mistake(
        *("metre 3//2\n| 2=7,3:0 3:2 3:3", 0, 7, "3//2", "metre", "Expected a metre, not “3//2”."),
        "Metres are C, C|",
    ),
    # --- lines under a bar
    Mistake(
        '| 4=7,3:0"a 3:2 3:3 3:0\n"b EB: why',
        *(1, 1, '"b EB: why', "note-without-label", "No sign of this bar has the label “b” of this note."),
        'Perhaps "a',
    ),
    Mistake(
        *("| 1=7,3:0\n2=D5 C5\n1 pian- to", 1, 1, "2=D5", "unknown-line", "No kind of line begins with “2=D5”."),
        "A vocal line begins with v: v 2=D5 …",
    ),
    Mistake(
        *("| 1=7,3:0\n1 pian- to\n2 ca- ro", 1, 1, "1", "stanza-without-voice"),
        *("Expected a vocal line above stanza 1.", "Words stand under their v line"),
    ),
    # --- rhythm signs
    Mistake(
        *("| 4=7,3:0 2=3:2 3:3", 0, 17, "3:3", "bar-too-long"),
        "Bar 4 is 1/4 too long: the signs add up to 5/4, the metre C asks for 4/4.",
        "Most likely a sign 4= is missing over event 3",
    ),
    Mistake(
        *("| 4=7,3:0 2=3:2 4=3:3 3:0", 0, 11, "2", "bar-too-long"),
        "Bar 4 is 1/4 too long: the signs add up to 5/4, the metre C asks for 4/4.",
        "Most likely the sign over event 2 should be 4=, not 2= (4!2= if the source has it so).",
    ),
    Mistake(
        *("| !2=7,3:0 4=3:2 3:3", 0, 3, "!2", "bar-too-short"),
        "Bar 4 is 1/4 too short: the signs add up to 3/4, the metre C asks for 4/4.",
        "Most likely the sign over event 1 is to be added: !2= leaves it out (2!= adds it).",
    ),
]


def findings(text: str) -> list[tuple[int, int, str, str, str, str]]:
    source = SourceText.of("trial.intav", text)
    found = read_piece(source).settled()
    return [(one.span.line, one.span.start, source.at(one.span), one.code.slug, one.message, one.hint) for one in found]


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda mistake: mistake.typed.replace("\n", " / "))
def test_a_mistake_gives_one_finding_at_its_place(mistake: Mistake) -> None:
    ((*place, code, message, hint),) = findings(f"{HEADING}{BEFORE}{mistake.typed}\n")
    assert place == [FIRST + mistake.line, mistake.column, mistake.text]
    assert (code, message) == (mistake.code, mistake.message)
    assert hint.startswith(mistake.hint)


#: Changes to the heading, with 32 bars under it: line and column, code, message, hint.
BARS = {
    "C": "| 4=7,3:0 3:2 3:3 3:0\n" * 31 + "| 4=7,3:0 3:2 3:3 3:0 |||\n",
    "3/2": "| 2=7,3:0 3:2 3:3\n" * 31 + "| 2=7,3:0 3:2 3:3 |||\n",
}
HEADINGS = [
    (
        *("metre C", "metre 3/4", "C", 8, 1, "metre-differs"),
        "All 32 bars hold 4/4, where the metre 3/4 asks for 3/4.",
        "Perhaps metre 4/4; if the source prints 3/4: metre 3/4 = 4/4",
    ),
    (
        *("metre C", "metre 3", "3/2", 8, 1, "metre-differs"),
        "All 32 bars hold 6/4, where the metre 3 asks for 3/4.",
        "Perhaps metre 3 = 3/2",
    ),
    (
        *("instrument theorbo", "instrment theorbo", "C", 6, 1, "unknown-line"),
        *("Expected a heading line or music, not “instrment”.", "Perhaps instrument"),
    ),
    (
        *("theorbo in A", "teorbo in A", "C", 6, 12, "unknown-instrument"),
        "No tuning is known for “teorbo in A”: the signs are read, and no pitch is claimed.",
        "Perhaps theorbo in A",
    ),
    (
        *("longneck 1", "longneck1", "C", 1, 1, "version"),
        *("Expected “longneck 1” on the first line, not “longneck1”.", "The first line names the version"),
    ),
]


@pytest.mark.parametrize(
    ("old", "new", "bars", "line", "column", "code", "message", "hint"), HEADINGS, ids=[each[1] for each in HEADINGS]
)
def test_a_mistake_in_the_heading_is_one_finding(
    old: str, new: str, bars: str, line: int, column: int, code: str, message: str, hint: str
) -> None:
    (found,) = findings(HEADING.replace(old, new) + "\n" + BARS[bars])
    assert (found[0], found[1], found[3], found[4]) == (line, column, code, message)
    assert found[5].startswith(hint)


@pytest.mark.parametrize(
    ("declared", "bar", "message", "hint"),
    [
        (
            "italian",
            "| 4=a,3c 3d 3a 2d\n",
            "letters, and figures (signs italian)",
            "french",
        ),
        (
            "french",
            "| 4=3:0 3:2 3:3 3:0\n",
            "figures, and letters (signs french)",
            "italian",
        ),
    ],
)
def test_the_wrong_system_of_signs_is_one_finding(declared: str, bar: str, message: str, hint: str) -> None:
    text = HEADING.replace("signs italian", f"signs {declared}") + "\n" + bar * 4 + "section End\n"
    (found,) = findings(text)
    assert (found[0], found[4]) == (13, f"16 words have {message} are read here.")
    assert found[5] == f"Perhaps the heading should say: signs {hint}"


def test_a_few_words_of_the_other_system_are_told_one_by_one() -> None:
    found = findings(HEADING + BEFORE + "| 4=7,3c 3d 3:3 3:0\n")
    assert [each[0] for each in found] == [FIRST, FIRST]


def test_a_bar_of_another_length_under_a_wrong_metre_is_measured_by_the_others() -> None:
    bars = BARS["C"].replace(" |||", "") + "| 4=7,3:0 3:2 3:3 |||\n"
    found = findings(HEADING.replace("metre C", "metre 3/4") + "\n" + bars)
    assert [each[3] for each in found] == ["metre-differs", "bar-too-short"]
    assert found[0][4] == "32 of 33 bars hold 4/4, where the metre 3/4 asks for 3/4."
    assert found[1][4] == "Bar 33 is 1/4 too short: the signs add up to 3/4, the metre 4/4 asks for 4/4."


def test_a_few_long_bars_do_not_make_another_metre() -> None:
    found = findings(
        HEADING + "\n" + "| 4=7,3:0 3:2 3:3 3:0\n" * 8 + "| 2=7,3:0 3:2 3:3\n" * 3 + "| 2=7,3:0 3:2 3:3 |||\n"
    )
    assert {each[3] for each in found} == {"bar-too-long"}


@pytest.mark.parametrize("said", ["Prima parte 3", "Prima 3", "prima parte 3", '"Prima parte" 3', '"Prima" 3'])
def test_a_ditto_may_name_its_section_in_short_or_quoted(said: str) -> None:
    assert not findings(f"{HEADING}{BEFORE}section Seconda\n| ditto {said}\n")


def test_clean_bars_have_no_finding() -> None:
    assert not findings(HEADING + BEFORE)
