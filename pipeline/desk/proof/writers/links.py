"""Links to what lies beside a page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from urllib.parse import quote

from pipeline.writers.html import Element, element

#: What the artefacts are called, in the order in which they are listed; pages of a score follow their PDF.
_CALLED = {
    "critical-report.html": "Critical report",
    "critical-report.csv": "Critical report as a table",
    "edition.pdf": "Edition, PDF",
    "reduction.pdf": "Singer’s copy, PDF",
    "edition.musicxml": "Edition, MusicXML",
    "edition.mei": "Edition, MEI",
    "reduction.musicxml": "Singer’s copy, MusicXML",
    "reduction.mei": "Singer’s copy, MEI",
    "practice.mid": "MIDI to practise with",
    "events.xml": "Every sign, XML",
    "findings.json": "Findings, JSON",
    "not-built.json": "Why there is no newer build, JSON",
}
_SCORES = (("edition-", "Edition"), ("reduction-", "Singer’s copy"))


def links(names: Iterable[str], folder: str = "") -> Iterator[Element]:
    """A link to each artefact that has a name for readers, with its ``folder`` (parts joined by /) before it. The
    pages of a score are numbered."""
    there = list(names)
    pages = {
        prefix: [name for name in there if name.startswith(prefix) and name.endswith(".svg")] for prefix, _ in _SCORES
    }
    for prefix, title in _SCORES:
        for number, name in enumerate(pages[prefix], start=1):
            said = f"{title}, page {number}" if len(pages[prefix]) > 1 else f"{title}, page"
            yield link(folder, name, said)
    for name, called in _CALLED.items():
        if name in there:
            yield link(folder, name, called)


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
