"""Findings of printed pages."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

CHARACTER_NOT_IN_PDF = Code(
    "character-not-in-pdf",
    Severity.WARNING,
    "a character that the PDF cannot print",
    "The PDF carries its own faces, so that it looks the same everywhere. They hold the Latin letters with the "
    "accents of European languages, Greek, Cyrillic, and the signs of music. A character that none of them has is "
    "printed as the sign for what is missing. The pages as SVG and in the browser use the faces of the machine, and "
    "may show it.",
    "",
    "",
)
