"""Type: lines of text broken to a width, and set as SVG."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from pipeline.model.xmltext import legal
from pipeline.writers.engrave.widths import text_width


@dataclass(frozen=True, slots=True)
class Run:
    """Characters of one style: empty, ``italic`` or ``bold``."""

    text: str
    style: str = ""

    def width(self, size: float) -> float:
        return text_width(self.text, size, self.style)


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


_STYLES = {"": "", "italic": ' font-style="italic"', "bold": ' font-weight="bold"'}


def set_line(line: Line, x: float, y: float, size: float, anchor: str = "start") -> str:
    """One line as an SVG ``text``; ``anchor`` is ``start``, ``middle`` or ``end``; ``y`` is the base line."""
    side = "" if anchor == "start" else f' text-anchor="{anchor}"'
    attributes = f'x="{x:.0f}" y="{y:.0f}" font-size="{size:.0f}"{side} xml:space="preserve"'
    if len(line) == 1:
        return f"<text {attributes}{_STYLES[line[0].style]}>{markup(line[0].text)}</text>"
    spans = "".join(_span(run) for run in line)
    return f"<text {attributes}>{spans}</text>"


def _span(run: Run) -> str:
    words = markup(run.text)
    return f"<tspan{_STYLES[run.style]}>{words}</tspan>" if run.style else words
