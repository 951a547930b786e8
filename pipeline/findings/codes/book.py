"""Findings of a folder that is a book: its heading, its texts, its parts."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

_LINE = """\
longneck 1
title A piece
imprint Set for the press
instrument theorbo in A
metre C

| 1=7,4:0,3:0 |||
"""

BOOK_LINE = Code(
    "book-line",
    Severity.ERROR,
    "a line of a book where no book is",
    "A folder is a book when its heading.intav has a line “book” with the title of the volume. The lines “subtitle”, "
    "“part”, “introduction”, “method” and “imprint” stand beside it and speak of the volume as a whole; in a piece, or "
    "in a folder that is no book, they would print nowhere. “edition” and “licence” may stand in a piece too.",
    _LINE,
    _LINE.replace("imprint Set for the press\n", ""),
)
BOOK_FILE = Code(
    "book-file",
    Severity.ERROR,
    "a text of the book that cannot be read",
    "The heading of a book names its introduction and its editorial method: files of text in Markdown, whose path "
    "counts from the folder of the heading and stays inside the collection. This one is not there, may not be read, "
    "or is not UTF-8. The volume is made without it.",
    "",
    "",
)
BOOK_TEXT = Code(
    "book-text",
    Severity.WARNING,
    "something in a text of the book that is not printed",
    "Introduction and method are printed as words: headings, paragraphs, lists, quotations, italic and bold, links "
    "with a whole address (https://…). Images, tables, code, HTML and other links are not: what stands in them is "
    "printed as plain words where it is words, and left out where it is not.",
    "",
    "",
)
BOOK_PART = Code(
    "book-part",
    Severity.WARNING,
    "a part of the book without pieces",
    "“part songs = Songs to the theorbo” puts the pieces of the folder songs under a title, in the order of these "
    "lines. The folder that this line names holds no piece; perhaps its name is typed otherwise.",
    "",
    "",
)
