"""Words on paper in the program's own faces: styles, and text as the markup of the PDF library."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from reportlab.lib.fonts import addMapping
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from pipeline.desk.volume.record import Run
from pipeline.model.xmltext import legal
from pipeline.writers.faces import set_in
from pipeline.writers.pdf.faces import first_face, known

#: As the PDF library counts them.
Align = Literal[0, 1, 4]
_LEFT: Align = 0
_CENTRE: Align = 1
_JUSTIFIED: Align = 4
_BODY = 11.0


def style(
    name: str,
    size: float = _BODY,
    *,
    leading: float = 1.32,
    before: float = 0.0,
    after: float = 0.0,
    align: Align = _LEFT,
    left: float = 0.0,
    joined: bool = False,
) -> ParagraphStyle:
    """A kind of paragraph; lengths in points, ``leading`` against the size. ``joined``: it stays on one page with
    what follows."""
    return ParagraphStyle(
        name,
        fontName=known(first_face()),
        bulletFontName=known(first_face()),
        fontSize=size,
        leading=size * leading,
        spaceBefore=before,
        spaceAfter=after,
        alignment=align,
        leftIndent=left,
        keepWithNext=int(joined),
        allowWidows=0,
        allowOrphans=0,
        splitLongWords=1,
    )


@cache
def _face(name: str) -> str:
    """A face by its name, which markup can then ask for."""
    known(name)
    addMapping(name, 0, 0, name)
    return name


def said(text: str, *, bold: bool = False, italic: bool = False, href: str = "") -> str:
    """A text as markup: each character in a face that has it. ``href`` is an address, or ``#`` and a place."""
    parts = [
        f'<font face="{_face(face)}">{escape(piece).replace(chr(10), "<br/>")}</font>'
        for face, piece in set_in(legal(text), bold=bold, italic=italic)
    ]
    whole = "".join(parts)
    return f"<a href={quoteattr(href)}>{whole}</a>" if href else whole


def runs(made: Iterable[Run]) -> str:
    """Words that look alike, one after another."""
    return "".join(_lines(run) for run in made)


def _lines(run: Run) -> str:
    lines = (said(line, bold=run.bold, italic=run.italic, href=run.href) for line in run.text.split("\n"))
    return "<br/>".join(lines)


def para(markup: str, kind: ParagraphStyle) -> Paragraph:
    """A paragraph of markup."""
    return Paragraph(markup, kind)


TITLE = style("title", 32, leading=1.2, align=_CENTRE, after=14)
SUBTITLE = style("subtitle", 16, align=_CENTRE, after=10)
CENTRED = style("centred", 12, align=_CENTRE, after=6)
HEAD = style("head", 20, leading=1.25, after=16, joined=True)
HEADS = {
    1: style("head-1", 15, before=14, after=5, joined=True),
    2: style("head-2", 13, before=12, after=4, joined=True),
    3: style("head-3", _BODY, before=9, after=3, joined=True),
}
TEXT = style("text", align=_JUSTIFIED, before=6, after=6)
PLAIN = style("plain", after=4)
JOINED = style("joined", after=4, joined=True)
QUOTE = style("quote", 10.5, align=_JUSTIFIED, left=18, before=6, after=6)
SMALL = style("small", 9.5, after=4)
CELL = style("cell", 9, leading=1.2)
PART = style("part", 14, before=16, after=6, joined=True)


@cache
def item(level: int) -> ParagraphStyle:
    """An item of a list: its marker stands before the words."""
    left = 14.0 * (level - 1)
    made = style(f"item-{level}", left=left + 16, align=_JUSTIFIED, after=3)
    made.bulletIndent = left
    return made
