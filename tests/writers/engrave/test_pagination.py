"""Systems on pages: few pages, evenly filled, room kept for what else a page needs."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from pipeline.writers.engrave.pagination import CLOSEST, paginate
from pipeline.writers.engrave.paper import A4
from tests.benchmarks.collection import piece

BODY = A4.body


@given(st.lists(st.integers(BODY // 20, BODY // 2), min_size=1, max_size=40), st.integers(0, BODY // 3))
def test_every_system_once_in_order_and_in_its_room(heights: list[int], furniture: int) -> None:
    sheets = paginate(heights, lambda first, last: furniture, BODY)
    assert sheets is not None
    assert [place for sheet in sheets for place in range(sheet.first, sheet.last)] == list(range(len(heights)))
    for sheet in sheets:
        music = sum(heights[sheet.first : sheet.last]) + CLOSEST * (sheet.last - sheet.first - 1)
        assert sheet.slack >= 0
        assert music + furniture + sheet.slack == BODY


@given(st.lists(st.integers(BODY // 20, BODY // 2), min_size=1, max_size=25))
def test_no_fewer_pages_would_do(heights: list[int]) -> None:
    """Held against filling each page as full as it goes, which needs the fewest pages of all."""
    pages, room = 1, BODY - heights[0]
    for height in heights[1:]:
        if height + CLOSEST <= room:
            room -= height + CLOSEST
        else:
            pages, room = pages + 1, BODY - height
    sheets = paginate(heights, lambda first, last: 0, BODY)
    assert sheets is not None and len(sheets) == pages


def test_a_system_higher_than_a_page() -> None:
    assert paginate([BODY + 1], lambda first, last: 0, BODY) is None


def test_no_systems() -> None:
    assert paginate([], lambda first, last: 0, BODY) == []


def test_a_cheaper_turn_is_preferred() -> None:
    """Pages 1 and 3 are turned, page 2 is not: what a turn costs there does not matter."""
    heights = [BODY // 4] * 7
    plain = paginate(heights, lambda first, last: 0, BODY)
    assert plain is not None
    first = plain[0].last
    turns = [0.0] * len(heights)
    turns[first] = 0.5
    turned = paginate(heights, lambda first, last: 0, BODY, turns)
    assert turned is not None and len(turned) == len(plain)
    assert turned[0].last != first
    heights = [BODY // 4] * 12
    plain = paginate(heights, lambda first, last: 0, BODY)
    assert plain is not None and len(plain) > 2
    inside = [0.0] * len(heights)
    inside[plain[1].last] = 0.5
    assert paginate(heights, lambda first, last: 0, BODY, inside) == plain


def test_a_piece_with_little_on_its_last_page_is_printed_a_little_smaller() -> None:
    """At the usual size its last system, a fifth one, would have a page to itself. Common practice, no source."""
    options = Options(forms=(Form.SVG,), copy=False)
    source = SourceText.of("made.intav", piece(4, 22))
    (page,) = [content.decode() for _, content in build_piece(source, (), options).artefacts if b"<svg" in content]
    assert page.count('class="system"') == 4
    assert "scale(0.95)" in page
