"""Schemas to hold our documents against: the standard's, and our own."""

from __future__ import annotations

import json
from functools import cache
from importlib.metadata import files
from pathlib import Path
from typing import Any

import jsonschema
from lxml import etree

from pipeline.edition.notate import notate
from pipeline.model.score import Score
from pipeline.model.voiced import VoicedPiece
from pipeline.writers.events import write_events
from pipeline.writers.musicxml import write_musicxml

_SCHEMAS = Path(__file__).parents[2] / "schemas"

# The two schemas that MusicXML 4.0 imports, written here by hand as far as it uses them.
# Source: the imports and the attribute names in musicxml_4_0.xsd; types as XLink 1.1 and XML 1.0 define them (MEM).
_XLINK = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xlink">
  <xs:attribute name="href" type="xs:anyURI"/>
  <xs:attribute name="type"><xs:simpleType><xs:restriction base="xs:token">
    <xs:enumeration value="simple"/></xs:restriction></xs:simpleType></xs:attribute>
  <xs:attribute name="role" type="xs:token"/>
  <xs:attribute name="title" type="xs:token"/>
  <xs:attribute name="show"><xs:simpleType><xs:restriction base="xs:token">
    <xs:enumeration value="new"/><xs:enumeration value="replace"/><xs:enumeration value="embed"/>
    <xs:enumeration value="other"/><xs:enumeration value="none"/></xs:restriction></xs:simpleType></xs:attribute>
  <xs:attribute name="actuate"><xs:simpleType><xs:restriction base="xs:token">
    <xs:enumeration value="onRequest"/><xs:enumeration value="onLoad"/>
    <xs:enumeration value="other"/><xs:enumeration value="none"/></xs:restriction></xs:simpleType></xs:attribute>
</xs:schema>"""
_XML = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/XML/1998/namespace">
  <xs:attribute name="lang" type="xs:language"/>
  <xs:attribute name="space"><xs:simpleType><xs:restriction base="xs:NCName">
    <xs:enumeration value="default"/><xs:enumeration value="preserve"/>
    </xs:restriction></xs:simpleType></xs:attribute>
</xs:schema>"""


class _Local(etree.Resolver):
    """Answers the two imports without a network."""

    def resolve(self, system_url: str | None, public_id: str | None, context: object) -> object:
        url = system_url or ""
        if url.endswith("xlink.xsd"):
            return self.resolve_string(_XLINK, context)
        if url.endswith("xml.xsd"):
            return self.resolve_string(_XML, context)
        return None


@cache
def musicxml_schema() -> etree.XMLSchema:
    """The schema of MusicXML 4.0, as the package ``musicxml`` ships it."""
    parser = etree.XMLParser()
    parser.resolvers.add(_Local())
    found = next(file for file in files("musicxml") or () if file.name == "musicxml_4_0.xsd")
    return etree.XMLSchema(etree.parse(str(found.locate()), parser))


def valid_musicxml(score: Score) -> etree._Element:
    """The MusicXML of a score, which must be valid."""
    root = etree.fromstring(write_musicxml(score))
    schema = musicxml_schema()
    assert schema.validate(root), schema.error_log
    return root


def valid_findings(document: bytes) -> dict[str, Any]:
    """A findings document as read, which must be valid."""
    schema = json.loads((_SCHEMAS / "findings.schema.json").read_text(encoding="utf-8"))
    found = json.loads(document)
    jsonschema.Draft202012Validator(schema).validate(found)
    return found  # type: ignore[no-any-return]


@cache
def events_schema() -> etree.RelaxNG:
    """Our own schema of the events document."""
    return etree.RelaxNG(etree.parse(str(_SCHEMAS / "events.rng")))


def valid_events(voiced: VoicedPiece) -> etree._Element:
    """The events document of a piece with its staves, which must be valid."""
    root = etree.fromstring(write_events(voiced, notate(voiced)))
    schema = events_schema()
    assert schema.validate(root), schema.error_log
    return root
