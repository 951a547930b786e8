"""Every page of the site: start, texts, tables, report, and one page a piece."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.desk.volume import words
from pipeline.desk.volume.plan import Placed, index_of, placed
from pipeline.desk.volume.record import Leaf, Missing, Section, Volume
from pipeline.desk.volume.writers.site.metadata import book_data, piece_data
from pipeline.desk.volume.writers.site.pages import (
    INDEX,
    INSTRUMENTS,
    REPORT,
    START,
    TEXTS,
    address,
    part,
    prose_content,
    site_page,
    table,
)
from pipeline.desk.volume.writers.site.piece import INCIPIT, SitePiece, piece_page
from pipeline.writers.faces import lettered
from pipeline.writers.html import Child, Element, element


@dataclass(frozen=True, slots=True)
class _Site:
    volume: Volume
    placed: tuple[Placed, ...]
    pieces: Mapping[str, SitePiece]


def write_site(volume: Volume, pieces: Mapping[str, SitePiece]) -> Iterator[tuple[str, bytes]]:
    """Every page as (path from the start page's folder, bytes), and the incipits. ``pieces`` has, by the place of each
    leaf, the files that were built of it. The same volume gives the same bytes."""
    site = _Site(volume, placed(volume.sections), pieces)
    yield START, _start(site)
    for key, text in (("introduction", volume.introduction), ("method", volume.method)):
        if text is not None:
            yield TEXTS[key], site_page(text.title, "", volume, list(prose_content(text)))
    if not volume.leaves:
        return
    yield INSTRUMENTS, site_page(words.INSTRUMENTS, "", volume, list(_instruments(volume)))
    yield INDEX, site_page(words.INDEX, "", volume, [_index(volume)])
    yield REPORT, site_page(words.REPORT, "", volume, list(_report(volume)))
    order: list[Placed | None] = [None, *site.placed, None]
    for (before, here), (_, after) in zip(pairwise(order), pairwise(order[1:]), strict=False):
        assert here is not None
        leaf = here.leaf
        beside = (before.leaf if before else None, after.leaf if after else None)
        cited = words.citation(leaf, volume, words.pages_said(here.first, len(here.pages)))
        data = piece_data(leaf, volume, pieces[leaf.place])
        yield f"{leaf.place}/{START}", piece_page(leaf, volume, pieces[leaf.place], beside, cited, data)
        if leaf.incipit:
            yield f"{leaf.place}/{INCIPIT}", lettered(leaf.incipit).page.encode()


def _start(site: _Site) -> bytes:
    volume = site.volume
    book, heading = volume.book, volume.heading
    about = [
        line for line in (book.subtitle, words.edited_by(words.editors_of(volume)), words.edition_said(heading)) if line
    ]
    content: list[Element] = [element("p", None, line) for line in about]
    field = element("input", {"type": "search", "id": "asked", "autocomplete": "off", "spellcheck": "false"})
    label = element("label", None, "Search titles and first lines ", field)
    status = element("p", {"id": "found", "class": "faint", "role": "status"})
    content.append(element("form", {"id": "search", "role": "search", "hidden": "hidden"}, label, status))
    content += [_section(section, number) for number, section in enumerate(volume.sections, start=1)]
    content += list(_imprint(volume))
    return site_page(book.title, "", volume, content, data=(book_data(volume),), script=part("search.js"))


def _section(section: Section, number: int) -> Element:
    rows = [*(_listed(leaf, section) for leaf in section.leaves), *map(_lost, section.missing)]
    title = section.title or words.CONTENTS
    name = f"part-{number}"
    composer = words.composer_of(section)
    return element(
        "section",
        {"class": "part", "aria-labelledby": name},
        element("h2", {"id": name}, title),
        element("p", {"class": "faint"}, composer) if composer else None,
        element("ul", {"class": "pieces"}, *rows),
    )


def _listed(leaf: Leaf, section: Section) -> Element:
    under = words.under_title(leaf, section)
    said = " ".join((leaf.title, leaf.heading.composer, leaf.first_line))
    incipit = address(leaf.place).removesuffix(START) + INCIPIT
    return element(
        "li",
        {"data-words": said},
        element("a", {"href": address(leaf.place)}, leaf.title),
        element("p", {"class": "faint"}, under) if under else None,
        element("img", {"src": incipit, "alt": f"The first bars of {leaf.title}"}) if leaf.incipit else None,
    )


def _lost(lost: Missing) -> Element:
    return element(
        "li", {"data-words": lost.title}, lost.title, element("p", {"class": "faint"}, f"Missing: {lost.why}")
    )


def _imprint(volume: Volume) -> Iterator[Element]:
    licence = volume.heading.licence
    if not (volume.book.imprint or licence):
        return
    yield element("h2", None, "Imprint")
    for line in volume.book.imprint:
        yield element("p", None, line)
    if licence:
        said = element("a", {"href": licence.address}, licence.text) if licence.address else licence.text
        yield element("p", None, "Licence of the edition: ", said)


def _instruments(volume: Volume) -> Iterator[Element]:
    for one in words.scale_tables(volume.leaves):
        yield element("h2", None, one.name)
        if one.stopped:
            yield element("p", None, f"Stopped courses, from the first: {one.stopped}")
        changes = any(row.changes for row in one.rows)
        rows: list[Sequence[Child]] = [
            (
                element("a", {"href": address(row.leaf.place)}, row.leaf.title),
                *(words.cell_said(cell) for cell in row.cells),
                row.a4,
                *([row.changes] if changes else []),
            )
            for row in one.rows
        ]
        columns = ("Piece", *map(str, one.numbers), "A4 (Hz)", *(["Retuned on the way"] if changes else []))
        yield table(columns, rows, f"Tunings: {one.name}")
    yield element("p", {"class": "faint"}, words.QUESTION_KEY)


def _index(volume: Volume) -> Element:
    rows = []
    for entry in index_of(volume.leaves):
        link = element("a", {"href": address(entry.leaf.place)}, entry.text)
        rows.append(element("li", None, element("em", None, link) if entry.sung else link))
    return element("ul", None, *rows)


def _report(volume: Volume) -> Iterator[Element]:
    if words.initials_said(volume):
        yield element("p", None, words.initials_said(volume))
    if words.values_said(volume):
        yield element("p", None, words.values_said(volume))
    for number, leaf in enumerate(volume.leaves, start=1):
        yield element("h2", {"id": f"piece-{number}"}, element("a", {"href": address(leaf.place)}, leaf.title))
        for witness in leaf.heading.witnesses:
            yield element("p", None, words.source_said(witness))
        yield element("p", None, words.decided(leaf, volume))
        yield from _readings(leaf)
        for sentence in words.octaves_said(leaf.apparatus):
            yield element("p", {"class": "faint"}, sentence)


def _readings(leaf: Leaf) -> Iterator[Element]:
    rows: Sequence[Sequence[str]] = [words.row_said(leaf, entry) for entry in words.readings(leaf.apparatus)]
    if rows:
        yield table(words.COLUMNS, rows, f"Readings: {leaf.title}")
