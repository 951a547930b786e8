"""The verses that stand without notes, as a block of text behind the music."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.model.verses import verse_lines
from pipeline.writers.engrave.blocks import NOTHING, Block
from pipeline.writers.engrave.paper import MEASURE, millimetres, points
from pipeline.writers.engrave.text import Line, Run, broken, line_width, set_line

SIZE = points(9.5)
_STEP = round(SIZE * 1.24)
_GUTTER = millimetres(8)
_MOST_COLUMNS = 3

#: A stanza: what is set in each of its lines.
_Stanza = list[Line]


def verses_block(verses: Sequence[tuple[str, str]]) -> Block:
    """Stanzas with their numbers hanging on the left, in as many columns as they fill and the page holds; no stanza
    is divided."""
    if not verses:
        return NOTHING
    indent = max(line_width((Run(f"{number}. "),), SIZE) for number, _ in verses)
    widest = max((line_width(line, SIZE) for _, text in verses for line in _lines(text, MEASURE)), default=0.0)
    count = max(1, min(_MOST_COLUMNS, len(verses), int((MEASURE + _GUTTER) // (indent + widest + _GUTTER))))
    width = (MEASURE - (count - 1) * _GUTTER) / count
    stanzas = [(number, _lines(text, width - indent)) for number, text in verses]
    columns = _columns([len(lines) for _, lines in stanzas], count)
    natural = indent + min(widest, width - indent)
    left = (MEASURE - count * natural - (count - 1) * _GUTTER) / 2
    parts: list[str] = []
    height = 0
    for column, (first, last) in enumerate(columns):
        x = left + column * (natural + _GUTTER)
        y = 0
        for number, lines in stanzas[first:last]:
            y += _STEP // 2 if y else 0
            parts.append(set_line((Run(f"{number}."),), x, y + SIZE, SIZE))
            for line in lines:
                parts.append(set_line(line, x + indent, y + SIZE, SIZE))
                y += _STEP
        height = max(height, y)
    return Block(f'<g class="verses">{"".join(parts)}</g>', height)


def _lines(text: str, width: float) -> _Stanza:
    return [line for words in verse_lines(text) for line in broken((Run(words),), SIZE, width)]


def _columns(lengths: Sequence[int], count: int) -> list[tuple[int, int]]:
    """Which stanzas, first to last (not included), stand in each column, so that none is longer than need be."""
    limit = max(*lengths, -(-sum(lengths) // count))
    while True:
        columns = _filled(lengths, limit)
        if len(columns) <= count:
            return columns
        limit += 1


def _filled(lengths: Sequence[int], limit: int) -> list[tuple[int, int]]:
    columns: list[tuple[int, int]] = []
    first, filled = 0, 0
    for place, length in enumerate(lengths):
        if place > first and filled + length > limit:
            columns.append((first, place))
            first, filled = place, 0
        filled += length
    columns.append((first, len(lengths)))
    return columns
