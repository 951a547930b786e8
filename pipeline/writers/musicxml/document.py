"""The whole document."""

from __future__ import annotations

from lxml.etree import Element, SubElement, _Element, indent, tostring

from pipeline.model.apparatus import Apparatus
from pipeline.model.layout import NO_PAGES, Layout
from pipeline.model.score import Score
from pipeline.writers.musicxml.barlines import frames
from pipeline.writers.musicxml.editing import mark_readings
from pipeline.writers.musicxml.header import header
from pipeline.writers.musicxml.pen import Pen
from pipeline.writers.musicxml.staves import staves_part
from pipeline.writers.musicxml.sungpart import sung_part
from pipeline.writers.musicxml.tablature import tablature_part

_DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">'
)


def _silent(root: _Element) -> None:
    """``measure``: a piece without bars has one, for a part must have one: a rest."""
    for part in root.iter("part"):
        measure = SubElement(part, "measure", number="1")
        SubElement(SubElement(measure, "attributes"), "divisions").text = "1"
        note = SubElement(measure, "note")
        SubElement(note, "rest", measure="yes")
        SubElement(note, "duration").text = "4"


def _breaks(root: _Element, score: Score, layout: Layout) -> None:
    """``print`` in the first part where a line or a page of the edition begins; one within a bar has no place here."""
    heads = {
        name: "new-page" if not place else "new-system" for page in layout.pages for place, name in enumerate(page)
    }
    part = root.find("part")
    for measure, element in zip(score.measures, part if part is not None else (), strict=False):
        if measure.number > 1 and measure.id in heads:
            element.insert(0, element.makeelement("print", {heads[measure.id]: "yes"}))


def write_musicxml(score: Score, apparatus: Apparatus | None = None, layout: Layout = NO_PAGES) -> bytes:
    """The score as MusicXML 4.0, partwise: sung lines, the tablature above the two staves that show what sounds, and a
    printed bass below them; in a singer's copy without the tablature.

    The ``layout`` of finished pages is kept: size, lines, pages, and each note at the foot of the page of its bar.
    With an ``apparatus``, notes and bar lines of the edition say what was done there.
    UTF-8 with a declaration; the same score gives the same bytes. Ids of notes are those of the score, so
    that a note is found again in the other documents of the edition. Takes linear time.
    """
    pen = Pen(score)
    root = Element("score-partwise", version="4.0")
    header(root, score, layout)
    indent(root)
    framed = frames(score.measures)
    for staff in score.vocal:
        if not staff.bass:
            sung_part(root, score, staff, framed, pen)
    if score.tablature:
        tablature_part(root, score, framed, pen)
    if score.staves:
        staves_part(root, score, framed, pen)
    for staff in score.vocal:
        if staff.bass:
            sung_part(root, score, staff, framed, pen)
    if not score.measures:
        _silent(root)
    _breaks(root, score, layout)
    if apparatus is not None and not score.copy:
        mark_readings(root, apparatus)
    return tostring(root, encoding="UTF-8", xml_declaration=True, doctype=_DOCTYPE)
