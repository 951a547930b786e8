"""Type: broken to its width, nothing lost."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from pipeline.writers.engrave.blocks import CREDIT, _rows_of_items
from pipeline.writers.engrave.text import Run, broken, line_width, set_line
from pipeline.writers.engrave.widths import text_width


def test_widths_of_the_face() -> None:
    """Source: the metrics of Times as published by its maker: a = 444, M = 889, space = 250 (MEM), which are whole
    numbers of thousandths."""
    assert [round(text_width(letter, 1000)) for letter in "aM "] == [444, 889, 250]


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=300), st.integers(20, 4000))
def test_no_line_is_too_wide_and_no_character_is_lost(text: str, width: int) -> None:
    size = 10.0
    lines = broken((Run(text),), size, width)
    assert all(line_width(line, size) <= max(width, text_width("\u0152M", size)) + 1e-6 for line in lines)
    assert "".join("".join(run.text for run in line) for line in lines).replace(" ", "") == "".join(text.split())


def test_styles_survive_a_break() -> None:
    lines = broken((Run("one two", "italic"), Run("three four")), 10, 45)
    assert lines == [(Run("one two", "italic"),), (Run("three four"),)]
    assert broken((Run("a", "italic"), Run("bc")), 10, 45) == [(Run("a", "italic"), Run(" bc"))]


@given(st.text(max_size=80))
def test_any_text_is_well_formed(text: str) -> None:
    etree.fromstring(
        f'<svg xmlns="http://www.w3.org/2000/svg">{set_line((Run(text), Run(text, "bold")), 0, 0, 10)}</svg>'.encode(
            "utf-8", "replace"
        )
    )


def test_a_row_of_items_is_broken_between_two_items() -> None:
    """A course is never parted from its tuning."""
    tuned = tuple(f"{course} B♭{course % 3}" for course in range(7, 27))
    rows = _rows_of_items(" · ".join(tuned), 5000)
    assert len(rows) > 1
    assert " ".join(" ".join(rows).split()) == " · ".join(tuned)
    assert [item.strip() for row in rows for item in row.rstrip(" ·").split(" · ")] == list(tuned)
    assert max(text_width(row, CREDIT) for row in rows) <= 5000
