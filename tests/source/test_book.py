"""Heading lines of a book, and those of what is published. Source: the grammar in ``schemas/encoding.ebnf``."""

from __future__ import annotations

import pytest

from pipeline.model.book import Canvas, Issue, Licence
from pipeline.model.diagnostics import Outcome
from pipeline.model.heading import Heading
from pipeline.model.text import SourceText
from pipeline.source.declare import declare
from pipeline.source.parse import parse

FOLDER = """longneck 1
book Il libro
subtitle Pieces
part theorbo = For the theorbo
part songs/late = Late songs
introduction front/introduction.md
method front/method.md
imprint A press
imprint A town
edition 1.0, 2026-02-28
licence CC BY 4.0, https://example.org/by/4.0/
source A = Trial book, f. 4r, shelfmark Mus. 7, 2nd shelf, date 1604
canvas 4r = https://example.org/canvas/4r
"""


def declared(piece: str = "", folder: str = "") -> Outcome[Heading]:
    heads = (SourceText.of("heading.intav", folder),) if folder else ()
    text = SourceText.of("x.intav", f"longneck 1\n{piece}instrument theorbo in A\n")
    tablature = parse(text, heads)
    made = declare(tablature.value)
    return Outcome(made.value, (*tablature.diagnostics, *made.diagnostics))


def said(outcome: Outcome[Heading]) -> list[tuple[str, int, int, str]]:
    return [(one.code.slug, one.span.line, one.span.start, one.message) for one in outcome.diagnostics]


def test_a_book_is_read() -> None:
    outcome = declared(folder=FOLDER)
    heading, book = outcome.value, outcome.value.book
    assert not outcome.diagnostics and book is not None
    assert (book.title, book.subtitle, book.imprint) == ("Il libro", "Pieces", ("A press", "A town"))
    assert [(part.folder, part.title) for part in book.parts] == [
        ("theorbo", "For the theorbo"),
        ("songs/late", "Late songs"),
    ]
    assert book.introduction and book.introduction.file == "front/introduction.md"
    assert book.method and book.method.file == "front/method.md"
    assert heading.issue == Issue("1.0", "2026-02-28")
    assert heading.licence == Licence("CC BY 4.0", "https://example.org/by/4.0/")
    assert heading.canvases == (Canvas("4r", "https://example.org/canvas/4r"),)
    (described,) = (one.described for one in heading.witnesses)
    assert described.text == "Trial book, f. 4r"
    assert described.parts == (("Shelfmark", "Mus. 7, 2nd shelf"), ("Date", "1604"))


def test_a_piece_has_an_edition_and_a_licence_of_its_own() -> None:
    outcome = declared("edition 2.1.3, 2027-01-01\nlicence All rights reserved\n", FOLDER)
    assert not outcome.diagnostics
    assert (outcome.value.issue, outcome.value.licence) == (
        Issue("2.1.3", "2027-01-01"),
        Licence("All rights reserved"),
    )


@pytest.mark.parametrize(
    ("line", "column", "expected"),
    [
        ("edition first, 2026-11-30", 9, "Expected the version of the text and its day, not “first, 2026-11-30”."),
        ("edition 1.0, 2026-02-29", 9, "Expected the version of the text and its day, not “1.0, 2026-02-29”."),
        ("edition 1.0", 9, "Expected the version of the text and its day, not “1.0”."),
        ("licence CC BY, 4.0", 9, "Expected a licence, and the address of its text, not “CC BY, 4.0”."),
        ("canvas 4r = images/4r.jpg", 13, "Expected the address of a IIIF canvas, not “images/4r.jpg”."),
    ],
)
def test_a_value_that_cannot_be_read_is_told_at_its_place(line: str, column: int, expected: str) -> None:
    assert said(declared(f"{line}\n")) == [("heading-value", 2, column, expected)]


def test_a_text_of_the_book_is_markdown() -> None:
    found = said(declared(folder="longneck 1\nbook X\nintroduction front.docx\n"))
    assert found == [("heading-value", 3, 14, "Expected a text in Markdown (.md), not “front.docx”.")]


@pytest.mark.parametrize("key", ["book X", "subtitle X", "part x = X", "introduction x.md", "imprint X"])
def test_a_piece_is_no_book(key: str) -> None:
    ((slug, line, start, message),) = said(declared(f"{key}\n", FOLDER))
    assert (slug, line, start) == ("book-line", 2, 1)
    assert message.endswith("speaks of a book: it stands in the heading.intav of a folder, not in a piece.")


def test_a_folder_needs_a_title_to_be_a_book() -> None:
    found = said(declared(folder="longneck 1\nimprint A press\n"))
    assert found == [("book-line", 2, 1, "“imprint” speaks of a book, but no line says that this folder is one.")]
