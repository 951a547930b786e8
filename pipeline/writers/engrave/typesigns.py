"""Signs that stand in lines of words and figures: accidentals beside figures and letters, the bow of an elision.

The engraver sets them from a music font that a reader's machine does not have; here they become outlines.
"""

from __future__ import annotations

import re

from pipeline.writers.engrave.widths import text_width

_FOREIGN = 'font-family="Leipzig"'
_TEXT = re.compile(r'<text x="(-?\d+)" y="(-?\d+)" font-size="0px">((?:(?!</text>).)*?' + _FOREIGN + r".*?)</text>")
_RUN = re.compile(r'<tspan (font-family="Leipzig" )?font-size="(\d+)px"([^>]*)>([^<]*)</tspan>')
_NEXT_SYLLABLE = re.compile(r'</g><g id="[^"]*" class="syl[^"]*"><text x="(-?\d+)"')

_FLAT, _NATURAL, _SHARP = "♭", "♮", "♯"
#: Code points under which music fonts keep them (SMuFL: accidentals, figured bass, chord symbols).
_ACCIDENTALS = {
    "\ue260": _FLAT, "\ue261": _NATURAL, "\ue262": _SHARP,
    "\uea64": _FLAT, "\uea65": _NATURAL, "\uea66": _SHARP,
    "\ued60": _FLAT, "\ued61": _NATURAL, "\ued62": _SHARP,
}  # fmt: skip
_ELISIONS = "\ue550\ue551\ue552"

#: Strokes in thousandths of the type size, y upwards from the base line: (path, thickness). And the advance.
_STROKES = {
    _SHARP: (
        ((150, -60, 150, 690), 38),
        ((320, -10, 320, 740), 38),
        ((40, 170, 430, 290), 90),
        ((40, 400, 430, 520), 90),
    ),
    _NATURAL: (
        ((110, 110, 110, 760), 38),
        ((330, -80, 330, 580), 38),
        ((110, 140, 330, 205), 85),
        ((110, 475, 330, 540), 85),
    ),
    _FLAT: (((100, -10, 100, 780), 38),),
}  # fmt: skip
_BOWL = (100, 330, 190, 470, 380, 470, 370, 290, 360, 160, 220, 70, 100, -10)
_ADVANCE = {_SHARP: 480, _NATURAL: 440, _FLAT: 420}
#: Music type over the type size of the words beside it, in the engraver's figures.
_MUSIC_TYPE = 0.563


def with_own_signs(drawing: str) -> str:
    """The drawing without letters of a music font."""
    if _FOREIGN not in drawing:
        return drawing
    return _TEXT.sub(lambda match: _reset(match, drawing), drawing)


def _reset(match: re.Match[str], drawing: str) -> str:
    x, y = float(match.group(1)), int(match.group(2))
    parts: list[str] = []
    for foreign, size, attributes, words in _RUN.findall(match.group(3)):
        if not foreign:
            parts.append(f'<text x="{x:.0f}" y="{y}" font-size="{size}px"{attributes}>{words}</text>')
            x += text_width(words, float(size))
            continue
        for sign in words:
            if sign in _ELISIONS:
                after = _NEXT_SYLLABLE.match(drawing, match.end())
                parts.append(_bow(x, float(after.group(1)) if after else x + 120, y))
            elif sign in _ACCIDENTALS:
                type_size = int(size) * _MUSIC_TYPE
                parts.append(_accidental(_ACCIDENTALS[sign], x, y, type_size))
                x += _ADVANCE[_ACCIDENTALS[sign]] * type_size / 1000
    return "".join(parts)


def _bow(left: float, right: float, y: int) -> str:
    """Under the gap between two syllables."""
    start, end, middle = left - 55, right + 60, (left + right) / 2
    return (
        f'<path class="elision" d="M{start:.0f} {y + 30} Q{middle:.0f} {y + 150} {end:.0f} {y + 30} '
        f'Q{middle:.0f} {y + 118} {start:.0f} {y + 30} Z" stroke-width="8" stroke-linejoin="round"/>'
    )


def _accidental(sign: str, x: float, y: int, size: float) -> str:
    def at(across: float, up: float) -> str:
        return f"{x + across * size / 1000:.0f} {y - up * size / 1000:.0f}"

    drawn = "".join(
        f'<path class="ink" d="M{at(x1, y1)} L{at(x2, y2)}" stroke-width="{thick * size / 1000:.0f}"/>'
        for (x1, y1, x2, y2), thick in _STROKES[sign]
    )
    if sign == _FLAT:
        points = [at(_BOWL[place], _BOWL[place + 1]) for place in range(0, len(_BOWL), 2)]
        drawn += (
            f'<path class="ink" d="M{points[0]} C{" ".join(points[1:4])} C{" ".join(points[4:7])}" '
            f'stroke-width="{60 * size / 1000:.0f}"/>'
        )
    return f'<g class="type-accidental">{drawn}</g>'
