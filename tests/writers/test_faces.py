"""Faces in the pages: only the characters that a page shows, the same shapes and widths, few bytes, the same bytes."""

from __future__ import annotations

import re
import subprocess
import sys
from base64 import b64decode
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
import verovio
from fontTools.pens.boundsPen import BoundsPen  # type: ignore[import-untyped]
from fontTools.pens.recordingPen import DecomposingRecordingPen  # type: ignore[import-untyped]
from fontTools.pens.svgPathPen import SVGPathPen  # type: ignore[import-untyped]
from fontTools.svgLib.path import parse_path  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from lxml import etree

from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from pipeline.writers.engrave.widths import text_width
from pipeline.writers.faces import FAMILY, face_rules, lettered
from pipeline.writers.faces.outline import outline
from pipeline.writers.faces.setting import SIGNS, TEXT
from pipeline.writers.faces.store import face
from pipeline.writers.faces.woff2 import woff2
from tests.writers.test_pdf import FACES, apart, coarse, of_svg, pages, svg

NAMES = (*TEXT.values(), SIGNS)
ANTHOLOGY = Path(__file__).parent.parent.parent / "fixtures" / "anthology"
_RULE = re.compile(r'@font-face\{font-family:"([^"]+)";([^}]*?)src:url\(data:font/woff2;base64,([^)]*)\)[^}]*\}')
_ORIGIN = re.compile(r"/\*Longneck Text.*?\*/")
#: What all faces may add to a page, and what each page of the anthology is held to.
MOST = 25 * 1024


@cache
def built(name: str) -> dict[str, bytes]:
    heading = SourceText.of("heading.intav", (ANTHOLOGY / "heading.intav").read_text(encoding="utf-8"))
    piece = SourceText.of("p.intav", (ANTHOLOGY / f"{name}.intav").read_text(encoding="utf-8"))
    return dict(build_piece(piece, (heading,), Options()).artefacts)


def faces_in(page: str) -> list[tuple[str, str, TTFont]]:
    """Family, style and font of each face that a page brings along."""
    return [(name, style, TTFont(BytesIO(b64decode(packed)))) for name, style, packed in _RULE.findall(page)]


