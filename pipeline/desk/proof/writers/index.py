"""The pages of the index: all pieces of a collection, a folder of it, or a part of a long folder."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from urllib.parse import quote

from pipeline.desk.proof.record import Counts, ListedFolder, ListedPart, ListedPiece, Listing
from pipeline.desk.proof.writers.links import link, links
from pipeline.desk.proof.writers.words import counted, title_of
from pipeline.model.artefacts import PROOF
from pipeline.writers.html import ALL_PIECES, Element, element, page, page_header

_COLUMNS = ("Piece", "Errors", "Warnings", "Notes", "Files")
_READ = "Read"
_TITLE = ALL_PIECES


def write_index(listing: Listing, *, live: bool = False) -> bytes:
    """The page in UTF-8: what is listed with its findings counted, and, of pieces, its proof page and its files; of the
    rest, where it is listed. Linear time."""
    rows = [_row(one, listing) for one in (*listing.parts, *listing.entries)]
    columns = (*_COLUMNS, _READ) if listing.counts.bars else _COLUMNS
    head = element("tr", None, *(element("th", {"scope": "col"}, name) for name in columns))
    table = element("table", None, element("thead", None, head), element("tbody", None, *rows))
    title = _title(listing)
    body = element(
        "body",
        {"class": "index", "data-folder": listing.folder},
        page_header(title, [_said(listing.counts)], (), *_way(listing)),
        element(
            "main",
            None,
            *(_search() if _searched(listing) else ()),
            element("div", {"class": "wide", "tabindex": "0", "role": "region", "aria-label": "Pieces"}, table),
        ),
    )
    reloads = live and not listing.folder and listing.part is None
    script = "".join(_part(name) for name, used in (("search.js", _searched(listing)), ("live.js", reloads)) if used)
    return page(title, body, style=_part("index.css"), script=script, live=True)


def _said(counts: Counts) -> str:
    return (
        f"{counted(counts.pieces, 'piece')}, {counted(counts.errors, 'error')}, {counted(counts.warnings, 'warning')}"
    )


def _title(listing: Listing) -> str:
    name = listing.folder or _TITLE
    return f"{name}: {_begins(listing.part)}" if listing.part else name


def _begins(part: ListedPart) -> str:
    """What the names of a part begin with; one that ends in a slash is a whole name."""
    return part.begins.removesuffix("/") if part.begins.endswith("/") else f"{part.begins}…"


def _way(listing: Listing) -> Iterator[Element]:
    """The way up to all pieces."""
    parts = listing.folder.split("/") if listing.folder else []
    steps = [_TITLE, *parts]
    if listing.part is None:
        steps.pop()
    if not steps:
        return
    links_up = []
    for number, step in enumerate(steps):
        up = "../" * (len(parts) - number)
        links_up.append(element("li", None, element("a", {"href": f"{up}index.html"}, step)))
    yield element("nav", {"aria-label": "Folders"}, element("ol", None, *links_up))


def _searched(listing: Listing) -> bool:
    """A page is searched with all that lies below it; a part only with its folder."""
    return listing.part is None


def _search() -> tuple[Element, ...]:
    """The search, shown where there are scripts."""
    field = element("input", {"type": "search", "id": "asked", "autocomplete": "off", "spellcheck": "false"})
    label = element("label", None, "Search ", field)
    said = element("p", {"id": "found", "class": "faint", "role": "status"})
    return (
        element("form", {"id": "search", "role": "search", "hidden": "hidden"}, label, said),
        element("ul", {"id": "results", "hidden": "hidden"}),
    )


@cache
def _part(name: str) -> str:
    return files("pipeline.desk.proof.writers").joinpath("parts", name).read_text(encoding="utf-8")


def _row(one: ListedPiece | ListedFolder | ListedPart, listing: Listing) -> Element:
    if isinstance(one, ListedPiece):
        return _piece(one, _beyond(one.folder, listing.folder), listing)
    if isinstance(one, ListedFolder):
        below = _beyond(one.folder, listing.folder)
        name = link(below, "index.html", f"{below}/")
    else:
        name = element("a", {"href": quote(f"{one.page}.html")}, _begins(one))
    said = element("td", None, counted(one.counts.pieces, "piece"))
    return element("tr", None, element("th", {"scope": "row"}, name), *_counts(one.counts), said, *_read(one, listing))


def _beyond(folder: str, above: str) -> str:
    """A folder as seen from one above it."""
    return folder[len(above) + 1 :] if above else folder


def _piece(piece: ListedPiece, folder: str, listing: Listing) -> Element:
    title = title_of(piece.title, piece.name)
    proof = link(folder, PROOF, title) if PROOF in piece.files else element("span", None, title)
    others = list(links(piece.files, folder))
    cell: list[Element | str] = []
    if piece.unbuilt:
        cell.append("Could not be built; the files are of an earlier build. " if others else "Could not be built. ")
    if others:
        listed = element("ul", None, *(element("li", None, each) for each in others))
        cell.append(element("details", None, element("summary", None, counted(len(others), "file")), listed))
    return element(
        "tr",
        None,
        element("th", {"scope": "row"}, proof, element("code", {"class": "faint"}, piece.name)),
        *_counts(piece.counts),
        element("td", None, *(cell or ["none"])),
        *_read(piece, listing),
    )


def _read(one: ListedPiece | ListedFolder | ListedPart, listing: Listing) -> Iterator[Element]:
    """How far it is proof-read, in words and as a bar; a column only where anything on the page is."""
    if not listing.counts.bars:
        return
    bars, read = one.counts.bars, one.counts.read
    if not bars:
        yield element("td")
        return
    said = f"{read} of {counted(bars, 'bar')}"
    meter = element("progress", {"max": str(bars), "value": str(read), "aria-label": said})
    yield element("td", {"class": "read"}, said, meter)


def _counts(counts: Counts) -> Iterator[Element]:
    for kind, number in (("error", counts.errors), ("warning", counts.warnings), ("note", counts.notes)):
        yield element("td", {"class": f"severity-{kind}" if number else "faint"}, str(number) if number else None)
