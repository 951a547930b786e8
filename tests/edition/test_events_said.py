"""Readings of other sources in words: nothing at the foot of a page is code."""

from __future__ import annotations

import re

import pytest
from lxml import etree

from pipeline.edition.apparatus import apparatus
from pipeline.edition.casting import cast_off
from pipeline.edition.notate import notate
from pipeline.writers.mei import write_mei_forms
from tests import made

HEADING = made.HEADING + "metre C\nkey D minor\nsource A = One\nsource B = Two\neditor EB = E. Bell\n"
#: A value over something, a fret on a course, stops struck together: how the encoding types them.
CODE = re.compile(r"\d\.?=|\b\d+:\d|\d,\d|:\s*[_-](\s|\.)")


def notes(music: str) -> list[str]:
    return [note.text for note in made.score(music, HEADING).footnotes]


@pytest.mark.parametrize(
    ("music", "said"),
    [
        ('| 4=X,3:3"a 3:2 3:3 3:2\n"a !B 4:3', "B has 3 on the fourth course."),
        ('| 4=X,3:3"a 3:2 3:3 3:2\n"a !B X,4:3,2:1', "B has X with 3 on the fourth course and 1 on the second course."),
        ('| 4"a=X,3:3 3:2 3:3 3:2\n"a !B 2', "B has minim."),
        ('| 4=X,3:3"a 3:2 3:3 3:2\n"a !B -', "B has nothing."),
        ('| 4=X,3:3"a 3:2 3:3 3:2\n"a !B wanting', "wanting in B."),
        ('| 4=X,3:3"a 3:2 3:3 3:2\n"a !B a blot here', "B has a blot here."),
        ("| 4=X,3:3 3:2 3:3 3:2\n!B 4=X,3:3 3:0 3:3 3:2", "B has for event 2: 0 on the third course."),
        ("| 4=X,3:3 3:2 3:3 3:2\n!B 4=X,3:3 2=3:2 4=3:2", "B has for events 2–3: minim 2 on the third course."),
        ("| 4=X,3:3 3:2 3:3 3:2\n!B 4=X,3:3 4=3:2 4=3:3 4=3:2", "B has the same figures and values, signed otherwise."),
        ("| 4=X,3:3 3:2 3:3 3:2\n!B -", "B has nothing in this bar."),
        ('| 4=X,3:3."a 3:2 3:3 3:2\n"a !B 3:3', "B has 3 (no dot) on the third course."),
        ('| 4=X,3:3"a 3:2 3:3 3:2\n"a !B _3:3\'p', "B has 3 (slurred, thumb) on the third course."),
        ('| 4=X,3:3"a 3:2 3:3 3:2\n"a !B ?', "B has an illegible sign."),
        (
            "| 4=X,3:3 3:2 3:3 3:2\n!B 4=X,3:3. 3:2 3:3 -",
            "B has for event 1: X with 3 (one dot) on the third course; for event 4: nothing.",
        ),
        (
            "| 4=X,3:3 3:2 3:3 3:2\n!B 4=X,3:3 3:2 3:3 3:2 | 1=3:0",
            "B has then a bar more: semibreve 0 on the third course.",
        ),
        ("| 4=X,3:3 3:2 3:3 3:2\n!B 4=X,3:3 3:2 | 3:3 3:2", "B has a bar line after event 2."),
        ("| 4=X,3:3 3:2 3:3 3:2\n!B 4=X,3:3 3:2 3:3 3:2 ||", "B has a double bar line at the end."),
        ('| 4=X,3:3 3:2 3:3 3:2 ||"a\n"a !B |', "Bar 1: a plain bar line at the end in B."),
        ('| 4=X,3:3 3:2 3:3 3:2 ||"a\n"a !B omits', "Bar 1: no bar line at the end in B."),
        ("| 4=X,3:3 3:2 3:3 3:2\n! 4=X,3:3 3:2 8=3:3 3:2", "the source has for events 3–4: a quaver; a quaver."),
    ],
)
def test_a_reading_is_words(music: str, said: str) -> None:
    (note,) = notes(music)
    assert note.endswith(said), note
    assert not CODE.search(note)


def test_a_chord_of_another_source_has_its_notes_in_the_document() -> None:
    voiced = made.voiced('| 1=X,3:3"a\n"a !B X,4:3,2:1', HEADING)
    root = etree.fromstring(write_mei_forms(cast_off(notate(voiced)), apparatus(voiced)).archive)
    mei = {"m": "http://www.music-encoding.org/ns/mei"}
    (reading,) = root.xpath("//m:rdg[@source='#source-B']", namespaces=mei)
    assert [(note.get("tab.course"), note.get("tab.fret")) for note in reading] == [("10", "0"), ("4", "3"), ("2", "1")]


def test_numbers_not_letters_call_the_notes() -> None:
    """A letter beside a letter of French tablature, an italic t or f over a note, can be read as music."""
    score = made.score('| 4=X,3:3"a 3:2"b 3:3 3:2\n"a EB: one\n"b EB: two', HEADING)
    assert [note.letter for note in score.footnotes] == ["1", "2"]


def test_sigla_and_initials_are_explained_on_the_page() -> None:
    score = made.score('| 4=X,3:3"a 3:2 3:3 3:2\n"a EB: one', HEADING)
    assert score.credits.right == ("A: One", "B: Two")
    assert [entry.text for entry in score.legend if entry.sign == "Initials:"] == ["EB: E. Bell."]
    unused = made.score("| 4=X,3:3 3:2 3:3 3:2", HEADING)
    assert not [entry for entry in unused.legend if entry.sign == "Initials:"]


def test_halved_values_are_stated() -> None:
    halved = made.score("| 2=X,3:3 3:2", HEADING.replace("metre C\n", "metre 2/4\nvalues 1:2\n"))
    plain = made.score("| 2=X,3:3 3:2", HEADING)
    said = ["halved" in entry.text for score in (halved, plain) for entry in score.legend if entry.sign == "Staves:"]
    assert said == [True, False]


@pytest.mark.parametrize(
    ("music", "sign"),
    [
        ("| 4=X,3:3 3:2 3:3! 3:2", "[ ]"),
        ("| 4=X,3:3 8/3!=3:2 3:3 3:2 2=3:3", "[ ]"),
        ("| 4!=X,3:3 3:2 3:3 3:2", "[ ]"),
        ("| 4=X,3:3 3:2 3:3? 3:2", "?"),
        ("| 4=X,3:3 _!3:2 3:3 3:2", "Dashed slur:"),
        ("| 4=X,3:3 3:2 X-,3:3 3:2", "Line after a figure:"),
        ("| 4=X,3:3. 3:2 3:3 3:2", "Dots under a figure:"),
        ("| 4=X,3:3'p 3:2 3:3 3:2", "Right hand:"),
        ("| 4=X,3:3'2 3:2 3:3 3:2", "Small figures:"),
        ("| 4's=X,3:3 3:2 3:3 3:2", "Strokes between the figures:"),
        ("| 4'b=X,3:3 3:2 3:3 3:2", "Stroke before a chord:"),
    ],
)
def test_the_key_has_each_sign_of_the_page_and_no_other(music: str, sign: str) -> None:
    signs = [entry.sign for entry in made.score(music, HEADING).legend]
    assert signs == ["Tablature:", "Staves:", sign] or sign in signs[2:]
    plain = [entry.sign for entry in made.score("| 4=X,3:3 3:2 3:3 3:2", HEADING).legend]
    assert plain == ["Tablature:", "Staves:"]
