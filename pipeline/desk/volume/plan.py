"""What stands on which page: pieces in order, those of two pages on facing ones, so that they are never turned, short
ones together on one."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from pipeline.desk.volume.record import Leaf, Missing, Section
from pipeline.model.book import Book

_ROMAN = ((100, "c"), (90, "xc"), (50, "l"), (40, "xl"), (10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i"))


#: What is left free between two pieces on one page, as a share of its height.
_BETWEEN = 0.055


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece in its place: ``first`` is the number of its first page, ``pages`` are its drawings. ``blank`` says that
    the page before it is left empty. ``down`` is where on its page it begins, as a share of the page's height, if it
    shares the page; its drawing is then its strip."""

    leaf: Leaf
    first: int
    pages: tuple[str, ...]
    blank: bool = False
    down: float | None = None


def placed(sections: Sequence[Section]) -> tuple[Placed, ...]:
    """The pieces from page 1 on, each on the next free page: one of two pages on a left-hand (even) page, for which a
    page may be left empty; of any other length, as its pages are planned for the side on which it begins. Short ones
    of a part that follow each other share a page, as many as it holds."""
    made: list[Placed] = []
    free = 1
    for group in (group for section in sections for group in _together(section.leaves)):
        if len(group) > 1:
            made += _sharing(group, free)
            free += 1
            continue
        (leaf,) = group
        blank = free % 2 == 1 and len(leaf.right) == 2 == len(leaf.left)
        free += blank
        pages = leaf.right if free % 2 else leaf.left
        made.append(Placed(leaf, free, pages, blank))
        free += len(pages)
    return tuple(made)


def _together(leaves: Sequence[Leaf]) -> Iterator[list[Leaf]]:
    """The pieces in order, those that share a page together, every other by itself."""
    group: list[Leaf] = []
    used = 0.0
    for leaf in leaves:
        share = leaf.strip.share if leaf.strip is not None else 1.0
        if group and used + _BETWEEN + share <= 1.0:
            group.append(leaf)
            used += _BETWEEN + share
            continue
        if group:
            yield group
        group, used = [leaf], share
    if group:
        yield group


def _sharing(group: Sequence[Leaf], page: int) -> Iterator[Placed]:
    """Pieces under each other on one page."""
    down = 0.0
    for leaf in group:
        assert leaf.strip is not None
        yield Placed(leaf, page, (leaf.strip.svg,), down=down)
        down += leaf.strip.share + _BETWEEN


def sections_of(book: Book, leaves: Sequence[Leaf], missing: Sequence[Missing]) -> tuple[Section, ...]:
    """The pieces in the order of the parts that the book names, then the others by their folders, each under its
    name; of a part in the order of their names. A piece belongs to the part with the longest path above it."""
    titles = {part.folder.strip("/"): part.title for part in book.parts}
    order = {folder: number for number, folder in enumerate(titles)}

    def part(one: Leaf | Missing) -> str:
        folder = one.place.rpartition("/")[0]
        above = [name for name in titles if folder == name or folder.startswith(f"{name}/")]
        return max(above, key=len) if above else folder

    def rank(folder: str) -> tuple[int, str]:
        return order.get(folder, len(order)), folder

    everything: list[Leaf | Missing] = sorted([*leaves, *missing], key=lambda one: (rank(part(one)), one.place))
    made = []
    for folder, group in groupby(everything, key=part):
        mine = list(group)
        ready = tuple(one for one in mine if isinstance(one, Leaf))
        lost = tuple(one for one in mine if isinstance(one, Missing))
        made.append(Section(titles.get(folder, folder), ready, lost))
    return tuple(made)


def roman(number: int) -> str:
    """A number in small Roman figures: front matter is counted so."""
    said = ""
    for value, sign in _ROMAN:
        times, number = divmod(number, value)
        said += sign * times
    return said


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """A title, or the first words of a song, and the piece. ``sung`` tells which."""

    text: str
    leaf: Leaf
    sung: bool


def index_of(leaves: Sequence[Leaf]) -> tuple[IndexEntry, ...]:
    """Titles and first lines by the alphabet; accents make no difference, nor do capitals."""
    return tuple(sorted(_entries(leaves), key=lambda one: (sorted_as(one.text), one.sung, one.leaf.place)))


def _entries(leaves: Sequence[Leaf]) -> Iterator[IndexEntry]:
    for leaf in leaves:
        yield IndexEntry(leaf.title, leaf, sung=False)
        if leaf.first_line and sorted_as(leaf.first_line) != sorted_as(leaf.title):
            yield IndexEntry(leaf.first_line, leaf, sung=True)


def sorted_as(text: str) -> str:
    """A text as it is put in order: letters and figures alone, without accents."""
    plain = unicodedata.normalize("NFKD", text).casefold()
    kept = "".join(one if one.isalnum() else " " for one in plain if not unicodedata.combining(one))
    return " ".join(kept.split())
