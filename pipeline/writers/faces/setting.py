"""Which face sets a text: a serif with the widths of Times New Roman, and a few signs beside it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from pipeline.writers.faces.store import face

TEXT = {
    (False, False): "LongneckText",
    (True, False): "LongneckText-Bold",
    (False, True): "LongneckText-Italic",
    (True, True): "LongneckText-BoldItalic",
}
SIGNS = "LongneckSigns"
#: What pages of words are set in: nothing in them slants.
UPRIGHT = (TEXT[False, False], TEXT[True, False], SIGNS)
#: Shown for a character that no face has.
MISSING = "\ufffd"


def set_in(text: str, *, bold: bool, italic: bool) -> Iterator[tuple[str, str]]:
    """The text in pieces, each with the name of the face that has all its characters; :data:`MISSING` where none
    has."""
    own = TEXT[bold, italic]

    def chosen(character: str) -> str:
        return next((name for name in (own, SIGNS) if character in face(name).glyphs), "")

    for name, characters in groupby(text, chosen):
        piece = "".join(characters)
        yield (name, piece) if name else (SIGNS, MISSING * len(piece))


def width(name: str, text: str, size: float) -> float:
    """How long a text is, in the unit of its size. The face must have all its characters."""
    own = face(name)
    return sum(own.advances[own.glyphs[character]] for character in text) * size / own.units
