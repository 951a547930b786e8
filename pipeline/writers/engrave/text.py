"""Type: lines of text broken to a width, and set as SVG."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from pipeline.model.xmltext import legal
from pipeline.writers.engrave.widths import text_width

#: Numbers of notes at the foot, each in a ring: a sign that neither music nor tablature has.
RING = "ring"
#: Height of a ring, and what its width adds to its number, in type sizes; the thickness of its line in page units.
_RING_HEIGHT, _RING_MORE, _RING_LINE = 1.14, 0.42, 13
_RING_GAP = 0.12
#: The type in the rings of a line of words, against that of the words.
_RING_TYPE = 0.86


@dataclass(frozen=True, slots=True)
class Run:
    """Characters of one style: empty, ``italic``, ``bold`` or ``ring`` (the numbers of notes at the foot)."""

    text: str
    style: str = ""

    def width(self, size: float) -> float:
        return (
            ring_width(self.text, size * _RING_TYPE) if self.style == RING else text_width(self.text, size, self.style)
        )


Line = tuple[Run, ...]


def markup(text: str) -> str:
    """The text as it stands between tags; a character that XML forbids shows as U+FFFD."""
    return escape(legal(text), quote=False)


def line_width(line: Line, size: float) -> float:
    """How long a line is when it is set."""
    return sum(run.width(size) for run in line)


def broken(runs: Line, size: float, width: float) -> list[Line]:
    """The runs broken at spaces into lines no wider than ``width``; a longer word stands alone, or is cut."""
    words = [Run(word, run.style) for run in runs for word in _words(run.text, size, width, run.style)]
    lines: list[list[Run]] = [[]]
    filled = 0.0
    for word in words:
        gap = text_width(" ", size) if lines[-1] else 0.0
        wide = word.width(size)
        if lines[-1] and filled + gap + wide > width:
            lines.append([word])
            filled = wide
        else:
            lines[-1].append(word)
            filled += gap + wide
    return [_joined(line) for line in lines if line]


def _words(text: str, size: float, width: float, style: str) -> list[str]:
    words: list[str] = []
    for word in text.split():
        if text_width(word, size, style) <= width:
            words.append(word)
        else:
            words.extend(_cut(word, size, width, style))
    return words


def _cut(word: str, size: float, width: float, style: str) -> list[str]:
    parts = [""]
    for character in word:
        if parts[-1] and text_width(parts[-1] + character, size, style) > width:
            parts.append("")
        parts[-1] += character
    return parts


def _joined(words: list[Run]) -> Line:
    """Words of one style in one run, spaces between all of them."""
    joined: list[Run] = []
    for word in words:
        if joined and joined[-1].style == word.style:
            joined[-1] = Run(f"{joined[-1].text} {word.text}", word.style)
        else:
            joined.append(word if not joined else Run(f" {word.text}", word.style))
    return tuple(joined)


def ring_width(numbers: str, size: float) -> float:
    """How long the rings of these numbers are, beside each other."""
    widths = [max(_RING_HEIGHT * size, text_width(number, size) + _RING_MORE * size) for number in numbers.split()]
    return sum(widths) + _RING_GAP * size * max(0, len(widths) - 1)


def rings(numbers: str, x: float, centre: float, size: float) -> str:
    """Each number in a ring, from ``x`` to the right, about the height ``centre``."""
    drawn: list[str] = []
    for number in numbers.split():
        wide, high = ring_width(number, size), _RING_HEIGHT * size
        r = high / 2
        k = 0.4477 * r  # a quarter circle as one curve
        left, right, top, bottom = x, x + wide, centre - r, centre + r
        path = (
            f"M{left + r:.0f} {top:.0f} L{right - r:.0f} {top:.0f} "
            f"C{right - k:.0f} {top:.0f} {right:.0f} {top + k:.0f} {right:.0f} {centre:.0f} "
            f"C{right:.0f} {bottom - k:.0f} {right - k:.0f} {bottom:.0f} {right - r:.0f} {bottom:.0f} "
            f"L{left + r:.0f} {bottom:.0f} "
            f"C{left + k:.0f} {bottom:.0f} {left:.0f} {bottom - k:.0f} {left:.0f} {centre:.0f} "
            f"C{left:.0f} {top + k:.0f} {left + k:.0f} {top:.0f} {left + r:.0f} {top:.0f} Z"
        )
        drawn.append(
            f'<path class="ink reference" d="{path}" stroke-width="{_RING_LINE}"/>'
            f'<text x="{(left + right) / 2:.0f}" y="{centre + 0.33 * size:.0f}" font-size="{size:.0f}" '
            f'text-anchor="middle" font-style="normal">{markup(number)}</text>'
        )
        x = right + _RING_GAP * size
    return "".join(drawn)


_STYLES = {"": "", "italic": ' font-style="italic"', "bold": ' font-weight="bold"'}


def set_line(line: Line, x: float, y: float, size: float, anchor: str = "start") -> str:
    """One line as an SVG ``text``; ``anchor`` is ``start``, ``middle`` or ``end``; ``y`` is the base line."""
    if len(line) == 1 and line[0].style == RING:
        return rings(line[0].text, x, y - 0.33 * size, size * _RING_TYPE)
    side = "" if anchor == "start" else f' text-anchor="{anchor}"'
    attributes = f'x="{x:.0f}" y="{y:.0f}" font-size="{size:.0f}"{side} xml:space="preserve"'
    if len(line) == 1:
        return f"<text {attributes}{_STYLES[line[0].style]}>{markup(line[0].text)}</text>"
    spans = "".join(_span(run) for run in line)
    return f"<text {attributes}>{spans}</text>"


def _span(run: Run) -> str:
    words = markup(run.text)
    return f"<tspan{_STYLES[run.style]}>{words}</tspan>" if run.style else words
