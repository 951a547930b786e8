"""The heading lines of a book, and those that say what is published: edition, licence, canvases."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Callable, Iterator, Mapping, Sequence

from pipeline.findings.codes.book import BOOK_LINE
from pipeline.model.book import Book, BookFile, BookPart, Canvas, Issue, Licence
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.tablature import HeadingLine
from pipeline.source.declare.fields import Field

#: Lines that only the heading of a folder can have; ``book`` itself comes first.
BOOK_KEYS = ("book", "subtitle", "part", "introduction", "method", "imprint")
#: The ending of a text of the book.
TEXT_ENDING = ".md"

_ADDRESS = r"https?://[^\s,\"'<>]+"
_ISSUE = re.compile(r"(?P<version>[1-9]\d*(?:\.\d+)*), ?(?P<date>(\d{4})-(\d\d)-(\d\d))")
_LICENCE = re.compile(rf"(?P<text>[^,]+)(?:, ?(?P<address>{_ADDRESS}))?")

Lines = Mapping[str, Sequence[HeadingLine]]
#: Told of a value that cannot be read: the value, what was expected, an example.
Wrong = Callable[[Field, str, str], None]


def misplaced(lines: Lines) -> Iterator[Diagnostic]:
    """Lines of a book that a piece has, and those of a folder that is none."""
    for key in BOOK_KEYS:
        for line in lines.get(key, ()):
            if not line.inherited:
                message = f"“{key}” speaks of a book: it stands in the heading.intav of a folder, not in a piece."
                yield Diagnostic(BOOK_LINE, line.span, message, "Move the line to the heading of the folder.")
            elif not lines.get("book"):
                message = f"“{key}” speaks of a book, but no line says that this folder is one."
                yield Diagnostic(BOOK_LINE, line.span, message, "Add its title: book Trial book")


def read_book(lines: Lines, expected: Wrong) -> Book | None:
    """The book that the headings of folders declare; None where they declare none."""
    titles = [line for line in lines.get("book", ()) if line.inherited]
    if not titles:
        return None
    file = titles[-1].span.file

    def own(key: str) -> list[HeadingLine]:
        """The lines that stand beside the title."""
        return [line for line in lines.get(key, ()) if line.span.file == file]

    subtitles = own("subtitle")
    return Book(
        titles[-1].value,
        titles[-1].span,
        subtitles[-1].value if subtitles else "",
        _text(own("introduction"), expected),
        _text(own("method"), expected),
        tuple(line.value for line in own("imprint")),
        tuple(BookPart(line.name, line.value, line.span) for line in own("part")),
    )


def _text(lines: Sequence[HeadingLine], expected: Wrong) -> BookFile | None:
    """(introduction | method) = path ;   of a text in Markdown"""
    if not lines:
        return None
    line = lines[-1]
    if line.value.lower().endswith(TEXT_ENDING):
        return BookFile(line.value, line.value_span)
    example = f"For example: {line.key} front/{line.key}.md"
    expected(Field(line.value, line.value_span), f"a text in Markdown ({TEXT_ENDING})", example)
    return None


def read_issue(field: Field | None, expected: Wrong) -> Issue | None:
    """edition = version "," date ;"""
    if field is None:
        return None
    match = _ISSUE.fullmatch(field.text)
    if match and _is_day(*map(int, match.groups()[2:])):
        return Issue(match["version"], match["date"])
    expected(field, "the version of the text and its day", "For example: edition 1.1, 2026-11-30")
    return None


def _is_day(year: int, month: int, day: int) -> bool:
    return year > 0 and 1 <= month <= 12 and 1 <= day <= monthrange(year, month)[1]


def read_licence(field: Field | None, expected: Wrong) -> Licence | None:
    """licence = text ["," address] ;"""
    if field is None:
        return None
    match = _LICENCE.fullmatch(field.text)
    if match:
        return Licence(match["text"].strip(), match["address"] or "")
    example = "For example: licence CC BY 4.0, https://creativecommons.org/licenses/by/4.0/"
    expected(field, "a licence, and the address of its text", example)
    return None


def read_canvases(lines: Sequence[HeadingLine], expected: Wrong) -> tuple[Canvas, ...]:
    """canvas = address ;"""
    made = []
    for line in lines:
        if re.fullmatch(_ADDRESS, line.value):
            made.append(Canvas(line.name, line.value))
        else:
            example = f"For example: canvas {line.name} = https://example.org/iiif/book/canvas/{line.name}"
            expected(Field(line.value, line.value_span), "the address of a IIIF canvas", example)
    return tuple(made)