def texts_of(page: str) -> str:
    root = etree.fromstring(page.encode())
    return "".join("".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text"))


@pytest.mark.parametrize("name", NAMES)
def test_every_shape_and_width_is_that_of_the_full_face(name: str) -> None:
    """Read by another library from the packed face and from the full one."""
    full = TTFont(FACES / f"{name}.ttf")
    codes = sorted(full.getBestCmap())
    assert set(face(name).glyphs) == set(map(chr, codes))
    for start in range(0, len(codes), 150):
        some = codes[start : start + 150]
        packed = TTFont(BytesIO(woff2(name, frozenset(map(chr, some)))))
        assert sorted(packed.getBestCmap()) == some
        for code in some:
            drawn = []
            for font in (full, packed):
                pen = DecomposingRecordingPen(font.getGlyphSet())
                glyph = font.getBestCmap()[code]
                font.getGlyphSet()[glyph].draw(pen)
                drawn.append((pen.value, font["hmtx"][glyph]))
            assert drawn[0] == drawn[1], chr(code)


@pytest.mark.parametrize("name", NAMES)
def test_outlines_are_those_of_the_face(name: str) -> None:
    """As another library draws them; compared by their bounds, with y turned. To a unit, a two-thousandth of the type
    size: where a bearing is not that of the outline, it moves the parts of a glyph and not the whole."""
    full = TTFont(FACES / f"{name}.ttf")
    glyphs = full.getGlyphSet()
    for code, glyph in full.getBestCmap().items():
        pen = SVGPathPen(glyphs)
        glyphs[glyph].draw(pen)
        theirs, ours = BoundsPen(None), BoundsPen(None)
        parse_path(pen.getCommands(), theirs)
        parse_path(outline(name, chr(code)), ours)
        assert bool(theirs.bounds) == bool(ours.bounds), chr(code)
        if theirs.bounds and ours.bounds:
            left, bottom, right, top = theirs.bounds
            assert ours.bounds == pytest.approx((left, -top, right, -bottom), abs=1), chr(code)


@pytest.mark.parametrize("number", [0, 1])
def test_outlines_stand_where_another_program_sets_the_text(number: int) -> None:
    """resvg draws the letters of a page without any face at hand, and sets the bare page in the full faces."""
    bare = pages()[number]
    drawn = of_svg(lettered(bare).page.replace(FAMILY, "'Nothing'").replace("<text ", '<text display="none" '))
    assert apart(drawn, of_svg(bare)).max() < 0.01
    nothing = of_svg(bare.replace("<text ", '<text visibility="hidden" '))
    assert abs(coarse(nothing, *nothing.shape) - coarse(drawn, *drawn.shape)).max() > 0.09  # the letters are seen


@pytest.mark.parametrize("name", ["theorbo/02-ground", "theorbo/07-bergamasca", "songs/06-aria"])
def test_pages_bring_their_own_characters_and_no_others(name: str) -> None:
    drawings = {file: content.decode() for file, content in built(name).items() if file.endswith(".svg")}
    assert drawings
    for page in drawings.values():
        held = {chr(code) for _, _, font in faces_in(page) for code in font.getBestCmap()}
        assert held == set(texts_of(page))
        slanted = {chr(code) for _, style, font in faces_in(page) if "italic" in style for code in font.getBestCmap()}
        assert slanted < held
        assert sum(len(rule.group(0)) for rule in _RULE.finditer(page)) <= MOST


@pytest.mark.parametrize("name", ["theorbo/02-ground", "theorbo/07-bergamasca", "songs/06-aria"])
def test_html_pages_bring_their_faces_once(name: str) -> None:
    for file, content in built(name).items():
        if not file.endswith(".html"):
            continue
        page = content.decode()
        rules = [rule.group(0) for rule in _RULE.finditer(page)]
        assert 2 <= len(rules) == page.count("@font-face") == len({rule.partition("src")[0] for rule in rules})
        assert sum(map(len, rules)) <= MOST
        known = {character for face_name in NAMES for character in face(face_name).glyphs}
        held = {chr(code) for _, _, font in faces_in(page) for code in font.getBestCmap()}
        assert held == set(_RULE.sub("", _ORIGIN.sub("", page))) & known | held & {" "}


def test_families_have_names_of_our_own() -> None:
    """Or a face of the machine could stand in: what a system calls its faces is not for us to use."""
    page = lettered(svg('<text x="9" y="99">Rosa ♭ <tspan font-style="italic">rosae</tspan></text>')).page
    families = {family for family, _, _ in faces_in(page)}
    assert families == {"Longneck Text", "Longneck Signs"}
    for _, _, font in faces_in(page):
        assert font["name"].getDebugName(1).startswith("Longneck")
    assert FAMILY.startswith("'Longneck Text', 'Longneck Signs', ")


def test_a_character_without_a_face_is_told() -> None:
    page = lettered(svg('<text x="9" y="99" font-size="90">Rosa 龍</text>'))
    assert page.missing == {"龍"}
    assert "龍" in page.page  # a browser may have it


def test_the_engraver_measures_by_the_same_widths() -> None:
    """Its table of Times, from which it spaces words and syllables, against our faces. Where the table tells an
    advance, it is ours; where it tells only how far the outline reaches, ours lies within a twelfth of the type
    size."""
    for style, file in (("", "Times"), ("italic", "Times-italic"), ("bold", "Times-bold")):
        table = etree.parse(str(Path(verovio.__file__).parent / "data" / "text" / f"{file}.xml")).getroot()
        units = float(table.get("units-per-em", ""))
        told = 0
        for one in table:
            letter = chr(int(str(one.get("c")), 16))
            if not letter.isalpha() or ord(letter) > 0x17F:
                continue
            ours = text_width(letter, 1, style)
            if one.get("h-a-x"):
                told += 1
                assert ours == pytest.approx(float(str(one.get("h-a-x"))) / units, abs=0.002), letter
            else:
                reach = (float(str(one.get("x"))) + float(str(one.get("w")))) / units
                assert abs(ours - reach) < 1 / 12, letter
        assert told > 30


def test_the_same_bytes_every_time() -> None:
    program = (
        "import sys\nfrom pipeline.writers.faces import face_rules\n"
        "sys.stdout.write(face_rules({'LongneckText': set('Rosa rosæ é'), 'LongneckSigns': set('♭♯')}))"
    )
    ours = face_rules({"LongneckSigns": "♯♭", "LongneckText": "é æsoraR"})
    for seed in ("1", "2"):
        run = [sys.executable, "-c", program]
        made = subprocess.run(run, env={"PYTHONHASHSEED": seed}, capture_output=True, check=True, encoding="utf-8")
        assert made.stdout == ours
