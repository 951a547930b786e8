"""Text of a page: runs of one style, measured, anchored and placed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from lxml.etree import _Element

from pipeline.writers.faces.setting import MISSING, set_in, width
from pipeline.writers.faces.styles import Styles

_SPACE = "{http://www.w3.org/XML/1998/namespace}space"
_BLANKS = re.compile("[ \t\r\n]+")


@dataclass(frozen=True, slots=True)
class Piece:
    """Characters in one face, from ``x`` on the base line ``y``."""

    text: str
    face: str
    size: float
    fill: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Words:
    """What a text element sets, and the characters that no face has."""

    pieces: tuple[Piece, ...]
    missing: frozenset[str]


@dataclass(slots=True)
class _Run:
    text: str
    style: Mapping[str, str]
    #: A place of its own, where one is given.
    x: str | None = None
    y: str | None = None

    @property
    def size(self) -> float:
        return float(self.style["font-size"].removesuffix("px"))


def words_of(element: _Element, style: Mapping[str, str], styles: Styles) -> Words:
    """A ``text`` element with all its ``tspan``: every chunk stands at its anchor. Only single places are read."""
    runs = list(_runs(element, style, styles))
    if element.get(_SPACE) != "preserve":
        _collapse(runs)
    x, y = float(element.get("x", "0")), float(element.get("y", "0"))
    pieces: list[Piece] = []
    missing: set[str] = set()
    for chunk in _chunks(runs):
        x = float(chunk[0].x) if chunk[0].x is not None else x
        y = float(chunk[0].y) if chunk[0].y is not None else y
        set_pieces = [(run, *piece) for run in chunk for piece in _set(run)]
        long = sum(width(face, text, run.size) for run, face, text in set_pieces)
        x -= {"middle": long / 2, "end": long}.get(chunk[0].style["text-anchor"], 0.0)
        for run, face, text in set_pieces:
            pieces.append(Piece(text, face, run.size, run.style["fill"], x, y))
            x += width(face, text, run.size)
        for run in chunk:
            missing |= set(_lost(run))
    return Words(tuple(pieces), frozenset(missing))


def _set(run: _Run) -> Iterator[tuple[str, str]]:
    bold, italic = run.style["font-weight"] == "bold", run.style["font-style"] == "italic"
    return set_in(run.text, bold=bold, italic=italic)


def _lost(run: _Run) -> Iterator[str]:
    """The characters that are shown as missing."""
    if any(MISSING in text for _, text in _set(run)):
        shown = "".join(text for _, text in _set(run))
        yield from (given for given, made in zip(run.text, shown, strict=True) if made == MISSING != given)


def _runs(element: _Element, style: Mapping[str, str], styles: Styles) -> Iterator[_Run]:
    if element.text:
        yield _Run(element.text, style, element.get("x"), element.get("y"))
    for child in element:
        if isinstance(child.tag, str) and child.tag.rpartition("}")[2] == "tspan":
            runs = _runs(child, styles.of(child, style), styles)
            first = next(runs, None)
            if first is not None:
                first.x, first.y = first.x or child.get("x"), first.y or child.get("y")
                yield first
                yield from runs
        if child.tail:
            yield _Run(child.tail, style)


def _collapse(runs: list[_Run]) -> None:
    """White space as SVG reads it by default: runs of it are one space, none at the ends."""
    after_blank = True
    for run in runs:
        run.text = _BLANKS.sub(" ", run.text.replace("\n", ""))
        if after_blank:
            run.text = run.text.removeprefix(" ")
        after_blank = run.text.endswith(" ") if run.text else after_blank
    for run in reversed(runs):
        if run.text:
            run.text = run.text.removesuffix(" ")
            break


def _chunks(runs: list[_Run]) -> Iterator[list[_Run]]:
    """Runs that stand one behind the other; a place of its own begins a new chunk."""
    chunk: list[_Run] = []
    for run in runs:
        if chunk and run.x is not None:
            yield chunk
            chunk = []
        chunk.append(run)
    if chunk:
        yield chunk
