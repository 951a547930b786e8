"""The file: its pages at true size, its title, nothing that changes from run to run."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from io import BytesIO
from typing import Any

from reportlab.pdfgen.canvas import Canvas

from pipeline.writers.pdf.faces import first_face
from pipeline.writers.pdf.page import Glyphs, draw_page

#: Points in a millimetre.
PER_MM = 72 / 25.4
_SIZE = re.compile(r'<svg [^>]*?width="([\d.]+)mm" height="([\d.]+)mm" viewBox="0 0 (\d+) (\d+)"')


class Paper(Enum):
    """Width and height in millimetres. Source: ISO 216; ANSI Y14.1 (8.5 by 11 inches)."""

    A4 = (210.0, 297.0)
    LETTER = (215.9, 279.4)


@dataclass(frozen=True, slots=True)
class Pdf:
    """The file, and the characters of its texts that no face in it has (shown as U+FFFD)."""

    content: bytes
    missing: tuple[str, ...]


def write_pdf(pages: Sequence[str], title: str, paper: Paper = Paper.A4, author: str = "") -> Pdf:
    """SVG pages as one PDF file.

    Pages of another size than the paper are reduced until they fit, never enlarged, and stand in the middle: an A4
    page on letter paper is printed at 94 %. Text stays text (it can be searched), in faces that stand in the file.
    The same pages give the same bytes. Raises ValueError for a page with something that the writer does not know.
    """
    content = BytesIO()
    width, height = (side * PER_MM for side in paper.value)
    # A face that is always there, or the library would name one that does not stand in the file. Its stubs are wrong.
    face: Any = first_face()
    canvas = Canvas(content, pagesize=(width, height), invariant=1, pageCompression=1, initialFontName=face)
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject("")
    canvas.setCreator("longneck")
    glyphs = Glyphs()
    for page in pages:
        draw_on(canvas, page, (width, height), glyphs)
        canvas.showPage()
    canvas.save()
    return Pdf(content.getvalue(), tuple(sorted(glyphs.missing)))


def draw_on(canvas: Canvas, page: str, size: tuple[float, float], glyphs: Glyphs) -> None:
    """Draw an SVG page on paper of a size in points, in the middle, reduced where it is larger. ``glyphs`` are those
    that the file holds already. Raises ValueError as :func:`write_pdf` does."""
    _set_on(canvas, page, *size)
    draw_page(canvas, page, glyphs)


def size_of(page: str) -> tuple[float, float]:
    """Width and height of an SVG page in points."""
    found = _SIZE.search(page)
    if found is None:
        raise ValueError("the page does not say its size in millimetres")
    return float(found[1]) * PER_MM, float(found[2]) * PER_MM


def _set_on(canvas: Canvas, page: str, width: float, height: float) -> None:
    """Turn the canvas so that the page's own units run right and down from its corner."""
    wide, high = size_of(page)
    units = _SIZE.search(page)
    assert units is not None
    size = min(1.0, width / wide, height / high)
    across, down = size * wide / float(units[3]), size * high / float(units[4])
    left, top = (width - size * wide) / 2, (height - size * high) / 2
    canvas.transform(across, 0, 0, -down, left, height - top)
