"""The text faces that stand in the file: a serif with the widths of Times New Roman, and a few signs beside it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import groupby
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

_FOLDER = Path(__file__).parent / "faces"
_TEXT = {
    (False, False): "LongneckText",
    (True, False): "LongneckText-Bold",
    (False, True): "LongneckText-Italic",
    (True, True): "LongneckText-BoldItalic",
}
_SIGNS = "LongneckSigns"
#: Shown for a character that no face has.
MISSING = "\ufffd"


def first_face() -> str:
    """The plain text face, known to the PDF library."""
    face = _TEXT[False, False]
    _characters(face)
    return face


def set_in(text: str, *, bold: bool, italic: bool) -> Iterator[tuple[str, str]]:
    """The text in pieces, each with the face that has all its characters; :data:`MISSING` where none has."""
    own = _TEXT[bold, italic]

    def face(character: str) -> str:
        return next((name for name in (own, _SIGNS) if character in _characters(name)), "")

    for name, characters in groupby(text, face):
        piece = "".join(characters)
        yield (name, piece) if name else (_SIGNS, MISSING * len(piece))


def width(face: str, text: str, size: float) -> float:
    """How long a text is, in the unit of its size."""
    return float(pdfmetrics.stringWidth(text, face, size))


@cache
def _characters(face: str) -> frozenset[str]:
    """What a face has; it is made known to the PDF library on the way."""
    font = TTFont(face, str(_FOLDER / f"{face}.ttf"))
    pdfmetrics.registerFont(font)
    return frozenset(map(chr, font.face.charToGlyph))
