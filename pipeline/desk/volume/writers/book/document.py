"""The whole book: title, imprint, contents, texts, tables, the pieces, report, index.

Page numbers are known once the pages are set, and set they must be to print the contents: so the book is set again
until nothing moves, and pages of music are drawn in the last pass only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import groupby
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, NextPageTemplate, PageBreak, PageTemplate

from pipeline.desk.programme.writers.bands import Style, centred
from pipeline.desk.volume.plan import Placed, placed
from pipeline.desk.volume.record import Volume
from pipeline.desk.volume.words import edition_said, editors_of
from pipeline.desk.volume.writers.book.back import index_pages, report_pages
from pipeline.desk.volume.writers.book.flow import Drawn, FullPage, Pass, Place
from pipeline.desk.volume.writers.book.front import Pages, contents, imprint, instruments, prose, title_page
from pipeline.model.options import Sheet
from pipeline.writers.engrave.paper import BOTTOM, PER_POINT, TOP
from pipeline.writers.pdf import PER_MM, Paper
from pipeline.writers.pdf.faces import first_face

#: Margins of pages of words, and where page numbers stand above the lower edge.
_SIDE, _TOP, _FOOT = 28 * PER_MM, 24 * PER_MM, 26 * PER_MM
_NUMBER_UP = 6.2 * PER_MM
_NUMBER = Style(10)
#: Passes after which pages that still move would be a fault of the program.
_MOST = 6

_EMPTY = "This page is left empty, so that the next piece lies open before the player."
_FRONT, _MUSIC, _BACK = "front", "music", "back"


def write_book(volume: Volume, sheet: Sheet = Sheet.A4, said: Callable[[str], None] = lambda _: None) -> bytes:
    """The volume as a PDF file, its fonts inside: bookmarks, page labels, what catalogues ask for. The same volume
    gives the same bytes. ``said`` is told what is under way.

    Raises ValueError for a page with something that the writer does not know.
    """
    setting = _Setting(volume, Paper[sheet.name], placed(volume.sections))
    known: Mapping[str, int] = {}
    for number in range(1, _MOST + 1):
        said(f"pages counted, time {number}")
        turn = Pass(known, draws=False)
        setting.set(turn)
        if turn.found == known:
            said("pages drawn")
            return setting.set(Pass(known, draws=True))
        known = turn.found
    raise RuntimeError("the pages of the volume never come to rest")


@dataclass(frozen=True, slots=True)
class _Setting:
    volume: Volume
    paper: Paper
    placed: tuple[Placed, ...]

    def set(self, turn: Pass) -> bytes:
        """The file as one pass sets it."""
        content = BytesIO()
        wide, high = (side * PER_MM for side in self.paper.value)
        before = turn.known.get(_MUSIC, 1) - 1
        pages = Pages(turn, before)
        words = Frame(_SIDE, _FOOT, wide - 2 * _SIDE, high - _TOP - _FOOT, 0, 0, 0, 0)
        whole = Frame(0, 0, wide, high, 0, 0, 0, 0)
        templates = [
            PageTemplate(_FRONT, [words], onPageEnd=lambda canvas, _: _numbered(canvas, pages, wide)),
            PageTemplate(_MUSIC, [whole], onPageEnd=lambda canvas, _: _numbered(canvas, pages, wide)),
        ]
        document = _Document(content, (wide, high), self.volume, templates)
        document.begins = before
        document.build(list(self._story(pages)))
        return content.getvalue()

    def _story(self, pages: Pages) -> Iterator[Flowable]:
        volume, turn = self.volume, pages.turn
        yield from title_page(volume)
        yield from imprint(volume)
        yield from contents(volume, self.placed, pages)
        yield from prose(volume.introduction, "introduction", pages)
        yield from prose(volume.method, "method", pages)
        yield from instruments(volume, pages)
        yield NextPageTemplate(_MUSIC)
        yield PageBreak()
        # Music begins on a right-hand page.
        last_words = turn.known.get("end-of-words", 1)
        if last_words % 2:
            yield FullPage(turn)
        for _, group in groupby(self.placed, key=lambda one: one.first):
            yield from self._pages(list(group), turn)
        yield NextPageTemplate(_FRONT)
        yield from report_pages(volume, pages)
        yield from index_pages(volume, pages)

    def _pages(self, group: Sequence[Placed], turn: Pass) -> Iterator[Flowable]:
        """The pages of a piece, or the one that several share."""
        begins = group[0]
        opening = (Place(_MUSIC),) if begins is self.placed[0] else ()
        if begins.blank:
            # The first page of the music names the book again; an empty page inside says why it is one.
            title = self.volume.book.title if opening else ""
            yield FullPage(turn, places=opening, title=title, remark="" if title else _EMPTY)
            opening = ()
        top = TOP / PER_POINT
        body = self.paper.value[1] * PER_MM - (TOP + BOTTOM) / PER_POINT
        known = (*opening, Place("pieces", "Music")) if begins is self.placed[0] else ()
        if begins.down is None:
            for number, svg in enumerate(begins.pages):
                here = (*known, *self._bookmarks(begins)) if not number else ()
                yield FullPage(turn, (Drawn(svg, here),))
        else:
            drawn = [Drawn(one.pages[0], self._bookmarks(one), top + body * (one.down or 0.0)) for one in group]
            yield FullPage(turn, tuple(drawn), known)

    def _bookmarks(self, one: Placed) -> tuple[Place, ...]:
        """The piece; above the first of a part that has a title, the part."""
        place, title = one.leaf.place, one.leaf.title
        for number, section in enumerate(self.volume.sections, start=1):
            places = [leaf.place for leaf in section.leaves]
            if section.title and place in places:
                part = (Place(f"part-{number}", section.title, 1),) if place == places[0] else ()
                return (*part, Place(one.leaf.key, title, 2))
        return (Place(one.leaf.key, title, 1),)


def _numbered(canvas: Canvas, pages: Pages, wide: float) -> None:
    """The number of the page at its foot; none on the title and its back, nor on an empty page."""
    physical = canvas.getPageNumber()
    if physical > 2 and physical not in pages.turn.empty:
        centred(canvas, wide / 2, _NUMBER_UP, pages.label_of(physical), _NUMBER, wide)


class _Document(BaseDocTemplate):
    """The file with what catalogues and readers of files ask for."""

    def __init__(
        self, content: BytesIO, size: tuple[float, float], volume: Volume, templates: list[PageTemplate]
    ) -> None:
        book, heading = volume.book, volume.heading
        about = [part for part in (book.subtitle, edition_said(heading)) if part]
        face: Any = first_face()
        super().__init__(
            content,
            pagesize=size,
            pageTemplates=templates,
            invariant=1,
            pageCompression=1,
            initialFontName=face,
            title=book.title,
            author="; ".join(name or initials for initials, name in editors_of(volume)),
            subject=". ".join(about),
            creator="longneck",
            keywords=sorted({leaf.heading.instrument.name for leaf in volume.leaves}),
            displayDocTitle=1,
            lang="en",
        )
        self.begins = 0

    def beforeDocument(self) -> None:  # noqa: N802  # the library's name
        canvas = self.canv
        canvas.addPageLabel(0, "ROMAN_LOWER", 1)
        if self.begins:
            canvas.addPageLabel(self.begins, "ARABIC", 1)
        canvas.showOutline()
