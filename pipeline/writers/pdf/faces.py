"""The program's faces, made known to the PDF library."""

from __future__ import annotations

from functools import cache
from io import BytesIO

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from pipeline.writers.faces.setting import TEXT
from pipeline.writers.faces.store import face_file


def first_face() -> str:
    """The plain text face, known to the PDF library."""
    return known(TEXT[False, False])


@cache
def known(face: str) -> str:
    """A face by its name, known to the PDF library from now on."""
    pdfmetrics.registerFont(TTFont(face, BytesIO(face_file(face))))
    return face
