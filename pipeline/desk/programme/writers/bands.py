"""Bands of print set under each other on sheets of paper."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.pdfgen.canvas import Canvas

from pipeline.writers.faces import set_in, width
from pipeline.writers.pdf import PER_MM
from pipeline.writers.pdf.faces import first_face, known

MARGIN = 17 * PER_MM
#: Space for the number of the page.
_FOOT = 14.0


@dataclass(frozen=True, slots=True)
class Style:
    """Size in points, weight, slant, and grey from 0 (black) to 1."""

    size: float
    bold: bool = False
    italic: bool = False
    grey: float = 0.0


#: Gets the canvas, the left edge, the upper edge and the width, in points.
Draw = Callable[[Canvas, float, float, float], None]


@dataclass(frozen=True, slots=True)
class Band:
    """A strip across the page, ``height`` points high. ``joined``: it stays on one page with the band after it."""

    height: float
    draw: Draw
    joined: bool = False


def space(height: float, *, joined: bool = False) -> Band:
    """Nothing, so high."""
    return Band(height, lambda canvas, left, top, across: None, joined)


def measure(text: str, style: Style) -> float:
    """How long a text is, in points."""
    return sum(width(face, piece, style.size) for face, piece in set_in(text, bold=style.bold, italic=style.italic))


def put(canvas: Canvas, left: float, base: float, text: str, style: Style) -> None:
    """Set a text on its base line."""
    canvas.setFillGray(style.grey)
    for face, piece in set_in(text, bold=style.bold, italic=style.italic):
        canvas.setFont(known(face), style.size)
        canvas.drawString(left, base, piece)
        left += width(face, piece, style.size)
    canvas.setFillGray(0)


def centred(canvas: Canvas, middle: float, base: float, text: str, style: Style, most: float) -> None:
    """Set a text around ``middle``, smaller where it is wider than ``most``."""
    wide = measure(text, style)
    if wide > most:
        style = Style(style.size * most / wide, style.bold, style.italic, style.grey)
        wide = most
    put(canvas, middle - wide / 2, base, text, style)


def paragraph(text: str, style: Style, across: float, *, indent: float = 0.0, joined: bool = False) -> list[Band]:
    """A text in as many bands as it needs lines."""
    lines = list(_broken(text, style, across - indent))
    return [
        Band(style.size * 1.28, _liner(line, style, indent), joined or place + 1 < len(lines))
        for place, line in enumerate(lines)
    ]


def _liner(line: str, style: Style, indent: float) -> Draw:
    return lambda canvas, left, top, across: put(canvas, left + indent, top - style.size, line, style)


def _broken(text: str, style: Style, across: float) -> Iterator[str]:
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if line and measure(longer, style) > across:
            yield line
            longer = word
        while measure(longer, style) > across and len(longer) > 1:  # a word wider than the page
            most = next(n for n in range(len(longer) - 1, 0, -1) if n == 1 or measure(longer[:n], style) <= across)
            yield longer[:most]
            longer = longer[most:]
        line = longer
    if line:
        yield line


def printed(bands: Sequence[Band], title: str, size: tuple[float, float]) -> bytes:
    """The bands on as many sheets as they need; ``size`` in millimetres. The same bands give the same bytes."""
    content = BytesIO()
    wide, high = (side * PER_MM for side in size)
    # A face that is always there, or the library would name one that does not stand in the file. Its stubs are wrong.
    face: Any = first_face()
    canvas = Canvas(content, pagesize=(wide, high), invariant=1, pageCompression=1, initialFontName=face)
    canvas.setTitle(title)
    canvas.setAuthor("")
    canvas.setSubject("")
    canvas.setCreator("longneck")
    pages = list(_pages(bands, room(size)))
    for number, page in enumerate(pages, start=1):
        top = high - MARGIN
        for band in page:
            band.draw(canvas, MARGIN, top, wide - 2 * MARGIN)
            top -= band.height
        if len(pages) > 1:
            centred(canvas, wide / 2, MARGIN - 4, f"{number} / {len(pages)}", Style(10, grey=0.35), wide)
        canvas.showPage()
    canvas.save()
    return content.getvalue()


def room(size: tuple[float, float]) -> float:
    """The height that one sheet has for bands, in points."""
    return size[1] * PER_MM - 2 * MARGIN - _FOOT


def across(size: tuple[float, float]) -> float:
    """The width between the margins, in points."""
    return size[0] * PER_MM - 2 * MARGIN


def _pages(bands: Sequence[Band], high: float) -> Iterator[list[Band]]:
    """Bands that are joined stand on one page, unless together they are higher than a page."""
    page: list[Band] = []
    used = 0.0
    for group in _groups(bands):
        together = sum(band.height for band in group)
        if page and used + together > high and together <= high:
            yield page
            page, used = [], 0.0
        for band in group:
            if page and used + band.height > high:
                yield page
                page, used = [], 0.0
            page.append(band)
            used += band.height
    if page:
        yield page


def _groups(bands: Sequence[Band]) -> Iterator[list[Band]]:
    group: list[Band] = []
    for band in bands:
        group.append(band)
        if not band.joined:
            yield group
            group = []
    if group:
        yield group
