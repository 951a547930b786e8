"""Texts and places in them: the only arithmetic of lines and columns in the project."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A stretch of one line.

    ``file`` is the name shown to the reader; ``line`` and ``start`` count from 1, in characters;
    ``end`` is the column behind the last character (``end == start`` marks a place between two).
    """

    file: str
    line: int
    start: int
    end: int

    def to(self, other: Span) -> Span:
        """From here to the end of ``other``, which must lie on the same line, later."""
        return Span(self.file, self.line, self.start, other.end)

    def part(self, start: int, end: int) -> Span:
        """The characters ``start`` to ``end`` (from 0) of this span."""
        return Span(self.file, self.line, self.start + start, self.start + end)


@dataclass(frozen=True, slots=True)
class SourceText:
    """One file as read: its shown name and its text, split into lines once."""

    name: str
    lines: tuple[str, ...]

    @classmethod
    def of(cls, name: str, text: str) -> SourceText:
        """Split at LF, CR LF or CR only, so that no rarer separator can shift a line number."""
        unified = text.replace("\r\n", "\n").replace("\r", "\n")
        lines = unified.split("\n")
        if lines[-1] == "":
            lines.pop()
        return cls(name, tuple(lines))

    @property
    def text(self) -> str:
        """The whole text, each line closed by a line feed."""
        return "".join(line + "\n" for line in self.lines)

    def line(self, number: int) -> str:
        """Line ``number`` (from 1), empty past the end."""
        return self.lines[number - 1] if 0 < number <= len(self.lines) else ""

    def whole(self, number: int) -> Span:
        """All of line ``number``."""
        return Span(self.name, number, 1, len(self.line(number)) + 1)

    def at(self, span: Span) -> str:
        """The characters that a span covers."""
        return self.line(span.line)[span.start - 1 : span.end - 1]
