"""The index on the disk: each page as HTML, and beside it the same as a script, for the search on the pages, which has
no server to ask, and for the next run."""

from __future__ import annotations

import json
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

from pipeline.desk.proof.record import Counts, ListedFolder, ListedPart, ListedPiece, Listing
from pipeline.folder.batch.index.dividing import PAGE, Entry, part_page
from pipeline.folder.batch.index.renewing import NoListingError
from pipeline.folder.files import SUFFIX, whole_of, write_changed

#: Raised when the form of the script changes.
FORM = 2
_HEAD, _TAIL = b"longneckListed(", b");\n"


def script_of(page: Listing, *, unfinished: bool = False) -> bytes:
    """The script of a page: one call, one line an entry. ``unfinished`` says that a run has begun that will change what
    stands in it."""
    folders = [one for one in page.entries if isinstance(one, ListedFolder)]
    pieces = [one for one in page.entries if isinstance(one, ListedPiece)]
    fields: dict[str, Any] = {
        "form": FORM,
        "folder": page.folder,
        "whole": page.whole,
        "unfinished": unfinished,
        "part": None if page.part is None else _part_row(page.part),
    }
    lists = {
        "parts": [_part_row(part) for part in page.parts],
        "folders": [[one.folder, *_numbers(one.counts)] for one in folders],
        "pieces": [_piece_row(one) for one in pieces],
    }
    said = [f"{json.dumps(name)}: {json.dumps(value)}" for name, value in fields.items()]
    said += [f"{json.dumps(name)}: [{_lines(rows)}]" for name, rows in lists.items()]
    return _HEAD + ("{" + ",\n".join(said) + "}").encode() + _TAIL


def listing_of(script: bytes) -> tuple[Listing, bool]:
    """The page in a script, and whether it is unfinished. Raises NoListingError."""
    if not (script.startswith(_HEAD) and script.endswith(_TAIL)):
        raise NoListingError("no script of the index")
    try:
        found = json.loads(script[len(_HEAD) : -len(_TAIL)])
        if found["form"] != FORM:
            raise NoListingError("another form")
        entries: list[Entry] = [ListedFolder(row[0], Counts(*row[1:])) for row in found["folders"]]
        entries += [_piece(*row) for row in found["pieces"]]
        entries.sort(key=lambda one: (one.folder.split("/"), isinstance(one, ListedFolder)))
        parts = tuple(_part(*row) for row in found["parts"])
        part = None if found["part"] is None else _part(*found["part"])
        listing = Listing(found["folder"], part, tuple(entries), parts, found["whole"])
        if not _well_formed(listing):
            raise NoListingError("names that lead elsewhere, or no names")
        return listing, found["unfinished"] is not False
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise NoListingError(str(error)) from error


