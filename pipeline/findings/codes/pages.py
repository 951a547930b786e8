"""Findings of printed pages."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

CHARACTER_WITHOUT_FACE = Code(
    "character-without-face",
    Severity.WARNING,
    "a character that no face of the program has",
    "The pages carry their own faces, so that they look the same everywhere. The faces hold the Latin letters with the "
    "accents of European languages, Greek, Cyrillic, and the signs of music. A character that none of them has is "
    "printed as the sign for what is missing; only a browser shows it, if a face of the machine has it.",
    "",
    "",
)

LAYOUT_NOT_FOLLOWED = Code(
    "layout-not-followed",
    Severity.WARNING,
    "a line or page that could not be set as asked",
    "A layout line says where the edition begins a line or a page, or where it begins none. What is to stand together "
    "may be too much for one line, or one page; then the pages are set as they can be. A layout line before the first "
    "bar, behind the last, or before another one says nothing.",
    "| 1=1:0\n| 1:2 |||\nlayout new page",
    "| 1=1:0\nlayout new page\n| 1:2 |||",
)
