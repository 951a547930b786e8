"""Gaps of the source, signs of metre, breves and added groups on the page."""

from __future__ import annotations

import re
import zipfile

import pytest
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.writers.engrave import engrave
from pipeline.writers.engrave.drawing import FONT
from pipeline.writers.mei import write_mei
from tests import made

GAP = "| 4=X,3:3 3:2 3:3 3:2\ngap 2 bars\n| 4=X,3:3 3:2 3:3 3:2 |||"
_MEI = {"m": "http://www.music-encoding.org/ns/mei"}


def page_of(music: str, heading: str = "metre C\nkey D minor\n") -> str:
    score = made.score(music, made.HEADING + heading)
    (page,) = engrave(write_mei(cast_off(score)), score).pages
    return page


def top_lines(page: str) -> list[tuple[int, int]]:
    """Left and right of each stretch of the tablature's top line."""
    found = re.findall(r'class="staff"><path d="M(-?\d+) (-?\d+) L(-?\d+) \2"', page)
    highest = min(int(y) for _, y, _ in found)
    return [(int(left), int(right)) for left, y, right in found if int(y) == highest]


def test_the_staves_break_off_at_a_gap_and_words_stand_in_the_break() -> None:
    """Source: common practice, no source."""
    page = page_of(GAP)
    (_, before), (after, _) = top_lines(page)
    words = re.search(r'<text x="(\d+)" y="\d+" [^>]*>\[2 bars wanting\]</text>', page)
    assert words is not None
    assert before + 600 < int(words.group(1)) < after - 600


def test_without_a_gap_the_staves_run_on() -> None:
    (_, before), (after, _) = top_lines(page_of(GAP.replace("gap 2 bars\n", "")))
    assert before == after


def test_a_gap_at_the_end_has_its_words_behind_the_last_bar() -> None:
    page = page_of("| 4=X,3:3 3:2 3:3 3:2 |||\ngap 3 bars, end lost")
    assert "[3 bars, end lost]" in page
    assert len(top_lines(page)) == 1


@pytest.mark.parametrize(("metre", "sign"), [("C", "common"), ("C|", "cut"), ("3/2", None)])
def test_the_staves_have_the_sign_of_the_source_where_it_means_the_same_today(metre: str, sign: str | None) -> None:
    """At the head and after a change. Source: common practice, no source."""
    bar = {"C": "1=3:3", "C|": "1=3:3", "3/2": "1.=3:3"}[metre]
    music = f"| {bar}\nmetre 3/4\n| 2.=3:3\nmetre {metre}\n| {bar}"
    root = etree.fromstring(write_mei(cast_off(made.score(music, made.HEADING + f"metre {metre}\n"))))
    first = root.xpath("//m:staffDef[@clef.shape='G']/@meter.sym", namespaces=_MEI)
    changed = root.xpath("//m:section//m:staffDef[@n='2']/m:meterSig", namespaces=_MEI)
    assert first == ([sign] if sign else [])
    assert [each.get("sym") for each in changed] == [None, sign]


def test_a_breve_is_no_higher_than_the_whole_note_that_stands_in_one_space() -> None:
    """The engraver's own is a mensural square, which in a chord of thirds runs into its neighbour."""
    with zipfile.ZipFile(FONT) as archive:
        boxes = etree.fromstring(archive.read("Longneck.xml"))
    (breve,) = boxes.xpath("g[@c='E0A1']")
    assert float(breve.get("h")) <= 266
    page = page_of("| 0=X,4:2,3:3,2:1,1:0 |||", "metre 4/2\nkey D minor\n")
    assert page.count('xlink:href="#E0A1"') >= 4


def test_the_number_of_an_added_group_is_bracketed() -> None:
    printed, added = (page_of(f"| 8/3{sign}=3:3 3:2 3:3 4=3:2 2=3:3 |||") for sign in ("", "!"))
    assert printed.count('class="ink"') + 1 == added.count('class="ink"')
