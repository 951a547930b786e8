"""How the document is broken into lines: one for each child of a measure, so that versions compare line by line."""

from __future__ import annotations

from lxml.etree import Element, SubElement, _Element


def row(measure: _Element, tag: str, attributes: dict[str, str] | None = None) -> _Element:
    """A child of a measure, closing its line."""
    element = SubElement(measure, tag, attributes or {})
    element.tail = "\n"
    return element


def new_note(id_: str = "") -> _Element:
    """An empty ``note``, closing its line; to be appended to a measure."""
    note = Element("note", {"id": id_} if id_ else {})
    note.tail = "\n"
    return note


def hidden_rest(measure: _Element, duration: int, voice: int, staff: int = 0) -> None:
    """``note``: rest, duration, voice, staff: time in which nothing is printed, as ``forward``.

    But readers measure a bar by its notes and rests, so the end of a bar must be reached by one of these.
    """
    note = row(measure, "note", {"print-object": "no"})
    SubElement(note, "rest")
    SubElement(note, "duration").text = str(duration)
    SubElement(note, "voice").text = str(voice)
    if staff:
        SubElement(note, "staff").text = str(staff)


def block(parent: _Element, tag: str, attributes: dict[str, str]) -> _Element:
    """A part or a measure: its children begin on the line after it."""
    element = SubElement(parent, tag, attributes)
    element.text = element.tail = "\n"
    return element
