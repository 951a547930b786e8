"""Elements of the events document: its namespace, and attributes that many elements share."""

from __future__ import annotations

from typing import TypeVar

from lxml.etree import SubElement, _Element

from pipeline.model.signs import Act, Label, Reading
from pipeline.model.text import Span
from pipeline.model.xmltext import legal

T = TypeVar("T")

NAMESPACE = "urn:longneck:events:1"


def tag(name: str) -> str:
    """The qualified name of an element."""
    return f"{{{NAMESPACE}}}{name}"


def add(parent: _Element, name: str, attributes: dict[str, str] | None = None, text: str = "") -> _Element:
    """A child with its attributes; empty values are left out."""
    given = {key: value for key, value in (attributes or {}).items() if value}
    element = SubElement(parent, tag(name), given)
    if text:
        element.text = legal(text)
    return element


def yes(truth: bool) -> str:
    """``yes`` or nothing: false is never written."""
    return "yes" if truth else ""


class Places:
    """Writes where a sign stands. The file is named only where it is not that of the whole document."""

    def __init__(self, file: str) -> None:
        self.file = file

    def of(self, span: Span) -> dict[str, str]:
        """``file``, ``line``, ``column``, ``end``."""
        place = {"line": str(span.line), "column": str(span.start), "end": str(span.end)}
        return place if span.file == self.file else {"file": legal(span.file), **place}

    def mark(self, element: _Element, span: Span) -> None:
        """The same, set on an element that is there."""
        if span.file != self.file:
            element.set("file", legal(span.file))
        element.set("line", str(span.line))
        element.set("column", str(span.start))
        element.set("end", str(span.end))


def act(reading: Reading[T]) -> dict[str, str]:
    """``act``, ``doubtful``, ``source-doubtful``: how edition and source stand to each other."""
    return {
        "act": reading.act.value.replace(", ", "-"),
        "doubtful": yes(reading.doubtful),
        "source-doubtful": yes(reading.source_doubtful),
    }


def differs(reading: Reading[T]) -> bool:
    """Whether the source has a sign that the edition does not read."""
    return reading.act in {Act.EMENDED, Act.REMOVED} and reading.source is not None


def labels(given: tuple[Label, ...]) -> str:
    """The letters of the labels at a sign."""
    return " ".join(label.letter for label in given)
