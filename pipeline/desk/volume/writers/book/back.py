"""What stands behind the music: one critical report for all pieces, titles and first lines."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus import Flowable, Spacer, Table

from pipeline.desk.programme.writers.bands import Style
from pipeline.desk.volume import words
from pipeline.desk.volume.plan import index_of
from pipeline.desk.volume.record import Leaf, Volume
from pipeline.desk.volume.writers.book.flow import Line, Place, heading
from pipeline.desk.volume.writers.book.front import Pages, headed, ruled
from pipeline.desk.volume.writers.setting import CELL, HEADS, JOINED, SMALL, TEXT, para, said
from pipeline.model.apparatus import Entry

#: In points; together the width of the words.
_WIDTHS = (30.0, 32.0, 36.0, 60.0, 92.0, 76.0, 110.0)
_TITLE, _SUNG = Style(11), Style(11, italic=True)


def report_pages(volume: Volume, pages: Pages) -> Iterator[Flowable]:
    """Every piece with its sources, what was decided, and its readings."""
    if not volume.leaves:
        return
    yield from headed(words.REPORT, "report", pages)
    if words.initials_said(volume):
        yield para(said(words.initials_said(volume)), TEXT)
    if words.values_said(volume):
        yield para(said(words.values_said(volume)), TEXT)
    for leaf in volume.leaves:
        yield from _piece(leaf, volume, pages)


def _piece(leaf: Leaf, volume: Volume, pages: Pages) -> Iterator[Flowable]:
    key = f"report-{leaf.place}"
    page = pages.label(leaf.key)
    title = said(f"{leaf.title}, page {page}", bold=True, href=f"#{leaf.key}")
    yield heading(title, HEADS[2], Place(key, leaf.title, 1), pages.turn)
    for witness in leaf.heading.witnesses:
        yield para(said(words.source_said(witness)), JOINED)
    yield para(said(words.decided(leaf, volume)), TEXT)
    entries = words.readings(leaf.apparatus)
    if entries:
        yield _table(leaf, entries)
        yield Spacer(1, 6)
    for sentence in words.octaves_said(leaf.apparatus):
        yield para(said(sentence), SMALL)
    yield Spacer(1, 6)


def _table(leaf: Leaf, entries: tuple[Entry, ...]) -> Table:
    rows = [[para(said(cell, bold=True), CELL) for cell in words.COLUMNS]]
    rows += [[para(said(cell), CELL) for cell in words.row_said(leaf, entry)] for entry in entries]
    made = Table(rows, colWidths=_WIDTHS, hAlign="LEFT", repeatRows=1)
    made.setStyle(ruled())
    return made


def index_pages(volume: Volume, pages: Pages) -> Iterator[Flowable]:
    """Titles upright, first lines slanting, by the alphabet."""
    if not volume.leaves:
        return
    yield from headed(words.INDEX, "index", pages)
    for entry in index_of(volume.leaves):
        place = entry.leaf.key
        yield Line(entry.text, pages.label(place), place, pages.turn, look=_SUNG if entry.sung else _TITLE)
        yield Spacer(1, 3)
