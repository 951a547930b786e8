"""How the pages of a finished edition are laid out, as other documents of it are told."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Layout:
    """Height of a staff of five lines, width and height of the paper, in millimetres; for each page the ids of the
    measures with which its systems begin, empty where no pages are made."""

    staff: float = 7.0
    width: float = 210.0
    height: float = 297.0
    pages: tuple[tuple[str, ...], ...] = ()

    def page_of(self, measures: tuple[str, ...]) -> dict[str, int]:
        """The page, from 1, of each of a score's ``measures``; the first for all where no pages are made."""
        heads = {page[0]: number for number, page in enumerate(self.pages, start=1) if page}
        found: dict[str, int] = {}
        number = 1
        for measure in measures:
            number = heads.get(measure, number)
            found[measure] = number
        return found


#: Where no pages are made: paper and staves of the usual size.
NO_PAGES = Layout()


@dataclass(frozen=True, slots=True)
class Strip:
    """A whole piece as one SVG drawing, as wide as the paper and without margins above and below: others can stand on
    the same page. ``share`` is what it takes of the height that a page has between its margins."""

    svg: str
    share: float
