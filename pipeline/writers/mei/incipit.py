"""How the lines of a song begin in the source: clef, signature, sign of metre and first note in their old shapes."""

from __future__ import annotations

from lxml import etree

from pipeline.model.score import Incipit, Score
from pipeline.model.xmltext import legal
from pipeline.writers.mei.names import (
    LAYER,
    MEASURE,
    MEI,
    NOTE,
    SCORE_DEF,
    SECTION,
    STAFF,
    STAFF_DEF,
    STAFF_GRP,
    XML_ID,
    Element,
    key_signature,
    name,
    sub,
)

#: Names of the values in mensural notation. Source: MEI 5.1, data.DURATION.mensural.
_DURATIONS = {0: "brevis", 1: "semibrevis", 2: "minima", 4: "semiminima", 8: "fusa", 16: "semifusa"}
_MENSURATIONS = {
    "C": {"sign": "C"},
    "O": {"sign": "O"},
    "C|": {"sign": "C", "slash": "1"},
    "¢": {"sign": "C", "slash": "1"},
}


def write_works(head: Element, score: Score) -> None:
    """``workList`` with an ``incip`` for each line that has one; nothing where none has."""
    lines = [(staff.name, staff.opening) for staff in score.vocal if staff.opening is not None]
    if not lines:
        return
    work = sub(sub(head, name("workList")), name("work"))
    sub(work, name("title")).text = legal(score.heading.title or "Untitled")
    for line, opening in lines:
        _write_score(sub(work, name("incip"), {"n": line}), [opening])


def incipits(score: Score) -> bytes:
    """A document with nothing but the incipits of a score, one staff each, from the top; empty where there is none."""
    openings = [staff.opening for staff in score.vocal if staff.opening is not None]
    if not openings:
        return b""
    root = etree.Element(name("mei"), nsmap={None: MEI})  # type: ignore[dict-item]  # the stubs know no default
    root.set("meiversion", "5.1")
    description = sub(sub(root, name("meiHead")), name("fileDesc"))
    sub(sub(description, name("titleStmt")), name("title"))
    sub(description, name("pubStmt"))
    _write_score(sub(sub(sub(root, name("music")), name("body")), name("mdiv")), openings)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8")


def _write_score(parent: Element, openings: list[Incipit]) -> None:
    score = sub(parent, name("score"))
    group = sub(sub(score, SCORE_DEF), STAFF_GRP)
    for number, opening in enumerate(openings, start=1):
        _write_definition(group, opening, str(number))
    measure = sub(sub(score, SECTION), MEASURE, {"right": "invis"})
    for number, opening in enumerate(openings, start=1):
        staff = sub(measure, STAFF, {"n": str(number)})
        if parent.tag == name("mdiv"):
            staff.set(XML_ID, incipit_id(number))
        pitch = opening.pitch
        shape = {
            "pname": pitch.step.lower(),
            "oct": str(pitch.octave),
            "dur": _DURATIONS.get(opening.value.unit, "fusa"),
        }
        if opening.value.dots:
            shape["dots"] = str(opening.value.dots)
        sub(sub(staff, LAYER, {"n": "1"}), NOTE, shape)


def incipit_id(number: int) -> str:
    """The name of the staff of an incipit in a document that holds nothing else; they count from 1."""
    return f"incipit-{number}"


def _write_definition(group: Element, opening: Incipit, number: str) -> None:
    attributes = {"n": number, "lines": "5", "notationtype": "mensural.white"}
    attributes |= {"clef.shape": opening.clef[0], "clef.line": opening.clef[1], "keysig": key_signature(opening.fifths)}
    mensuration = _MENSURATIONS.get(opening.sign.strip(), {})
    upper, _, lower = opening.sign.strip().partition("/")
    if upper.isdecimal():
        mensuration = {"num": upper, "numbase": lower} if lower.isdecimal() else {"num": upper}
    prefix = "proport" if "num" in mensuration else "mensur"
    group_attributes = {f"{prefix}.{key}": value for key, value in mensuration.items()}
    sub(group, STAFF_DEF, attributes | group_attributes)
