"""Code points of tablature signs: the standard ones (SMuFL) and the project's own, from U+F5A0 on."""

from __future__ import annotations

FIGURE_ZERO = 0xEBE0  # luteItalianFret0, the figures follow
LETTER_A = 0xEBC0  # luteFrenchFretA, the letters follow, without j
SLASHED_A = 0xEBCE  # luteFrench8thCourse: /a, then //a, ///a
CROSS = 0xF5A0  # the figure X
QUESTION = 0xF5A1  # a sign that cannot be read
BREVE = 0xE0A1  # what the engraver prints as a breve: in its own font a mensural square, too high for a chord
LETTER_R = 0xF5A2  # a c written like r
LETTER_Y = 0xF5A3  # an i written y
BLANK = 0xF5A4  # room for a sign that is lost

#: The letters in fret order: a is the open course, there is no j.
FRET_LETTERS = "abcdefghiklmn"
#: Bare figures of the French system, and the course each stands for.
FRENCH_DIAPASONS = {"4": 11, "5": 12, "6": 13, "7": 14}

_SIGNS = {
    **{str(figure): FIGURE_ZERO + figure for figure in range(10)},
    **{letter: LETTER_A + fret for fret, letter in enumerate(FRET_LETTERS)},
    "/a": SLASHED_A,
    "//a": SLASHED_A + 1,
    "///a": SLASHED_A + 2,
    "X": CROSS,
    "?": QUESTION,
    "r": LETTER_R,
    "y": LETTER_Y,
    " ": BLANK,
}


def glyphs_of(text: str) -> tuple[int, ...]:
    """The glyphs that print a sign (``12`` has two); empty if there is none for it."""
    whole = _SIGNS.get(text)
    if whole is not None:
        return (whole,)
    parts = tuple(_SIGNS.get(character, 0) for character in text)
    return parts if all(parts) else ()


_TEXTS = {code: text for text, code in _SIGNS.items()}


def sign_of_glyphs(glyphs: tuple[int, ...]) -> str:
    """The sign that these glyphs print, read back; empty if one of them is none of a tablature's."""
    texts = [_TEXTS.get(glyph, "") for glyph in glyphs]
    return "".join(texts) if texts and all(texts) else ""
