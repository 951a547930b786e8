"""The page of all pieces of a run."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib.resources import files

from pipeline.desk.proof.record import ListedPiece
from pipeline.desk.proof.writers.links import link, links
from pipeline.desk.proof.writers.words import counted, title_of
from pipeline.model.artefacts import PROOF
from pipeline.writers.html import Element, element, page

_COLUMNS = ("Piece", "Errors", "Warnings", "Notes", "Files")


def write_index(pieces: Sequence[ListedPiece], *, live: bool = False) -> bytes:
    """The page in UTF-8: every piece with its findings counted, its proof page and its files. Linear time."""
    rows = [_row(piece) for piece in pieces]
    errors, warnings = sum(piece.errors for piece in pieces), sum(piece.warnings for piece in pieces)
    said = f"{counted(len(pieces), 'piece')}, {counted(errors, 'error')}, {counted(warnings, 'warning')}"
    head = element("tr", None, *(element("th", {"scope": "col"}, name) for name in _COLUMNS))
    table = element("table", None, element("thead", None, head), element("tbody", None, *rows))
    body = element(
        "body",
        {"class": "index"},
        element(
            "main",
            None,
            element("h1", None, "All pieces"),
            element("p", {"class": "faint"}, said),
            element("div", {"class": "wide", "tabindex": "0", "role": "region", "aria-label": "Pieces"}, table),
        ),
    )
    return page("All pieces", body, style=_part("index.css"), script=_part("live.js") if live else "", live=live)


@cache
def _part(name: str) -> str:
    return files("pipeline.desk.proof.writers").joinpath("parts", name).read_text(encoding="utf-8")


def _row(piece: ListedPiece) -> Element:
    title = title_of(piece.title, piece.name)
    proof = link(piece.folder, PROOF, title) if PROOF in piece.files else element("span", None, title)
    others = list(links(piece.files, piece.folder))
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
        *(
            _count(kind, number)
            for kind, number in zip(_KINDS, (piece.errors, piece.warnings, piece.notes), strict=True)
        ),
        element("td", None, *(cell or ["none"])),
    )


_KINDS = ("error", "warning", "note")


def _count(kind: str, number: int) -> Element:
    return element("td", {"class": f"severity-{kind}" if number else "faint"}, str(number))
