"""What MusicXML tells of the pages: size, lines, pages, each note at the foot of the page of its bar.

Source: MusicXML 4.0, elements ``print``, ``credit`` (attribute ``page``) and ``scaling``.
"""

from __future__ import annotations

import music21
import pytest
from lxml import etree

from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from tests import made

BAR = "| 4=7,3:2 3:3 2:1 1:0\n"
NOTED = '| 4=7,3:2!3:3"a 3:3 2:1 1:0\n"a EB: one\n'
LATER = '| 4=7,3:2!3:5"a 3:3 2:1 1:0\n"a EB: two\n'
HEADING = made.HEADING + "editor EB = E. B.\n"
PIECE = HEADING + NOTED + BAR + "layout new page\n" + BAR + LATER + "| 1=7 |||\n"


def written(text: str, *forms: Form) -> bytes:
    built = build_piece(SourceText.of("piece.intav", text), (), Options(forms=forms, copy=False))
    return dict(built.artefacts)["edition.musicxml"]


@pytest.fixture(scope="module")
def document() -> bytes:
    return written(PIECE, Form.MUSICXML, Form.SVG)


def notes_on(root: etree._Element, page: str) -> list[str]:
    credits = root.iterfind(f"credit[@page='{page}']")
    return [words for each in credits if ") Bar " in (words := each.findtext("credit-words") or "")]


def test_each_note_stands_at_the_foot_of_the_page_of_its_bar(document: bytes) -> None:
    root = etree.fromstring(document)
    first, second = notes_on(root, "1"), notes_on(root, "2")
    assert ["one" in first[0], "two" in second[0]] == [True, True]
    assert (len(first), len(second)) == (1, 1)


def test_pages_begin_where_those_of_the_edition_do(document: bytes) -> None:
    root = etree.fromstring(document)
    begun = [measure.get("number") for measure in root.iter("measure") if measure.find("print[@new-page]") is not None]
    assert begun == ["3"]


def test_an_independent_reader_finds_the_page(document: bytes) -> None:
    score = music21.converter.parseData(document, format="musicxml")
    layouts = list(score.parts[0].recurse().getElementsByClass(music21.layout.PageLayout))
    assert [layout.measureNumber for layout in layouts if layout.isNew] == [3]


def test_without_pages_all_notes_stand_on_the_first() -> None:
    root = etree.fromstring(written(PIECE, Form.MUSICXML))
    assert len(notes_on(root, "1")) == 2
    assert root.find(".//print") is None


def test_staves_are_as_high_as_on_the_page() -> None:
    built = build_piece(
        SourceText.of("piece.intav", PIECE), (), Options(forms=(Form.MUSICXML, Form.SVG), copy=False, staff_height=5.0)
    )
    root = etree.fromstring(dict(built.artefacts)["edition.musicxml"])
    assert float(root.findtext("defaults/scaling/millimeters") or 0) == pytest.approx(5, abs=0.01)
    assert int(root.findtext("defaults/page-layout/page-width") or 0) == pytest.approx(210 * 40 / 5, abs=4)
