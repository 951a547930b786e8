"""The value of a heading line with its place, and the finding on a part of it."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.model.diagnostics import Code, Diagnostic
from pipeline.model.text import Span


@dataclass(frozen=True, slots=True)
class Field:
    """Text that the heading (or a directive) gives, and the place it stands in.

    Places inside it are exact if the text stands on one line with single spaces; else the whole is meant.
    """

    text: str
    span: Span

    def part(self, start: int, end: int) -> Field:
        """Characters ``start`` to ``end`` (from 0), without white space at their ends."""
        text = self.text[start:end]
        start += len(text) - len(text.lstrip())
        text = text.strip()
        exact = self.span.end - self.span.start == len(self.text)
        return Field(text, self.span.part(start, start + len(text)) if exact else self.span)

    def split(self, separator: str) -> tuple[Field, ...]:
        """The parts between separators."""
        parts = []
        start = 0
        for piece in self.text.split(separator):
            parts.append(self.part(start, start + len(piece)))
            start += len(piece) + len(separator)
        return tuple(parts)

    def wrong(self, code: Code, message: str, hint: str = "") -> Diagnostic:
        return Diagnostic(code, self.span, message, hint)
