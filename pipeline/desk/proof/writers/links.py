"""Links to what lies beside a page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from urllib.parse import quote

from pipeline.model.artefacts import called
from pipeline.writers.html import Element, element


def links(names: Iterable[str], folder: str = "") -> Iterator[Element]:
    """A link to each artefact that has a name for readers, with its ``folder`` (parts joined by /) before it."""
    return (link(folder, name, words) for name, words in called(names))


def link(folder: str, name: str, words: str) -> Element:
    """A link to a file; whatever stands in its path is no part of the address's grammar. Bytes of its name that are
    no UTF-8 are kept."""
    path = f"{folder}/{name}" if folder else name
    return element("a", {"href": quote(path.encode(errors="surrogateescape"))}, words)


def file_links(names: tuple[str, ...]) -> Element | None:
    """A fold with links to all artefacts beside the page."""
    made = list(links(names))
    if not made:
        return None
    rows = element("ul", None, *(element("li", None, each) for each in made))
    return element("details", {"class": "files screen-only"}, element("summary", None, "Files"), rows)
