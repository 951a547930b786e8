"""The glyph font: made from the drawings, complete, and never different."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from lxml import etree

from pipeline.model.glyphs import glyphs_of
from pipeline.writers.engrave.drawing import FONT
from pipeline.writers.engrave.glyphs.drawings import LETTER_NIB, drawings
from pipeline.writers.engrave.glyphs.pen import Nib, outline
from pipeline.writers.engrave.make_glyphs import font


def test_the_font_is_made_from_the_drawings() -> None:
    assert Path(FONT).read_bytes() == font()


def test_same_bytes_twice() -> None:
    assert font() == font()


@pytest.mark.parametrize("sign", [*"0123456789Xabcdefghiklmnry?", "10", "11", "12", "/a", "//a", "///a"])
def test_every_sign_of_the_encoding_has_glyphs(sign: str) -> None:
    codes = glyphs_of(sign)
    assert codes and set(codes) <= set(drawings())


def test_no_glyph_for_a_letter_that_no_neck_has() -> None:
    """There is no j. Source: facts of the trade, PS-inf."""
    assert glyphs_of("j") == ()


@pytest.mark.parametrize(
    ("sign", "code"),
    [
        ("0", 0xEBE0),
        ("9", 0xEBE9),
        ("a", 0xEBC0),
        ("i", 0xEBC8),
        ("k", 0xEBC9),
        ("n", 0xEBCC),
        ("/a", 0xEBCE),
        ("///a", 0xEBD0),
    ],
)
def test_standard_code_points(sign: str, code: int) -> None:
    """Source: SMuFL, tables of Italian and French lute tablature (MEM), as the engraver's own fonts name them."""
    assert glyphs_of(sign) == (code,)


def test_what_the_engraver_wants_in_the_zip() -> None:
    with zipfile.ZipFile(FONT) as archive:
        names = set(archive.namelist())
        boxes = etree.fromstring(archive.read("Longneck.xml"))
        assert {"Longneck.xml", "Longneck.css"} < names
        for glyph in boxes:
            code = glyph.get("c")
            assert f"Longneck/{code}.xml" in names
            assert etree.fromstring(archive.read(f"Longneck/{code}.xml")).get("id") == code


def test_figures_stand_on_the_base_line_and_are_as_high_as_each_other() -> None:
    for code, drawing in drawings().items():
        if 0xEBE0 <= code <= 0xEBE9:
            ys = [piece[0][1] for stroke in outline(drawing.path, drawing.nib) for piece in stroke]
            assert -8 <= min(ys) <= 8 and 318 <= max(ys) <= 338


def test_outlines_are_closed_and_go_round_one_way() -> None:
    """Overlapping strokes fill without holes only if all are wound alike."""
    for drawing in drawings().values():
        for stroke in outline(drawing.path, drawing.nib):
            first, last = stroke[0][0], stroke[-1][3]
            assert abs(first[0] - last[0]) < 1 and abs(first[1] - last[1]) < 1


def test_a_straight_stroke_is_as_wide_as_the_nib() -> None:
    (stroke,) = outline("M0 0 L0 100", Nib(40, 20, 0.0))
    xs = [piece[0][0] for piece in stroke]
    assert (round(min(xs)), round(max(xs))) == (-20, 20)
    assert LETTER_NIB.broad > LETTER_NIB.thin
