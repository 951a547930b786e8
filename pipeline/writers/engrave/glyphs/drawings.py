"""The drawings of the glyph font: centre lines for the pen, in font units (1000 to the em, y upwards, baseline 0).

Figures stand 330 units high, four fifths of the distance between two tablature lines as they are printed;
French letters have an x-height of 215. ``width`` is the advance. ``make_glyphs`` inks them.
"""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.model.glyphs import (
    BLANK,
    BREVE,
    CROSS,
    FIGURE_ZERO,
    FRET_LETTERS,
    LETTER_A,
    LETTER_R,
    LETTER_Y,
    QUESTION,
    SLASHED_A,
)
from pipeline.writers.engrave.glyphs.pen import Nib

FIGURE_NIB = Nib(50, 27, 0.12)
LETTER_NIB = Nib(47, 23, 0.62)
CROSS_NIB = Nib(54, 22, 0.95)


@dataclass(frozen=True, slots=True)
class Drawing:
    """One glyph: its name, advance width, nib and centre line."""

    name: str
    width: int
    nib: Nib
    path: str


_FIGURES = {
    "0": (
        212,
        "M106 316 C52 316 28 240 28 165 C28 90 52 15 106 15 C160 15 184 90 184 165 C184 240 160 316 106 316 Z",
    ),
    "1": (166, "M36 258 C60 268 80 288 92 312 L92 16 M46 14 L138 14"),
    "2": (
        190,
        "M26 244 C28 290 62 316 98 316 C138 316 162 288 162 248 C162 186 96 122 24 20 "
        "M24 20 C58 30 108 8 138 14 C156 17 166 30 170 50",
    ),
    "3": (
        182,
        "M26 276 C40 304 66 316 92 316 C130 316 150 290 150 254 C150 212 118 186 74 180 "
        "M74 180 C124 180 160 150 160 100 C160 48 124 14 78 14 C48 14 26 28 16 54",
    ),
    "4": (200, "M138 14 L138 312 C110 230 66 160 18 104 L186 104"),
    "5": (
        182,
        "M158 312 L54 308 L46 172 C62 192 82 202 104 202 C142 202 164 166 164 112 C164 52 126 14 80 14 "
        "C50 14 28 28 16 52",
    ),
    "6": (
        194,
        "M162 315 C84 300 28 218 28 116 C28 52 58 14 100 14 C142 14 168 52 168 104 C168 154 142 188 104 188 "
        "C68 188 38 162 30 120",
    ),
    "7": (182, "M22 262 L26 306 C60 318 110 290 166 308 C130 224 92 140 78 14"),
    "8": (
        192,
        "M96 176 C58 192 40 214 40 250 C40 290 64 316 96 316 C128 316 152 290 152 250 C152 214 134 192 96 176 "
        "C52 158 26 134 26 92 C26 44 56 14 96 14 C136 14 166 44 166 92 C166 134 140 158 96 176 Z",
    ),
    "9": (
        194,
        "M32 15 C110 30 166 112 166 214 C166 278 136 316 94 316 C52 316 26 278 26 226 C26 176 52 142 90 142 "
        "C126 142 156 168 164 210",
    ),
}

_LETTERS = {
    "a": (
        230,
        "M168 196 C150 212 130 216 110 216 C56 216 26 164 26 102 C26 46 50 12 88 12 C126 12 156 60 170 128 "
        "M182 214 L164 62 C160 24 180 6 212 32",
    ),
    "b": (
        212,
        "M44 326 C34 240 28 150 30 84 C32 36 58 12 96 12 C150 12 184 62 184 120 C184 168 160 196 "
        "126 196 C88 196 52 170 34 128",
    ),
    "c": (186, "M164 172 C160 200 140 216 114 216 C60 216 28 164 28 100 C28 46 54 12 94 12 C124 12 148 26 166 50"),
    "d": (
        236,
        "M14 318 C90 330 196 270 204 130 C208 56 168 12 114 12 C64 12 32 48 32 100 C32 156 68 196 116 196 "
        "C156 196 188 172 202 138",
    ),
    "e": (
        186,
        "M34 104 C96 104 154 124 154 168 C154 196 134 216 106 216 C58 216 28 164 28 100 C28 46 54 "
        "12 94 12 C124 12 148 26 166 50",
    ),
    "f": (190, "M186 300 C176 322 148 330 126 316 C92 292 96 196 84 96 C76 30 60 -40 18 -62 M26 202 L158 202"),
    "g": (
        226,
        "M170 192 C152 210 132 216 112 216 C60 216 28 168 28 110 C28 62 52 30 88 30 C126 30 158 74 170 134 "
        "M184 212 C180 120 176 30 160 -28 C146 -78 108 -92 72 -86 C50 -82 34 -68 28 -50",
    ),
    "h": (222, "M52 326 L32 12 M36 96 C56 168 96 216 134 216 C176 216 178 160 170 110 C162 56 158 8 202 30"),
    "i": (116, "M28 160 C42 190 60 210 70 204 C82 196 54 90 54 48 C54 6 80 6 102 36 M82 300 L83 302"),
    "k": (
        206,
        "M52 326 L32 12 M40 110 C80 180 128 216 158 206 C186 194 166 140 66 118 M66 118 C110 110 130 8 194 30",
    ),
    "l": (122, "M58 326 C46 240 34 120 38 54 C40 8 74 0 108 38"),
    "m": (
        330,
        "M24 166 C40 198 56 214 62 204 C70 188 46 80 42 12 M46 90 C66 166 98 216 132 216 C170 216 160 130 152 12 "
        "M156 90 C176 166 208 216 242 216 C282 216 274 150 268 104 C262 50 266 6 308 32",
    ),
    "n": (
        230,
        "M24 166 C40 198 56 214 62 204 C70 188 46 80 42 12 M46 90 C66 166 104 216 140 216 C182 216 176 150 170 104 "
        "C164 50 168 6 210 32",
    ),
    "r": (
        178,
        "M24 166 C40 198 56 214 62 204 C70 188 46 80 42 12 M46 96 C66 166 96 214 128 216 C146 216 158 206 164 188",
    ),
    "y": (
        212,
        "M24 166 C40 198 58 214 66 202 C76 186 50 110 58 62 C64 20 100 24 126 58 C150 90 168 140 174 206 "
        "M178 212 C172 120 160 20 120 -40 C94 -80 56 -92 22 -70",
    ),
}