class Store:
    """The pages under a folder of editions. ``live`` pages load themselves anew."""

    def __init__(self, out: Path, *, live: bool = False) -> None:
        self.out = out
        self._live = live
        self._left: list[tuple[str, str]] = []
        self._written: set[tuple[str, str]] = set()

    def begin(self) -> bool:
        """Say on the disk that a run has begun that changes pieces, so that no later one believes in an index that was
        never written. True if the one that lies there can be believed. Raises OSError."""
        try:
            listing, unfinished = self._read("", PAGE)
        except NoListingError:
            return False
        write_changed(self.out / f"{PAGE}.js", script_of(listing, unfinished=True))
        return not unfinished

    def read(self, folder: str, page: str) -> Listing:
        """A page as it was written last. Raises NoListingError."""
        return self._read(folder, page)[0]

    def write(self, listing: Listing) -> None:
        """Write a page, and remember which pages nothing leads to any more. Raises OSError."""
        # Imported late: a run that makes no pages should not load what writes them.
        from pipeline.desk.proof.writers import write_index  # noqa: PLC0415

        name = _page_of(listing)
        self._leave(listing, name)
        self._written.add((listing.folder, name))
        place = self.out / listing.folder
        place.mkdir(parents=True, exist_ok=True)
        if not place.resolve().is_relative_to(self.out.resolve()):
            raise OSError(0, "a link leads out of the folder")
        write_changed(place / f"{name}.html", write_index(listing, live=self._live))
        write_changed(place / f"{name}.js", script_of(listing))

    def clear(self, *, all_written: bool) -> None:
        """Take away the pages that nothing leads to any more. Folders go only when every page of the index has just
        been written: else one may only have moved to another part. Raises OSError."""
        for folder, name in self._left:
            if name != PAGE or all_written:
                self._remove(folder, name, deep=all_written)

    def _read(self, folder: str, page: str) -> tuple[Listing, bool]:
        try:
            listing, unfinished = listing_of(whole_of(self.out / folder / f"{page}.js"))
        except OSError as error:
            raise NoListingError(str(error)) from error
        if (listing.folder, _page_of(listing)) != (folder, page):
            raise NoListingError("it belongs elsewhere")
        return listing, unfinished

    def _leave(self, listing: Listing, name: str) -> None:
        try:
            old, _ = self._read(listing.folder, name)
        except NoListingError:
            return
        parts = {part.page for part in listing.parts}
        self._left += [(old.folder, part.page) for part in old.parts if part.page not in parts]
        folders = {one.folder for one in listing.entries if isinstance(one, ListedFolder)}
        self._left += [
            (one.folder, PAGE) for one in old.entries if isinstance(one, ListedFolder) and one.folder not in folders
        ]

    def _remove(self, folder: str, name: str, *, deep: bool) -> None:
        """A page of ours, and with ``deep`` those that only it leads to."""
        if (folder, name) in self._written:
            return
        try:
            old = self.read(folder, name)
        except NoListingError:
            return
        for part in old.parts if deep else ():
            self._remove(folder, part.page, deep=True)
        for one in old.entries if deep else ():
            if isinstance(one, ListedFolder):
                self._remove(one.folder, PAGE, deep=True)
        for ending in ("html", "js"):
            (self.out / folder / f"{name}.{ending}").unlink(missing_ok=True)
        with suppress(OSError):  # it is not empty
            (self.out / folder).rmdir()


def _page_of(listing: Listing) -> str:
    return PAGE if listing.part is None else listing.part.page


def _well_formed(listing: Listing) -> bool:
    """True if every part has its type, and no name leads out of the folder that it stands in."""
    above = f"{listing.folder}/" if listing.folder else ""
    folders = [one.folder for one in listing.entries]
    parts = [*listing.parts, *([listing.part] if listing.part else [])]
    numbers = [number for one in (*listing.entries, *parts) for number in _numbers(one.counts)]
    return (
        all(_leads_down(folder) and folder.startswith(above) for folder in folders)
        and (not listing.folder or _leads_down(listing.folder))
        and all(part.page == part_page(part.begins) for part in parts)
        and all(type(number) is int for number in numbers)
        and all(isinstance(one.title, str) for one in listing.entries if isinstance(one, ListedPiece))
    )


def _leads_down(folder: str) -> bool:
    return all(name not in ("", ".", "..") and "\0" not in name for name in folder.split("/"))


def _lines(rows: list[list[Any]]) -> str:
    return ",".join(f"\n{json.dumps(row)}" for row in rows)


def _numbers(counts: Counts) -> list[int]:
    return [counts.pieces, counts.errors, counts.warnings, counts.notes, counts.bars, counts.read]


def _part_row(part: ListedPart) -> list[Any]:
    return [part.begins, part.page, *_numbers(part.counts)]


def _part(begins: str, page: str, *numbers: int) -> ListedPart:
    return ListedPart(begins, page, Counts(*numbers))


def _piece_row(one: ListedPiece) -> list[Any]:
    return [
        one.folder,
        one.title,
        one.errors,
        one.warnings,
        one.notes,
        one.unbuilt,
        list(one.files),
        one.bars,
        one.read,
    ]


def _piece(
    folder: str,
    title: str,
    errors: int,
    warnings: int,
    notes: int,
    unbuilt: bool,
    files: list[str],
    bars: int,
    read: int,
) -> ListedPiece:
    names = tuple(sys.intern(name) for name in files)
    return ListedPiece(f"{folder}{SUFFIX}", title, folder, errors, warnings, notes, names, unbuilt, bars, read)
