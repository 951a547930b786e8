"""How wide text is: advance widths of the faces that the pages carry."""

from __future__ import annotations

from functools import cache

from pipeline.writers.faces import set_in, width

_STYLES = {"": (False, False), "italic": (False, True), "bold": (True, False)}


def text_width(text: str, size: float, style: str = "") -> float:
    """Width of a line of text in the unit of ``size``; ``style`` is empty, ``italic`` or ``bold``."""
    widths = _Widths.of(style)
    return sum(widths[character] for character in text) * size


class _Widths(dict[str, float]):
    """Character → its width in type sizes; what no face has is as wide as the sign for it."""

    def __init__(self, style: str) -> None:
        super().__init__()
        self._bold, self._italic = _STYLES[style]

    def __missing__(self, character: str) -> float:
        ((face, shown),) = set_in(character, bold=self._bold, italic=self._italic)
        self[character] = width(face, shown, 1)
        return self[character]

    @staticmethod
    @cache
    def of(style: str) -> _Widths:
        return _Widths(style)
