"""Which pages the index has, and what stands on each: pages of a size that can be read, told by the names alone.

A folder with no more than ``MOST`` pieces below it is one page. A larger one lists its own pieces and its folders, each
with a page; where these are more than ``MOST``, by what their names begin with. So the same pieces make the same pages,
in whatever order they came, and a new piece changes one page and the counts above it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from hashlib import sha256
from itertools import groupby

from pipeline.desk.proof.record import Counts, ListedFolder, ListedPart, ListedPiece, Listing

#: Rows on a page.
MOST = 200
#: The name of a folder's page, without its ending.
PAGE = "index"

_NAME = re.compile(rf"{PAGE}(-[0-9a-f]{{12}})?\.(html|js)")

Entry = ListedPiece | ListedFolder


def pages_of(folder: str, pieces: Sequence[ListedPiece]) -> Iterator[Listing]:
    """The pages of the pieces below a folder, in order of their places. The page of the folder itself is the last."""
    if len(pieces) <= MOST:
        yield Listing(folder, entries=tuple(pieces), whole=True)
        return
    entries: list[Entry] = []
    for below, some in by_folder(folder, pieces):
        if not below:
            entries += some
            continue
        for page in pages_of(below, some):
            yield page
        entries.append(ListedFolder(page.folder, page.counts))
    yield from folder_pages(folder, entries)


def by_folder(folder: str, pieces: Iterable[ListedPiece]) -> Iterator[tuple[str, list[ListedPiece]]]:
    """Pieces below a folder, in order, those together that lie in one folder of it, with that folder; empty for those
    that lie in the folder itself."""
    for name, group in groupby(pieces, lambda one: name_in(folder, one)):
        for is_own, some in groupby(group, lambda one: is_in(folder, one)):
            yield "" if is_own else within(folder, name), list(some)


def folder_pages(folder: str, entries: Sequence[Entry]) -> Iterator[Listing]:
    """The pages of a folder that is not whole, in parts if there are many entries; the folder's own is the last."""
    if len(entries) <= MOST:
        yield Listing(folder, entries=tuple(entries))
        return
    made = list(parted(folder, "", entries))
    yield from made
    yield Listing(folder, parts=tuple(page.part for page in made if page.part))


def parted(folder: str, begins: str, entries: Sequence[Entry]) -> Iterator[Listing]:
    """The entries whose names begin so, on as many pages as they need."""
    if len(entries) <= MOST:
        part = ListedPart(begins, part_page(begins), sum((one.counts for one in entries), Counts()))
        yield Listing(folder, part, tuple(entries))
        return
    longer = len(begins) + 1
    for begin, group in groupby(entries, lambda one: key(folder, one)[:longer]):
        yield from parted(folder, begin, list(group))


def part_page(begins: str) -> str:
    """The name of the page of a part, without its ending: the same on every system, whatever signs the names hold."""
    return f"{PAGE}-{sha256(begins.encode(errors='surrogateescape')).hexdigest()[:12]}"


def is_page(name: str) -> bool:
    """True for the names of files that the index may have in any folder."""
    return _NAME.fullmatch(name) is not None


def key(folder: str, entry: Entry) -> str:
    """The name of an entry with a slash behind it, so that no name begins another."""
    return f"{name_in(folder, entry)}/"


def name_in(folder: str, entry: Entry) -> str:
    """The first part of an entry's path within a folder."""
    path = entry.folder[len(folder) + 1 :] if folder else entry.folder
    return path.partition("/")[0]


def is_in(folder: str, piece: ListedPiece) -> bool:
    """True if a piece lies in the folder itself."""
    return within(folder, name_in(folder, piece)) == piece.folder


def within(folder: str, name: str) -> str:
    return f"{folder}/{name}" if folder else name


def in_order(entries: Iterable[Entry]) -> list[Entry]:
    """By their places, a piece before the folder of its name."""
    return sorted(entries, key=lambda one: (one.folder.split("/"), isinstance(one, ListedFolder)))
