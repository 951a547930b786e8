"""Where the source has a gap the staves break off, and the words about it stand in the break.

The engraver knows no such thing: it is given an empty measure, whose lines are taken out of its drawing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from lxml import etree

from pipeline.model.score import Measure, WordsKind
from pipeline.writers.engrave import strokes
from pipeline.writers.engrave.widths import text_width

_MEI = "{http://www.music-encoding.org/ns/mei}"
_XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
_DIR, _MEASURE, _STAFF = _MEI + "dir", _MEI + "measure", _MEI + "staff"
_KEPT_BEFORE = (_MEI + "sb", _MEI + "scoreDef", _MEI + "gap")
_NAME = "gap-"
#: Size of the words; what an empty crotchet takes, on the average; what stays free on both sides of the words.
_SIZE, _STEP, _AIR = 330, 700, 250
#: Depth of the highest staff's last line under its first, at most.
_LOWEST_LINE = 1400
_BREAK = re.compile(r'<g id="gap-([^"]+)" class="measure[^"]*">')
_LINE = re.compile(r'<path d="M(-?\d+) (-?\d+) L(-?\d+) (-?\d+)"[^>]*/>')


def open_gaps(root: etree._Element) -> bool:
    """Put an empty measure where words tell of a gap, in place of the words; False if there are none."""
    words = [element for element in root.iter(_DIR) if element.get("type") == "gap"]
    for element in words:
        measure = element.getparent()
        assert measure is not None
        blank = _blank(measure, element)
        measure.remove(element)
        behind = float(element.get("tstamp", "1")) > 1
        if behind:
            measure.addnext(blank)
            continue
        first = measure
        while (before := first.getprevious()) is not None and before.tag in _KEPT_BEFORE:
            first = before
        first.addprevious(blank)
    return bool(words)


def _blank(measure: etree._Element, words: etree._Element) -> etree._Element:
    """A measure of empty time as wide as its words."""
    made = measure.makeelement(_MEASURE, {_XML_ID: f"{_NAME}{words.get(_XML_ID)}", "metcon": "false"})
    wide = text_width("".join(map(str, words.itertext())), _SIZE) + 2 * _AIR
    for staff in measure.findall(_STAFF):
        layer = etree.SubElement(etree.SubElement(made, _STAFF, n=staff.get("n", "")), _MEI + "layer", n="1")
        for _ in range(1 + round(wide / _STEP)):
            etree.SubElement(layer, _MEI + "space", dur="4")
    return made


def with_breaks(drawing: str, measures: Sequence[Measure]) -> str:
    """The drawing of a system with its lines broken off at each gap, and the words there."""
    if _NAME not in drawing:
        return drawing
    said = {words.id: words.text for measure in measures for words in measure.words if words.kind is WordsKind.GAP}
    return "".join(_pieces(drawing, said))


def _pieces(drawing: str, said: dict[str, str]) -> Iterator[str]:
    at = 0
    for found in _BREAK.finditer(drawing):
        end = drawing.find('" class="measure', found.end())
        end = drawing.rfind("<g ", 0, end) if end >= 0 else len(drawing)
        inside = drawing[found.end() : end]
        lines = [tuple(map(int, line.groups())) for line in _LINE.finditer(inside)]
        level = [line for line in lines if line[1] == line[3]]
        yield drawing[at : found.end()]
        if level and found.group(1) in said:
            x = (level[0][0] + level[0][2]) / 2
            first_staff = [line for line in level if line[1] - level[0][1] < _LOWEST_LINE]
            y = (first_staff[0][1] + first_staff[-1][1]) / 2
            yield strokes.text(said[found.group(1)], x, y + _SIZE / 3, _SIZE)
        yield _LINE.sub(lambda line: "" if line.group(2) == line.group(4) else line.group(0), inside)
        at = end
    yield drawing[at:]
