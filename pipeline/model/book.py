"""A folder that is a book: what its heading says of the volume, and what any heading says of a text as published."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.model.text import Span


@dataclass(frozen=True, slots=True)
class Issue:
    """``edition 1.1, 2026-11-30``: the version of a text and its day (``YYYY-MM-DD``), as typed."""

    version: str
    date: str


@dataclass(frozen=True, slots=True)
class Licence:
    """``licence CC BY 4.0, https://…``: what the edition may be used for. ``address`` is empty where none is typed."""

    text: str
    address: str = ""


@dataclass(frozen=True, slots=True)
class Canvas:
    """``canvas 4r = https://…``: the address of a IIIF canvas that shows a folio. It is passed on, never fetched."""

    folio: str
    address: str


@dataclass(frozen=True, slots=True)
class BookFile:
    """A text of the book: its path from the folder of the heading, as typed, and the place of that."""

    file: str
    span: Span


@dataclass(frozen=True, slots=True)
class BookPart:
    """``part songs = Songs to the theorbo``: pieces of a folder under a title, in order."""

    folder: str
    title: str
    span: Span


@dataclass(frozen=True, slots=True)
class Book:
    """What makes a folder a book. ``span`` is the place of the ``book`` line; ``imprint`` has its lines in order."""

    title: str
    span: Span
    subtitle: str = ""
    introduction: BookFile | None = None
    method: BookFile | None = None
    imprint: tuple[str, ...] = ()
    parts: tuple[BookPart, ...] = ()
