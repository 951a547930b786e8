"""The cover sheet as a page for a browser: links lead to the folders beside it."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.desk.cover.record import Cover, Person, Tuned
from pipeline.desk.cover.writers import words
from pipeline.desk.programme.writers import words as sheet
from pipeline.desk.programme.writers.page import STYLE, change_block, paragraphs, scale_table, wide
from pipeline.writers.html import Element, element, page

_STYLE = """
.facts { display: grid; grid-template-columns: max-content minmax(0, 1fr); gap: .2rem 1.5rem; margin: 1rem 0; }
.facts dt { color: var(--faint); }
.facts dd { margin: 0; font-size: 1.15rem; }
h1, .facts dd { overflow-wrap: anywhere; }
main h2 { font-size: 1.2rem; margin: 1.25rem 0 .25rem; }
@media print {
  html { font-size: 70%; }
  body { font-size: 1rem; }
  p, ul, .facts, .change { margin: .4rem 0; }
  main h2, footer h2 { margin: .8rem 0 .2rem; }
}
"""


def cover_page(cover: Cover) -> bytes:
    """The whole sheet as one HTML document in UTF-8."""
    body = element(
        "body",
        None,
        element("h1", None, words.head_of(cover)),
        *paragraphs([f"{words.TITLE} · {cover.composer}" if cover.composer else words.TITLE], "faint"),
        element(
            "main",
            None,
            _facts(cover),
            element("ul", None, *map(_person, cover.persons)),
            *_tuning(cover.tuned),
            *_decided(cover),
        ),
        *_cautions(cover.tuned),
    )
    return page(words.head_of(cover), body, style=STYLE + _STYLE)


def _facts(cover: Cover) -> Element:
    rows = element("dl", {"class": "facts"})
    for name, what in cover.facts:
        rows.append(element("dt", None, name))
        rows.append(element("dd", None, what))
    return rows


def _person(person: Person) -> Element:
    made = element("li", None, f"{person.name}: ")
    for place, (path, what) in enumerate(person.files):
        link = element("a", {"href": path}, what)
        link.tail = ", " if place + 1 < len(person.files) else None
        made.append(link)
    return made


def _tuning(tuned: Tuned) -> Iterator[Element]:
    piece = tuned.piece
    yield element("h2", None, words.TUNING)
    if piece.stopped:
        yield element("p", None, sheet.stopped(piece))
    if piece.diapasons:
        yield wide(scale_table(piece.diapasons, tuned.moves, "Diapasons"), "Table: Diapasons")
    yield change_block("h3", words.moving(tuned), tuned.moves, piece, "")
    for inside in piece.inside:
        yield change_block("h3", sheet.where(inside), inside.moves, piece, "")
    yield from paragraphs(words.known(tuned), "faint")


def _decided(cover: Cover) -> Iterator[Element]:
    if cover.decided:
        yield element("h2", None, words.DECIDED)
        yield element("ul", None, *(element("li", None, said) for said in cover.decided))


def _cautions(tuned: Tuned) -> Iterator[Element]:
    if words.turns_pegs(tuned):
        yield element(
            "footer",
            None,
            element("h2", None, words.CAUTIONS),
            element("ul", None, *(element("li", None, said) for said in sheet.CAUTIONS)),
            *paragraphs(sheet.limits(tuned.programme), "faint"),
        )
