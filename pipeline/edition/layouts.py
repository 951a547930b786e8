"""Wishes of the editor for lines and pages that could not be followed."""

from __future__ import annotations

from collections.abc import Iterator, Set

from pipeline.findings.codes.pages import LAYOUT_NOT_FOLLOWED
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import DirectiveKind

_TOO_MUCH = "What is to stand together is too much for one line, or for one page."
_TOO_TIGHT = "Bars that a note or a beam joins are not parted."


def layouts_not_followed(piece: SoundingPiece, measures: Set[str]) -> Iterator[Diagnostic]:
    """One finding for each line ``layout …`` before one of the ``measures``, at which the pages were set otherwise.
    What can be told from the text alone is a check of the source."""
    for bar in piece.bars if measures else ():
        asked = [line for line in bar.directives if line.kind is DirectiveKind.LAYOUT]
        if asked and bar.index and f"m{bar.index + 1}" in measures:
            hint = _TOO_MUCH if asked[-1].text.startswith("same") else _TOO_TIGHT
            message = f"“layout {asked[-1].text}” could not be followed."
            yield Diagnostic(LAYOUT_NOT_FOLLOWED, asked[-1].span, message, hint, (), bar.label)
