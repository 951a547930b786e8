"""The report as a page: sources, what kind of edition this is, then every reading by bar, event and course."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from importlib.resources import files

from lxml.etree import SubElement

from pipeline.model.apparatus import OF_THE_READING, Apparatus, Entry, Kind, Subject
from pipeline.model.xmltext import legal
from pipeline.writers.html import Child, Element, element, page
from pipeline.writers.report.words import bar_said, course_said, event_said

_READINGS = ("Bar", "Event", "Course", "Sign", "In the source", "In the edition", "What it is", "Reason")
_VOICES = ("Bar", "Event", "Course", "As it sounds", "As it is read", "What it is", "Reason")


def write_report(apparatus: Apparatus, name: str, *, proof: str = "") -> bytes:
    """The whole page in UTF-8. ``name`` stands for a missing title; ``proof`` is the proof page beside it, if there is
    one: bars are then linked to it."""
    title = apparatus.title or name
    signs = [entry for entry in apparatus.entries if entry.kind not in OF_THE_READING]
    voices = [entry for entry in apparatus.entries if entry.kind in OF_THE_READING]
    body = element(
        "body",
        {"class": "report"},
        element(
            "header",
            None,
            element("h1", None, title),
            element("p", {"class": "faint"}, apparatus.composer) if apparatus.composer else None,
            element("p", {"class": "what"}, "Critical report"),
        ),
        element(
            "main",
            None,
            *_sources(apparatus),
            element("h2", None, "This edition"),
            element(
                "div", {"class": "about"}, element("div", None, *_statement(apparatus)), *_counts(apparatus.entries)
            ),
            element("h2", {"id": "readings"}, "Readings"),
            _table("readings", _READINGS, (_reading(entry, apparatus) for entry in signs), signs, proof),
            *_voices(voices, proof),
        ),
    )
    return page(f"{title}, critical report", body, style=_style())


@cache
def _style() -> str:
    """The style of the page. On a narrow one each cell says what it is: the names of the columns are out of sight."""
    said = [
        f'.entries.{name} td:nth-child({place})::before {{ content: "{column}"; }}'
        for name, columns in (("readings", _READINGS), ("voices", _VOICES))
        for place, column in enumerate(columns, start=1)
    ]
    own = files("pipeline.writers.report").joinpath("report.css").read_text(encoding="utf-8")
    return own + "@media screen and (max-width: 46rem) {\n" + "\n".join(said) + "\n}\n"


def _sources(apparatus: Apparatus) -> Iterator[Element]:
    if not (apparatus.witnesses or apparatus.canvases):
        return
    yield element("h2", None, "Sources")
    rows: list[Child] = []
    for witness in apparatus.witnesses:
        rows += [element("dt", None, witness.siglum), element("dd", None, witness.text)]
    for canvas in apparatus.canvases:
        link = element("a", {"href": canvas.address}, "in the library (IIIF canvas)")
        rows += [element("dt", None, f"f. {canvas.folio}"), element("dd", None, link)]
    yield element("dl", {"class": "sources"}, *rows)


def _statement(apparatus: Apparatus) -> Iterator[Element]:
    said = apparatus.statement
    parts = (
        ("What the source has", said.facts),
        ("What is read into it", said.readings),
        ("What the editor decided", said.decisions),
        ("How it is shown", said.signs),
    )
    for heading, sentences in parts:
        if sentences:
            yield element("h3", None, heading)
            yield element("p", None, " ".join(sentences))


def _counts(entries: Sequence[Entry]) -> Iterator[Element]:
    """How many entries of each kind there are."""
    counts = Counter(entry.kind for entry in entries)
    if not counts:
        return
    rows = [
        element("tr", None, element("th", {"scope": "row"}, kind.value), element("td", None, str(counts[kind])))
        for kind in Kind
        if counts[kind]
    ]
    head = element("tr", None, *(element("th", {"scope": "col"}, name) for name in ("What it is", "Number")))
    yield element(
        "table",
        {"class": "counts", "aria-label": "Entries by kind"},
        element("thead", None, head),
        element("tbody", None, *rows),
    )


def _voices(entries: Sequence[Entry], proof: str) -> Iterator[Element]:
    if not entries:
        return
    yield element("h2", {"id": "voices"}, "Voices, lengths and octaves")
    yield element("p", {"class": "faint"}, "Read into the tablature, not in the source; a musician may read otherwise.")
    yield _table("voices", _VOICES, map(_voice, entries), entries, proof)


def _reading(entry: Entry, apparatus: Apparatus) -> tuple[Child, ...]:
    siglum = entry.siglum or (apparatus.copy_text if entry.source and len(apparatus.witnesses) > 1 else "")
    source = _said(entry.source, entry)
    source_cell: Child = source
    if siglum and entry.source:
        source_cell = element("span", None, element("b", None, siglum), " ", source)
    sign = f"{entry.subject.value}, {entry.part}" if entry.part else entry.subject.value
    return (sign, source_cell, entry.here, entry.kind.value, _why(entry))


def _said(text: str, entry: Entry) -> Child:
    """A whole bar is given as it is typed."""
    return element("code", None, text) if entry.subject is Subject.BAR and isinstance(entry.was, tuple) else text


def _voice(entry: Entry) -> tuple[Child, ...]:
    sounds = str(entry.sounds) if entry.sounds is not None else ""
    return (sounds, entry.here, entry.kind.value, _why(entry))


def _why(entry: Entry) -> str:
    return f"{entry.reason} ({entry.who})" if entry.who and ", " not in entry.who else entry.reason


def _table(
    name: str, columns: Sequence[str], rows: Iterable[tuple[Child, ...]], entries: Sequence[Entry], proof: str
) -> Element:
    """The entries under the names of their columns."""
    if not entries:
        return element("p", None, "The edition is the source, sign for sign.")
    head = element("tr", None, *(element("th", {"scope": "col"}, column) for column in columns))
    body = element("tbody")
    before: str | None = None
    for cells, entry in zip(rows, entries, strict=True):
        _row(body, (*_place(entry, before, proof), *cells), entry)
        before = entry.bar
    return element(
        "table",
        {"class": f"entries {name}", "aria-labelledby": name},
        element("thead", None, head),
        body,
    )


def _row(body: Element, cells: Sequence[Child], entry: Entry) -> None:
    """One entry. Made step by step, not by ``element``: there may be thousands."""
    row = SubElement(body, "tr", {"class": "doubtful"} if entry.doubtful else None)
    for cell in cells:
        made = SubElement(row, "td")
        if isinstance(cell, str):
            if cell:
                made.text = legal(cell)
        elif cell is not None:
            made.append(cell)


def _place(entry: Entry, before: str | None, proof: str) -> tuple[Child, Child, Child]:
    """Bar, event, course. A bar is named in full once, then faintly."""
    said = bar_said(entry)
    look = {"class": "again"} if entry.bar == before else {}
    bar: Child = said
    if proof and entry.at:
        bar = element("a", {**look, "href": f"{proof}#{entry.at}"}, said)
    elif look:
        bar = element("span", look, said)
    return bar, event_said(entry), course_said(entry)