_CROSS = (
    226,
    CROSS_NIB,
    "M42 308 L184 22 M186 308 L40 22 M26 312 L70 312 M160 312 L206 312 M18 18 L64 18 M158 18 L208 18",
)
_QUESTION = (
    160,
    FIGURE_NIB,
    "M24 250 C28 292 54 316 84 316 C120 316 140 290 140 256 C140 200 78 190 80 110 M80 22 L80 24",
)


def _ellipse(x: int, across: int, up: int) -> str:
    """A closed curve about (x, 0)."""
    a, b = round(0.5523 * across), round(0.5523 * up)
    left, right = x - across, x + across
    return (
        f"M{right} 0 C{right} {b} {x + a} {up} {x} {up} C{x - a} {up} {left} {b} {left} 0 "
        f"C{left} {-b} {x - a} {-up} {x} {-up} C{x + a} {-up} {right} {-b} {right} 0 Z"
    )


#: A modern breve: a whole note between two pairs of strokes, no higher than the space it stands in.
_BREVE_NIB = Nib(34, 30, 0.0)
_BREVE = " ".join(
    [*(f"M{x} -112 L{x} 112" for x in (18, 72, 428, 482)), _ellipse(250, 142, 104), _ellipse(250, 116, 100)]
)


def _slashed(count: int) -> tuple[int, str]:
    """The letter a behind slashes: width and centre lines."""
    width, path = _LETTERS["a"]
    slashes = " ".join(f"M{14 + 84 * n} -30 L{92 + 84 * n} 300" for n in range(count))
    shift = 84 * count + 30
    return width + shift, f"{slashes} {_shifted(path, shift)}"


def _shifted(path: str, by: int) -> str:
    """The path moved right: every first coordinate of a pair."""
    words = path.replace("M", "M ").replace("L", "L ").replace("C", "C ").replace("Z", "Z ").split()
    out: list[str] = []
    is_x = True
    for word in words:
        if word.isalpha():
            out.append(word)
            continue
        out.append(str(int(word) + by) if is_x else word)
        is_x = not is_x
    return " ".join(out)


def _italian() -> dict[int, Drawing]:
    glyphs = {
        FIGURE_ZERO + int(sign): Drawing(f"luteItalianFret{sign}", width, FIGURE_NIB, path)
        for sign, (width, path) in _FIGURES.items()
    }
    glyphs[CROSS] = Drawing("tabFigureX", *_CROSS)
    glyphs[QUESTION] = Drawing("tabQuestion", *_QUESTION)
    glyphs[BLANK] = Drawing("tabBlank", 190, FIGURE_NIB, "")
    return glyphs


def _french() -> dict[int, Drawing]:
    glyphs = {
        LETTER_A + fret: Drawing(
            f"luteFrenchFret{letter.upper()}", _LETTERS[letter][0], LETTER_NIB, _LETTERS[letter][1]
        )
        for fret, letter in enumerate(FRET_LETTERS)
    }
    width, path = _LETTERS["a"]
    glyphs[SLASHED_A - 1] = Drawing("luteFrench7thCourse", width, LETTER_NIB, path)
    for count, place in enumerate(("8th", "9th", "10th"), start=1):
        width, path = _slashed(count)
        glyphs[SLASHED_A - 1 + count] = Drawing(f"luteFrench{place}Course", width, LETTER_NIB, path)
    glyphs[LETTER_R] = Drawing("tabLetterR", _LETTERS["r"][0], LETTER_NIB, _LETTERS["r"][1])
    glyphs[LETTER_Y] = Drawing("tabLetterY", _LETTERS["y"][0], LETTER_NIB, _LETTERS["y"][1])
    return glyphs


def drawings() -> dict[int, Drawing]:
    """Every glyph by its code point: the standard points of lute figures and letters, and own ones."""
    return {**_italian(), **_french(), BREVE: Drawing("noteheadDoubleWholeSquare", 500, _BREVE_NIB, _BREVE)}


#: Advance width of every glyph by code point.
WIDTHS = {code: drawing.width for code, drawing in drawings().items()}
