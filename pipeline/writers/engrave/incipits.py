"""How voices begin in the source, drawn small before the first line: old clef, signature, sign of metre, first note.

The engraver draws them as a document of their own; their room is made by the names of the voices, which are
lengthened by as many blanks.
"""

from __future__ import annotations

import re
from dataclasses import replace

from pipeline.model.score import Score, VocalStaff
from pipeline.writers.engrave.drawing import Drawing, draw
from pipeline.writers.mei.incipit import incipit_id, incipits
from pipeline.writers.mei.numbers import staff_numbers

#: How large they are beside the staff; what they take before a staff, with a little air, in page units.
_SIZE, _ROOM, _AIR = 0.72, 1560, 130
#: How wide the engraver takes a blank in a name to be (measured).
_BLANK, _BLANK_WIDTH = "\u00a0", 228
_STAFF_LINE = re.compile(r'<path d="M(-?\d+) (-?\d+) L(-?\d+) ')
_LENGTHENED = re.compile(
    r'<text x="(-?\d+)"([^>]* text-anchor="end"[^>]*><tspan [^>]*><tspan [^>]*>[^<]*?)'
    f"{_BLANK}+(</tspan></tspan></text>)"
)
_STAFF = 720


def with_room(mei: str, score: Score) -> str:
    """The document with room for the incipits behind the names of their voices."""
    blanks = _BLANK * round(_ROOM / _BLANK_WIDTH)
    numbers = staff_numbers(score).sung
    for staff in _opened(score):
        end = mei.find("</label>", mei.find(f'<staffDef n="{numbers[staff.name]}"'))
        mei = f"{mei[:end]}{blanks}{mei[end:]}"
    return mei


def with_incipits(drawing: Drawing, score: Score) -> Drawing:
    """The drawing with every incipit before its voice in the first system."""
    document = incipits(score)
    if not document or not drawing.systems:
        return drawing
    small = draw(document.decode())
    if not small.systems:
        return drawing
    first = drawing.systems[0]
    parts: list[str] = []
    edges: list[float] = []
    for number, staff in enumerate((each for each in score.vocal if each.opening is not None), start=1):
        at = first.drawing.find(f'<g id="line-{staff.name}-m')
        home, own = _STAFF_LINE.search(first.drawing, at), _group(small.systems[0].drawing, incipit_id(number))
        line = _STAFF_LINE.search(own)
        if not staff.title or home is None or line is None:
            continue
        x = int(home[1]) - _AIR - _SIZE * int(line[3])
        edges.append(x - _AIR / 2)
        y = int(home[2]) + _STAFF * (1 - _SIZE) / 2 - _SIZE * int(line[2])
        parts.append(f'<g transform="translate({x:.0f} {y:.0f}) scale({_SIZE})">{own}</g>')
    if not parts:
        return drawing
    glyphs = first.glyphs | small.systems[0].glyphs
    ends = iter(edges)
    named = _LENGTHENED.sub(lambda name: f'<text x="{next(ends, float(name[1])):.0f}"{name[2]}{name[3]}', first.drawing)
    whole = replace(first, drawing=f'{named}<g class="incipits">{"".join(parts)}</g>', glyphs=glyphs)
    systems = (whole, *drawing.systems[1:])
    return replace(drawing, systems=systems, glyphs={**small.glyphs, **drawing.glyphs})


def _opened(score: Score) -> list[VocalStaff]:
    return [staff for staff in score.vocal if staff.opening is not None and staff.title]


def _group(drawing: str, name: str) -> str:
    """The group of this id with all that it holds; empty if there is none."""
    start = drawing.find(f'<g id="{name}"')
    if start < 0:
        return ""
    depth = 0
    for tag in re.finditer(r"<g[ >][^>]*?(/?)>|</g>", drawing[start:]):
        if tag[0] == "</g>":
            depth -= 1
        elif not tag[1]:
            depth += 1
        if not depth:
            return drawing[start : start + tag.end()]
    return ""
