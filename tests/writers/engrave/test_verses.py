"""Verses in columns: no stanza divided, no column longer than need be."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.verses import verse_lines
from pipeline.writers.engrave.blocks import NOTHING
from pipeline.writers.engrave.paper import MEASURE
from pipeline.writers.engrave.verses import verses_block
from pipeline.writers.engrave.widths import text_width

SET = re.compile(r'<text x="(-?\d+)" y="(\d+)" font-size="(\d+)"[^>]*>([^<]*)</text>')

words = st.text("abc lmno", min_size=1, max_size=60).map(str.strip).filter(bool)
stanzas = st.lists(words, min_size=1, max_size=9).map(" / ".join)


def test_lines_of_a_stanza() -> None:
    assert verse_lines("Lieti prati, / verdi selve / e/o") == ("Lieti prati,", "verdi selve", "e/o")


def test_nothing() -> None:
    assert verses_block(()) == NOTHING


def test_short_verses_stand_side_by_side() -> None:
    block = verses_block([(str(number), "uno / due / tre") for number in range(2, 8)])
    assert len({x for x, _, _, text in SET.findall(block.drawing) if text == "uno"}) == 3


def test_long_lines_have_one_column() -> None:
    block = verses_block([("2", "parola " * 14), ("3", "parola " * 14)])
    assert len({x for x, _, _, text in SET.findall(block.drawing) if text.startswith("parola")}) == 1


@given(st.lists(stanzas, min_size=1, max_size=12))
def test_every_word_once_and_inside_the_measure(texts: list[str]) -> None:
    block = verses_block([(str(number), text) for number, text in enumerate(texts, start=2)])
    found = SET.findall(block.drawing)
    printed = [word for *_, text in found if not re.fullmatch(r"\d+\.", text) for word in text.split()]
    assert sorted(printed) == sorted(word for text in texts for line in verse_lines(text) for word in line.split())
    for x, y, size, text in found:
        assert int(x) >= 0 and int(x) + text_width(text, int(size)) <= MEASURE + 60
        assert int(y) <= block.height
    places = [(x, y) for x, y, _, text in found]
    assert len(places) == len(set(places)), "nothing on top of anything else"
