"""Findings of characters that no face of the pages has, where they are typed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from pipeline.findings.codes.pages import CHARACTER_WITHOUT_FACE
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.text import SourceText, Span

#: Behind this nothing is printed.
_COMMENT = re.compile(r"(?:^|(?<=\s));.*")


def lost_characters(missing: Iterable[str], texts: Sequence[SourceText]) -> Iterator[Diagnostic]:
    """One finding for each line on which characters stand for the first time that no face has. ``texts``: the piece
    first. What is typed nowhere is told at the piece's first line."""
    by_place: dict[Span, list[str]] = {}
    for character in sorted(set(missing)):
        by_place.setdefault(_first(character, texts), []).append(character)
    by_line: dict[tuple[str, int], list[tuple[Span, str]]] = {}
    for place, characters in by_place.items():
        by_line.setdefault((place.file, place.line), []).extend((place, each) for each in characters)
    for found in by_line.values():
        said = ", ".join(f"“{each}” (U+{ord(each):04X})" for _, each in sorted(found))
        yield Diagnostic(
            CHARACTER_WITHOUT_FACE,
            min(place for place, _ in found),
            f"No face of the pages has {said}; it is printed as U+FFFD."
            if len(found) == 1
            else f"No face of the pages has {said}; they are printed as U+FFFD.",
            "type it in Latin letters, or print the SVG pages from a browser",
        )


def _first(character: str, texts: Sequence[SourceText]) -> Span:
    """Where a character stands first, comments left aside."""
    for text in texts:
        for number, line in enumerate(text.lines, start=1):
            at = _COMMENT.sub("", line).find(character)
            if at >= 0:
                return Span(text.name, number, at + 1, at + 1 + len(character))
    return texts[0].whole(1)
