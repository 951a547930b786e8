"""Pages cast off as a whole: sizes of print, what the editor asks for, how full pages are.

Held against: what is asked of the pages (common practice, no source: a page that music fills, no last page with one
system where fewer pages hold the piece, nothing beyond the margins).
"""

from __future__ import annotations

import re

import pytest

from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from pipeline.writers.engrave.density import FULL, chosen_pages
from pipeline.writers.engrave.paper import A4, MEASURE, STAFF_MM
from tests import made
from tests.benchmarks.collection import piece
from tests.benchmarks.page_fill import score_of

EDITION = Options(forms=(Form.SVG,), copy=False)
BAR = "| 4=7,3:2 3:3 2:1 1:0\n"
_SCALED = re.compile(r'<g transform="translate\(\d+ \d+\) scale\(([\d.]+)\)">')


def pages_of(text: str, options: Options = EDITION) -> tuple[list[str], list[str]]:
    """The pages of a piece, and the slugs of its findings."""
    built = build_piece(SourceText.of("piece.intav", made.HEADING + text), (), options)
    pages = [content.decode() for name, content in built.artefacts if name.startswith("edition-")]
    return pages, [finding.code.slug for finding in built.diagnostics]


def heads(page: str) -> list[str]:
    """The first measure of each system of a page."""
    return [system.partition('class="measure')[0].rpartition('<g id="')[2].partition('"')[0]
            for system in page.split('class="system')[1:]]  # fmt: skip


def test_a_new_system_begins_where_the_editor_asks() -> None:
    (page,), found = pages_of(BAR * 2 + "layout new system\n" + BAR * 5 + "| 1=7 |||\n")
    assert "m3" in heads(page)
    assert "layout-not-followed" not in found


def test_a_new_page_begins_where_the_editor_asks() -> None:
    pages, found = pages_of(BAR * 3 + "layout new page\n" + BAR * 4 + "| 1=7 |||\n")
    assert [heads(page)[0] for page in pages] == ["m1", "m4"]
    assert "layout-not-followed" not in found


def test_no_system_begins_where_the_editor_wants_none() -> None:
    (free,), _ = pages_of(BAR * 11 + "| 1=7 |||\n")
    first = int(heads(free)[1].removeprefix("m"))
    text = BAR * (first - 1) + "layout same system\n" + BAR * (12 - first) + "| 1=7 |||\n"
    (bound,), found = pages_of(text)
    assert f"m{first}" not in heads(bound)
    assert "layout-not-followed" not in found


def test_no_page_begins_where_the_editor_wants_none() -> None:
    text = piece(1, 40).replace("|||", "|")
    plain = score_of(SourceText.of("made.intav", text))
    _, composer = chosen_pages(plain, A4, 1.0)
    turned = composer.drawing.systems[composer.sheets[1].first].measures[0]
    lines = text.splitlines(keepends=True)
    bars = [place for place, line in enumerate(lines) if line.startswith("|")]
    lines.insert(bars[int(turned.removeprefix("m")) - 1], "layout same page\n")
    _, bound = chosen_pages(score_of(SourceText.of("made.intav", "".join(lines))), A4, 1.0)
    assert turned not in [bound.drawing.systems[sheet.first].measures[0] for sheet in bound.sheets]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (BAR + "layout same system\n" + (BAR + "layout same system\n") * 25 + "| 1=7 |||\n", "same system"),
        ("layout same system\n" + BAR + "| 1=7 |||\n", "same system"),
        (BAR + "| 1=7 |||\nlayout new page\n", "new page"),
        (BAR + "layout new page\nlayout same page\n| 1=7 |||\n", "new page"),
    ],
)
def test_what_cannot_be_followed_is_said_at_its_line(text: str, line: str) -> None:
    built = build_piece(SourceText.of("piece.intav", made.HEADING + text), (), EDITION)
    found = [finding for finding in built.diagnostics if finding.code.slug == "layout-not-followed"]
    assert found
    assert all(f"“layout {line}”" in finding.message for finding in found)


def test_the_copy_and_the_part_have_lines_of_their_own() -> None:
    text = made.HEADING + BAR + "layout new page\n" + BAR + "| 1=7 |||\n"
    built = build_piece(SourceText.of("piece.intav", text), (), Options(forms=(Form.SVG,)))
    names = [name for name, _ in built.artefacts if name.endswith(".svg")]
    assert names == ["edition-001.svg", "edition-002.svg", "reduction-001.svg"]


@pytest.mark.parametrize("height", [4.0, 9.0])
def test_staves_are_as_high_as_asked_for(height: float) -> None:
    pages, _ = pages_of(BAR * 9 + "| 1=7 |||\n", Options(forms=(Form.SVG,), copy=False, staff_height=height))
    scales = {float(match[1]) for page in pages for match in _SCALED.finditer(page)}
    assert list(scales) == [pytest.approx(height / STAFF_MM, rel=0.002)]


def test_no_page_with_one_system_where_fewer_pages_hold_the_piece() -> None:
    score = score_of(SourceText.of("made.intav", piece(1, 120)))
    cast, composer = chosen_pages(score, A4)
    assert cast.size < 1
    assert all(fill >= FULL - 0.03 for fill in composer.fills[:-1])
    assert composer.sheets[-1].last - composer.sheets[-1].first > 1


def test_nothing_of_the_staves_stands_beyond_the_margins() -> None:
    cast, composer = chosen_pages(score_of(SourceText.of("made.intav", piece(1, 120))), A4)
    for system in composer.drawing.systems:
        rights = [int(x) for x in re.findall(r'class="staff[^"]*"><path d="M-?\d+ -?\d+ L(-?\d+) ', system.drawing)]
        assert max(rights) * cast.size <= MEASURE + 20
