"""The pages of the source in MEI. Source: MEI Guidelines 5.1, chapter on facsimiles, and the schema."""

from __future__ import annotations

from functools import cache
from typing import Any

from lxml import etree

from pipeline.model.artefacts import Form
from pipeline.model.facsimile import ImageFile
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from tests.writers.mei_schema import faults

TEXT = """longneck 1
title Trial
source A = Trial book, shelfmark Mus. 7, date 1604, state a corner torn
facsimile 4r = 4r.png
canvas 4r = https://example.org/canvas/4r
canvas 4v = https://example.org/canvas/4v
canvas 9r = https://example.org/canvas/9r
edition 1.2, 2026-11-30
licence CC BY 4.0, https://example.org/by/4.0/
instrument theorbo in A
metre C

&4r
| 1=7,4:0
| 2=7,4:0 &4v 2=8,4:0
| 1=7,4:0
&5r
| 1=7 |||
"""
NS = {"m": "http://www.music-encoding.org/ns/mei"}
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


@cache
def mei(*forms: Form) -> bytes:
    images = {"4r.png": ImageFile("4r.png", "png", 99, 30, 40)}
    made = build_piece(SourceText.of("x.intav", TEXT), (), Options(copy=False, forms=forms), images=images)
    assert not made.diagnostics
    return dict(made.artefacts)["edition.mei"]


def found(query: str, *forms: Form) -> list[Any]:
    return list(etree.fromstring(mei(*(forms or (Form.MEI, Form.PROOF)))).xpath(query, namespaces=NS))


def test_it_is_valid() -> None:
    assert faults(mei(Form.MEI, Form.PROOF)) == []
    assert faults(mei(Form.MEI)) == []


def test_a_surface_has_the_image_and_the_canvas_of_its_folio() -> None:
    surfaces = found("//m:facsimile/m:surface")
    assert [one.get("label") for one in surfaces] == ["f. 4r", "f. 4v"]  # 9r: the piece is not on it
    assert [graphic.get("target") for graphic in surfaces[0]] == ["facsimile-001.png", "https://example.org/canvas/4r"]
    assert [graphic.get("target") for graphic in surfaces[1]] == ["https://example.org/canvas/4v"]
    assert (surfaces[0][0].get("width"), surfaces[0].get("lry")) == ("30px", "40")


def test_bars_lead_to_their_folios_and_pages_begin_where_they_do() -> None:
    first, second = (f"#{one.get(XML_ID)}" for one in found("//m:surface"))
    measures = [one.get("facs") for one in found("//m:measure")]
    assert measures == [first, f"{first} {second}", second, None]
    assert [(one.get("n"), one.getnext().get("n")) for one in found("//m:pb")] == [("4r", "1")]


def test_without_a_copy_of_the_image_nothing_points_to_one() -> None:
    targets = found("//m:graphic/@target", Form.MEI)
    assert targets == ["https://example.org/canvas/4r", "https://example.org/canvas/4v"]


def test_the_head_has_shelfmark_edition_and_licence() -> None:
    assert found("//m:source/m:bibl/m:identifier[@type='shelfmark']/text()") == ["Mus. 7"]
    assert found("//m:source/m:bibl/m:date/text()") == ["1604"]
    assert found("//m:source/m:bibl/m:annot[@type='state']/text()") == ["a corner torn"]
    assert found("//m:editionStmt/m:edition/@n") == ["1.2"]
    assert found("//m:pubStmt/m:date/@isodate") == ["2026-11-30"]
    assert found("//m:availability/m:useRestrict/m:ref/@target") == ["https://example.org/by/4.0/"]
