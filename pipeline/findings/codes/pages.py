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
