"""Words that several parts of the pages use."""

from __future__ import annotations


def counted(number: int, what: str) -> str:
    """``1 error``, ``3 errors``."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def title_of(title: str, name: str) -> str:
    """A piece's title, or its file's name where it has none."""
    return title or name.rpartition("/")[2]


def place_of(bar: str, line: int, at: str) -> str:
    """Where something stands, as a musician says it: the bar where it has a number, else the line."""
    if bar:
        return f"Bar {bar}"
    if at:
        return "Upbeat"
    return f"Line {line}" if line else "Piece"
