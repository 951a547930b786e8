"""The pages of the source in MEI. Source: MEI Guidelines 5.1, chapter on facsimiles, and the schema."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import pytest
from lxml import etree

from pipeline.model.artefacts import Form
from pipeline.model.facsimile import ImageFile
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from pipeline.source.exchange import take
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


def test_systems_are_zones_in_pixels_and_bars_lead_to_theirs() -> None:
    text = TEXT.replace("| 1=7,4:0\n| 2=7", "| 1=7,4:0\n| 1=8,4:0\n&\n| 2=7").replace(
        "2=7,4:0 &4v", "4=7,4:0 & 4=7 &4v"
    )
    text = text.replace("canvas 4r", "systems 4r = 10-30, 40-60.5, 70-90, across 5-95\ncanvas 4r", 1)
    images = {"4r.png": ImageFile("4r.png", "png", 99, 200, 400)}
    made = build_piece(SourceText.of("x.intav", text), (), Options(copy=False), images=images)
    assert not made.diagnostics
    data = dict(made.artefacts)["edition.mei"]
    assert faults(data) == []
    root = etree.fromstring(data)
    zones = root.xpath("//m:surface[1]/m:zone", namespaces=NS)
    corners = [tuple(int(one.get(name)) for name in ("ulx", "uly", "lrx", "lry")) for one in zones]
    assert corners == [(10, 40, 190, 120), (10, 160, 190, 242), (10, 280, 190, 360)]
    assert [one.get("type") for one in zones] == ["system"] * 3
    one, two, three = (f"#{zone.get(XML_ID)}" for zone in zones)
    surface = f"#{root.xpath('string(//m:surface[2]/@xml:id)', namespaces=NS)}"
    measures = [measure.get("facs") for measure in root.xpath("//m:measure", namespaces=NS)]
    assert measures == [one, one, f"{two} {three} {surface}", surface, None]


@pytest.mark.parametrize("said", ["10-30, 40-60.5, 70-90, across 5-95", "2-97"])
def test_zones_come_back_as_a_line_of_the_heading(said: str) -> None:
    text = TEXT.replace("canvas 4r", f"systems 4r = {said}\ncanvas 4r", 1)
    images = {"4r.png": ImageFile("4r.png", "png", 99, 200, 400)}
    made = build_piece(SourceText.of("x.intav", text), (), Options(copy=False), images=images)
    taken = take("x.mei", dict(made.artefacts)["edition.mei"])
    assert f"systems 4r = {said}\n" in taken.text
    assert not [one for one in taken.diagnostics if "zone" in one.message]


def test_zones_that_no_line_can_say_are_listed() -> None:
    zones = (
        '<zone type="system" ulx="0" uly="0" lrx="50" lry="40"/>'
        '<zone type="system" ulx="10" uly="80" lrx="50" lry="90"/>'
        '<zone type="bar" ulx="0" uly="0" lrx="9" lry="9"/><zone type="system"/>'
    )
    text = TEXT.replace("canvas 4r", "systems 4r = 1-2\ncanvas 4r", 1)
    images = {"4r.png": ImageFile("4r.png", "png", 99, 100, 200)}
    made = dict(build_piece(SourceText.of("x.intav", text), (), Options(copy=False), images=images).artefacts)
    data = re.sub(rb"<zone [^>]*/>", zones.encode(), made["edition.mei"])
    taken = take("x.mei", data)
    assert "systems 4r = 0-20, 40-45\n" in taken.text
    said = "\n".join(one.message for one in taken.diagnostics)
    assert "zones on images" in said and "how wide each zone of an image is" in said


def test_zones_of_an_image_whose_size_is_not_known_are_left_out() -> None:
    text = TEXT.replace("canvas 4r", "systems 4r = 10-30\ncanvas 4r", 1)
    images = {"4r.png": ImageFile("4r.png", "png", 99)}
    data = dict(build_piece(SourceText.of("x.intav", text), (), Options(copy=False), images=images).artefacts)[
        "edition.mei"
    ]
    assert faults(data) == [] and b"<zone" not in data


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
