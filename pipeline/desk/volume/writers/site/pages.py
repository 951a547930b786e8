"""What all pages of the site share: head, ways to the others, texts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from importlib.resources import files
from urllib.parse import quote

from pipeline.desk.volume import words
from pipeline.desk.volume.record import Block, BlockKind, Prose, Run, Volume
from pipeline.writers.html import Block as Data
from pipeline.writers.html import Child, Element, element, page

START, REPORT, INSTRUMENTS, INDEX = "index.html", "critical-report.html", "instruments.html", "first-lines.html"
TEXTS = {"introduction": "introduction.html", "method": "method.html"}
BOOK = "volume.pdf"


@cache
def part(name: str) -> str:
    """A file that lies beside this module."""
    return files("pipeline.desk.volume.writers.site").joinpath(name).read_text(encoding="utf-8")


def site_page(
    title: str, up: str, volume: Volume, content: Sequence[Child], *, data: Sequence[Data] = (), script: str = ""
) -> bytes:
    """A page of the site, ``up`` (``../``) from its start page."""
    full = title if title == volume.book.title else f"{title}, {volume.book.title}"
    body = element(
        "body",
        {"class": "site"},
        element("header", None, _ways(volume, up)),
        element("main", None, element("h1", None, title), *content),
    )
    return page(full, body, style=part("site.css"), script=script, blocks=data)


def _ways(volume: Volume, up: str) -> Element:
    """The ways to the other pages, the same on each."""
    entries = [(START, volume.book.title)]
    for key, text in (("introduction", volume.introduction), ("method", volume.method)):
        if text is not None:
            entries.append((TEXTS[key], text.title))
    if volume.leaves:
        entries += [(INSTRUMENTS, words.INSTRUMENTS), (INDEX, words.INDEX), (REPORT, words.REPORT)]
    entries.append((BOOK, "The volume as PDF"))
    rows = [element("li", None, element("a", {"href": f"{up}{name}"}, said)) for name, said in entries]
    return element("nav", {"aria-label": "This edition"}, element("ul", None, *rows))


def address(place: str, up: str = "") -> str:
    """Where the page of a piece lies, as an address."""
    return f"{up}{quote(place)}/{START}"


def prose_content(prose: Prose) -> Iterator[Element]:
    """A text of the book; items of lists in lists."""
    items: list[Block] = []
    for block in prose.blocks:
        if block.kind is BlockKind.ITEM:
            items.append(block)
            continue
        yield from _lists(items)
        items = []
        yield _block(block)
    yield from _lists(items)


def _block(block: Block) -> Element:
    match block.kind:
        case BlockKind.HEADING:
            return element(f"h{min(max(block.level, 2), 6)}", None, *_runs(block.runs))
        case BlockKind.QUOTE:
            return element("blockquote", {"class": "quote"}, element("p", None, *_runs(block.runs)))
        case BlockKind.RULE:
            return element("hr")
        case _:
            return element("p", None, *_runs(block.runs))


def _lists(items: Sequence[Block]) -> Iterator[Element]:
    """Items in a row as lists, deeper ones inside the item before them."""
    opened: list[Element] = []
    for block in items:
        while len(opened) > block.level:
            opened.pop()
        ordered = block.marker.endswith(".")
        if len(opened) < block.level:
            made = element("ol", {"start": block.marker.rstrip(".")}) if ordered else element("ul")
            if opened and len(opened[-1]):
                opened[-1][-1].append(made)
            elif opened:
                opened[-1].append(element("li", None, made))
            else:
                yield made
            opened.append(made)
        if block.marker or not len(opened[-1]):
            opened[-1].append(element("li"))
        opened[-1][-1].append(element("p", None, *_runs(block.runs)))


def _runs(runs: Sequence[Run]) -> Iterator[Child]:
    for run in runs:
        for number, line in enumerate(run.text.split("\n")):
            if number:
                yield element("br")
            made: Child = line
            if run.bold:
                made = element("strong", None, made)
            if run.italic:
                made = element("em", None, made)
            if run.href:
                made = element("a", {"href": run.href}, made)
            yield made


def table(columns: Sequence[str], rows: Sequence[Sequence[Child]], label: str) -> Element:
    """A table that scrolls by itself where the window is narrow."""
    head = element("tr", None, *(element("th", {"scope": "col"}, name) for name in columns))
    body = [element("tr", None, *(element("td", None, cell) for cell in row)) for row in rows]
    made = element("table", None, element("thead", None, head), element("tbody", None, *body))
    return element("div", {"class": "wide", "tabindex": "0", "role": "region", "aria-label": label}, made)
