"""The pages that change when some pieces do: found from the top down, each read once, so that what one
piece costs grows with the depth of its folder and not with the collection."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby

from pipeline.desk.proof.record import Counts, ListedFolder, ListedPart, ListedPiece, Listing
from pipeline.folder.batch.index.dividing import (
    PAGE,
    Entry,
    by_folder,
    folder_pages,
    in_order,
    key,
    name_in,
    pages_of,
    part_page,
    parted,
)

#: A page by its folder and its name without ending. Raises NoListingError if it is not there as it was written.
Read = Callable[[str, str], Listing]


class NoListingError(Exception):
    """A page of the index is not there, or not as this program writes it."""


def renewed(read: Read, folder: str, pieces: Sequence[ListedPiece]) -> Iterator[Listing]:
    """The pages below a folder that change when these pieces (in order) are new, or other than before. The page of the
    folder itself is the last. Raises NoListingError."""
    old = read(folder, PAGE)
    if old.whole:
        yield from pages_of(folder, [one for one in merged(old.entries, pieces) if isinstance(one, ListedPiece)])
        return
    entries: list[Entry] = []
    for below, some in by_folder(folder, pieces):
        if not below:
            entries += some
            continue
        beside = _beside(read, old, name_in(folder, some[0]))
        there = any(one.folder == below and isinstance(one, ListedFolder) for one in beside)
        for page in renewed(read, below, some) if there else pages_of(below, some):
            yield page
        entries.append(ListedFolder(page.folder, page.counts))
    yield from _with(read, old, entries)


def merged(old: Iterable[Entry], new: Iterable[Entry]) -> list[Entry]:
    """The new ones, and those of the old that none of them stands for."""
    every = {(one.folder, isinstance(one, ListedFolder)): one for one in (*old, *new)}
    return in_order(every.values())


def _beside(read: Read, old: Listing, name: str) -> tuple[Entry, ...]:
    """The entries of the page on which a name stands, or would."""
    if not old.parts:
        return old.entries
    part = _part(old.parts, f"{name}/")
    return read(old.folder, part.page).entries if part.counts.pieces else ()


def _with(read: Read, old: Listing, entries: Sequence[Entry]) -> Iterator[Listing]:
    """The pages of a folder with these entries renewed, its own last."""
    if not old.parts:
        yield from folder_pages(old.folder, merged(old.entries, entries))
        return
    parts = {part.begins: part for part in old.parts}
    for begins, group in groupby(entries, lambda one: _part(parts.values(), key(old.folder, one)).begins):
        before = read(old.folder, parts.pop(begins).page).entries if begins in parts else ()
        for page in parted(old.folder, begins, merged(before, group)):
            assert page.part is not None
            parts[page.part.begins] = page.part
            yield page
    yield Listing(old.folder, parts=tuple(sorted(parts.values(), key=lambda part: part.begins.split("/"))))


def _part(parts: Iterable[ListedPart], name: str) -> ListedPart:
    """The part that a name (with its slash) belongs to; where none has begun so yet, the one that it makes: it begins
    with the fewest signs that divide it from all others."""
    every = tuple(parts)
    for part in every:
        if name.startswith(part.begins):
            return part
    length = next(n for n in range(1, len(name) + 1) if not any(one.begins.startswith(name[:n]) for one in every))
    return ListedPart(name[:length], part_page(name[:length]), Counts())
