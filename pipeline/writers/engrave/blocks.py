"""Blocks of type above and below the music: title, running head, footnotes, key to the signs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.model.score import Credits, Footnote, LegendEntry
from pipeline.writers.engrave.paper import MEASURE, millimetres, points
from pipeline.writers.engrave.text import RING, Line, Run, broken, line_width, set_line
from pipeline.writers.engrave.widths import text_width

TITLE, SUBTITLE, CREDIT, NOTE, FOLIO = points(23), points(11.5), points(9.5), points(8.2), points(9.5)
_LEADING = 1.22
_GUTTER = millimetres(7)
#: Entries from which notes are set in two columns.
_TWO_COLUMNS_FROM = 3
#: Between two entries of the key to the signs, in type sizes.
_ENTRY_GAP = 1.5
#: Between the items of a row of the title block.
_ITEM_DOT = " · "


@dataclass(frozen=True, slots=True)
class Block:
    """SVG drawn from its own top left corner, and its height."""

    drawing: str
    height: int


NOTHING = Block("", 0)


def title_block(credits_: Credits) -> Block:
    """Title and subtitle in the middle; instrument and tuning on the left, composer and source on the right."""
    parts: list[str] = []
    y = 0.0
    for line in broken((Run(credits_.title),), TITLE, MEASURE):
        y += TITLE
        parts.append(set_line(line, MEASURE / 2, y, TITLE, "middle"))
    if credits_.subtitle:
        y += millimetres(1.2)
        for line in broken((Run(credits_.subtitle, "italic"),), SUBTITLE, MEASURE):
            y += SUBTITLE * _LEADING
            parts.append(set_line(line, MEASURE / 2, y, SUBTITLE, "middle"))
    y += millimetres(2.8)
    left = _paragraphs(credits_.left, MEASURE * 0.6)
    right = _paragraphs(credits_.right, MEASURE * 0.36)
    step = CREDIT * _LEADING
    rows = max(len(left), len(right))
    for place, line in enumerate(left):
        parts.append(set_line(line, 0, y + (rows - len(left) + place) * step + CREDIT, CREDIT))
    for place, line in enumerate(right):
        parts.append(set_line(line, MEASURE, y + (rows - len(right) + place) * step + CREDIT, CREDIT, "end"))
    y += rows * step
    return Block(f'<g class="title">{"".join(parts)}</g>', round(y))


def _paragraphs(texts: Sequence[str], width: float) -> list[Line]:
    return [
        line for text in texts for row in _rows_of_items(text, width) for line in broken((Run(row),), CREDIT, width)
    ]


def _rows_of_items(text: str, width: float) -> list[str]:
    """Items with dots between them, such as courses and their tunings, broken between two items, never inside one."""
    rows = [""]
    for item in text.split(_ITEM_DOT):
        longer = f"{rows[-1]}{_ITEM_DOT}{item}" if rows[-1] else item
        if rows[-1] and text_width(f"{longer}{_ITEM_DOT}", CREDIT) > width:
            rows[-1] += _ITEM_DOT
            rows.append(item)
        else:
            rows[-1] = longer
    return rows


def running_head(title: str, page: int) -> Block:
    """Page number on the outer side, none if it is 0; title in the middle."""
    short = title
    while line_width((Run(short, "italic"),), FOLIO) > MEASURE * 0.7:
        short = short[: len(short) * 9 // 10].rstrip() + "…"
    outer = (0.0, "start") if page % 2 == 0 else (float(MEASURE), "end")
    number = set_line((Run(str(page)),), outer[0], FOLIO, FOLIO, outer[1]) if page else ""
    middle = set_line((Run(short, "italic"),), MEASURE / 2, FOLIO, FOLIO, "middle") if short else ""
    return Block(f'<g class="running-head">{middle}{number}</g>', FOLIO)


def footnote_block(notes: Sequence[Footnote]) -> Block:
    """The footnotes of one page under a short rule."""
    if not notes:
        return NOTHING
    entries = [(Run(note.letter, RING), note.text) for note in notes]
    body = _columns(entries)
    rule = f'<path class="rule" d="M0 0 H{millimetres(30)}" stroke-width="9"/>'
    down = millimetres(1.2)
    drawing = f'<g class="footnotes">{rule}<g transform="translate(0 {down})">{body.drawing}</g></g>'
    return Block(drawing, body.height + down)


def turn_block() -> Block:
    """At the foot of a right-hand page that must be turned while the hands are busy."""
    line = set_line((Run("V. S.", "bold"), Run(" no rest at this turn", "italic")), MEASURE, FOLIO, FOLIO, "end")
    return Block(f'<g class="turn">{line}</g>', round(FOLIO * 1.2))


def legend_block(legend: Sequence[LegendEntry]) -> Block:
    """How to read this page."""
    if not legend:
        return NOTHING
    return _headed("How to read this page", legend)


def method_block(legend: Sequence[LegendEntry]) -> Block:
    """Method and cautions of a copy: the first entry has the heading as its sign."""
    if not legend:
        return NOTHING
    first = (LegendEntry("", legend[0].text),) if legend[0].text else ()
    return _headed(legend[0].sign, (*first, *legend[1:]))


def _headed(heading: str, legend: Sequence[LegendEntry]) -> Block:
    head = (Run(heading, "italic"),)
    entries = [(Run(entry.sign, "" if entry.sign.endswith(":") else "italic"), entry.text) for entry in legend]
    rows = list(_flowing(entries, line_width(head, NOTE)))
    rows[0].insert(0, (0.0, head))
    step = round(NOTE * _LEADING)
    parts = [set_line(line, x, NOTE + place * step, NOTE) for place, row in enumerate(rows) for x, line in row]
    return Block(f'<g class="legend">{"".join(parts)}</g>', len(rows) * step)


def stacked(blocks: Sequence[Block], gap: int) -> Block:
    """Blocks one under another; empty ones take no room."""
    drawing: list[str] = []
    y = 0
    for block in blocks:
        if not block.height:
            continue
        y += gap if drawing else 0
        drawing.append(f'<g transform="translate(0 {y})">{block.drawing}</g>')
        y += block.height
    return Block("".join(drawing), y)


#: What stands in one row of a column: pieces of type, each with its distance from the column's left edge.
Row = list[tuple[float, Line]]


def _flowing(entries: Sequence[tuple[Run, str]], start: float) -> Iterator[Row]:
    """Entries one after another over the whole measure, from ``start`` on the first line, a wide gap between them."""
    row: Row = []
    x = start
    for sign, text in entries:
        words = [Run(word, sign.style) for word in sign.text.split()] + [Run(word) for word in text.split()]
        x += NOTE * _ENTRY_GAP if x else 0
        begins, piece = x, list[Run]()
        for word in words:
            spaced = Run(f" {word.text}", word.style) if piece else word
            if x + spaced.width(NOTE) > MEASURE and (piece or row):
                if piece:
                    row.append((begins, tuple(piece)))
                yield row
                row, piece, spaced, x, begins = [], [], word, 0.0, 0.0
            piece.append(spaced)
            x += spaced.width(NOTE)
        row.append((begins, tuple(piece)))
    yield row


def _columns(entries: Sequence[tuple[Run, str]]) -> Block:
    """Entries with their texts hanging beside the signs, in one column or two of about the same length."""
    count = 2 if len(entries) >= _TWO_COLUMNS_FROM else 1
    width = (MEASURE - (count - 1) * _GUTTER) / count
    indent = max((sign.width(NOTE) for sign, _ in entries if _hangs(sign)), default=0.0) + NOTE * 0.6
    items = [_entry(sign, text, width, indent) for sign, text in entries]
    turn = _balance([len(item) for item in items]) if count == 2 else len(items)
    step = round(NOTE * _LEADING)
    parts: list[str] = []
    rows = 0
    for column, chosen in enumerate((items[:turn], items[turn:])):
        column_rows = [row for item in chosen for row in item]
        rows = max(rows, len(column_rows))
        for place, row in enumerate(column_rows):
            parts.extend(set_line(line, column * (width + _GUTTER) + x, NOTE + place * step, NOTE) for x, line in row)
    return Block("".join(parts), rows * step)


def _hangs(sign: Run) -> bool:
    """Short signs stand in a column of their own; headings run into their text."""
    return bool(sign.text) and not sign.text.endswith(":")


def _entry(sign: Run, text: str, width: float, indent: float) -> list[Row]:
    if not _hangs(sign):
        runs = (sign, Run(text)) if sign.text else (Run(text),)
        return [[(0.0, line)] for line in broken(runs, NOTE, width)]
    lines = broken((Run(text),), NOTE, width - indent)
    rows: list[Row] = [[(indent, line)] for line in lines] or [[]]
    rows[0].insert(0, (0.0, (sign,)))
    return rows


def _balance(lengths: Sequence[int]) -> int:
    """How many entries the first of two columns takes, so that neither is longer than need be."""
    total = sum(lengths)
    best, at = total + 1, len(lengths)
    height = 0
    for place, length in enumerate(lengths, start=1):
        height += length
        longer = max(height, total - height)
        if longer < best:
            best, at = longer, place
    return at
