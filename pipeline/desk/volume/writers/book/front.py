"""What stands before the music: title, imprint, contents, texts, instruments."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.lib.colors import black, grey
from reportlab.platypus import Flowable, HRFlowable, PageBreak, Paragraph, Spacer, Table, TableStyle
from reportlab.platypus.flowables import TopPadder

from pipeline.desk.programme.sheet import Known
from pipeline.desk.programme.writers.bands import Style
from pipeline.desk.volume import words
from pipeline.desk.volume.plan import Placed, roman
from pipeline.desk.volume.record import Block, BlockKind, Prose, Volume
from pipeline.desk.volume.writers.book.flow import Anchor, Line, Pass, Place, heading
from pipeline.desk.volume.writers.setting import (
    CELL,
    CENTRED,
    HEAD,
    HEADS,
    JOINED,
    PART,
    PLAIN,
    QUOTE,
    SMALL,
    SUBTITLE,
    TEXT,
    TITLE,
    item,
    para,
    runs,
    said,
)
from pipeline.writers.pdf.faces import first_face

_ENTRY, _PIECE = Style(12), Style(12)
_MISSING = Style(12, italic=True, grey=0.25)


@dataclass(frozen=True, slots=True)
class Pages:
    """How pages are numbered in a pass: ``before`` of them, counted in Roman figures, stand before the music."""

    turn: Pass
    before: int

    def label_of(self, physical: int) -> str:
        """What is printed on a page of the file (from 1)."""
        return roman(physical) if physical <= self.before or not self.before else str(physical - self.before)

    def label(self, key: str) -> str:
        """The page of a place, as printed; empty in the first pass."""
        return self.label_of(self.turn.known[key]) if key in self.turn.known else ""


def headed(title: str, key: str, pages: Pages) -> Iterator[Flowable]:
    """A new page with a title that contents and bookmarks lead to."""
    yield PageBreak()
    yield heading(said(title, bold=True), HEAD, Place(key, title), pages.turn)


def title_page(volume: Volume) -> Iterator[Flowable]:
    """Title, subtitle, editors, edition."""
    book, heading = volume.book, volume.heading
    yield Spacer(1, 180)
    yield para(said(book.title, bold=True), TITLE)
    if book.subtitle:
        yield para(said(book.subtitle), SUBTITLE)
    yield Spacer(1, 40)
    for line in (words.edited_by(words.editors_of(volume)), words.edition_said(heading)):
        if line:
            yield para(said(line), CENTRED)
    if book.imprint:
        yield TopPadder(para(said(book.imprint[0]), CENTRED))


def imprint(volume: Volume) -> Iterator[Flowable]:
    """The back of the title: imprint, edition, licence of the edition."""
    book, heading, licence = volume.book, volume.heading, volume.heading.licence
    about = (words.edited_by(words.editors_of(volume)), words.edition_said(heading), *book.imprint)
    lines = [said(book.title, italic=True), *(said(line) for line in about if line), ""]
    if licence:
        lines.append(said(f"Licence of the edition: {licence.text}"))
        if licence.address:
            lines.append(said(licence.address, href=licence.address))
        lines.append("")
    yield PageBreak()
    yield TopPadder(para("<br/>".join([*lines, said("Music and words set by longneck.")]), PLAIN))


def contents(volume: Volume, placed: Sequence[Placed], pages: Pages) -> Iterator[Flowable]:
    """Everything with its page; pieces with their first bars; what is missing, and why."""
    yield from headed(words.CONTENTS, "contents", pages)
    for prose_, key in ((volume.introduction, "introduction"), (volume.method, "method")):
        if prose_:
            yield _entry(prose_.title, key, pages)
    if volume.leaves:
        yield _entry(words.INSTRUMENTS, "instruments", pages)
    at = {one.leaf.place: one for one in placed}
    for section in volume.sections:
        if section.title:
            yield para(said(section.title, bold=True), PART)
        if words.composer_of(section):
            yield para(said(words.composer_of(section), italic=True), JOINED)
        for leaf in section.leaves:
            page = str(at[leaf.place].first)
            under = words.under_title(leaf, section)
            yield Line(leaf.title, page, leaf.key, pages.turn, look=_PIECE, under=under, svg=leaf.incipit)
            yield Spacer(1, 9)
        for lost in section.missing:
            yield Line(lost.title, "", "", pages.turn, look=_MISSING, under=f"Missing from this volume: {lost.why}")
            yield Spacer(1, 9)
    yield Spacer(1, 10)
    for key, title in (("report", words.REPORT), ("index", words.INDEX)):
        if volume.leaves:
            yield _entry(title, key, pages)


def _entry(title: str, key: str, pages: Pages) -> Line:
    return Line(title, pages.label(key), key, pages.turn, look=_ENTRY)


def prose(made: Prose | None, key: str, pages: Pages) -> Iterator[Flowable]:
    """A text of the book, from a page of its own."""
    if made is None:
        return
    yield from headed(made.title, key, pages)
    for block in made.blocks:
        yield _block(block)


def _block(block: Block) -> Flowable:
    match block.kind:
        case BlockKind.HEADING:
            markup = "".join(said(run.text, bold=True, italic=run.italic, href=run.href) for run in block.runs)
            return para(markup, HEADS[min(max(block.level - 1, 1), 3)])
        case BlockKind.ITEM:
            return _listed(block)
        case BlockKind.QUOTE:
            return para(runs(block.runs), QUOTE)
        case BlockKind.RULE:
            return HRFlowable(width="30%", thickness=0.5, color=grey, spaceBefore=6, spaceAfter=10)
        case BlockKind.PARAGRAPH:
            return para(runs(block.runs), TEXT)


def _listed(block: Block) -> Paragraph:
    kind = item(block.level)
    marker = f"<bullet>{said(block.marker)}</bullet>"
    return para((marker if block.marker else "") + runs(block.runs), kind)


def instruments(volume: Volume, pages: Pages) -> Iterator[Flowable]:
    """A table for each instrument: its stopped courses, and its diapasons for each piece."""
    if volume.leaves:
        yield from headed(words.INSTRUMENTS, "instruments", pages)
        tables = list(words.scale_tables(volume.leaves))
        for table in tables:
            yield para(said(table.name, bold=True), HEADS[2])
            if table.stopped:
                yield para(said(f"Stopped courses, from the first: {table.stopped}"), JOINED)
            yield _scales(table)
            yield Spacer(1, 8)
        if any(table.numbers for table in tables):
            yield para(said(words.TABLE_KEY, italic=True), SMALL)
    yield Anchor(Place("end-of-words"), pages.turn)
    yield Spacer(1, 1)


def _scales(table: words.ScaleTable) -> Table:
    head = ["Piece", *map(str, table.numbers), "A4 (Hz)"]
    rows: list[list[Paragraph | str]] = [[para(said(cell, bold=True), CELL) for cell in head]]
    for row in table.rows:
        title = said(row.leaf.title) + (f"<br/>{said(row.changes, italic=True)}" if row.changes else "")
        cells = [
            para(said(words.cell_said(one), bold=one is not None and one.known is Known.DECLARED), CELL)
            for one in row.cells
        ]
        rows.append([para(title, CELL), *cells, para(said(row.a4), CELL)])
    made = Table(rows, colWidths=[116, *[34] * len(table.numbers), 46], hAlign="LEFT", repeatRows=1)
    made.setStyle(ruled())
    return made


def ruled() -> TableStyle:
    """Rules under the head and between the rows, none beside them."""
    return TableStyle(
        [
            ("FONTNAME", (0, 0), (-1, -1), first_face()),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, grey),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 5),
            ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ]
    )
