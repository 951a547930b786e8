"""What the reading of one file carries along: its text, its signs, what it declares, and what was found."""

from __future__ import annotations

from pipeline.diagnostics import Code, Diagnostic, Related
from pipeline.model.tablature import HeadingLine, Signs, UnreadLine
from pipeline.source import SourceText, Span
from pipeline.stages.parse.cursor import Fault
from pipeline.stages.parse.lines import Line, Word


class Reader:
    """The only thing in this package that changes: it gathers findings, in the order in which they turn up."""

    __slots__ = ("_names", "_told", "file", "found", "signs", "source")

    def __init__(self, source: SourceText) -> None:
        self.source = source
        self.file = source.name
        self.signs = Signs.ITALIAN
        self._names: frozenset[tuple[str, str]] = frozenset()
        self._told: set[tuple[str, str]] = set()
        self.found: list[Diagnostic] = []

    def declares(self, signs: Signs, lines: tuple[HeadingLine, ...]) -> None:
        """From here on the file reads with these signs, and knows the names that these lines declare."""
        self.signs = signs
        self._names = frozenset((line.key, line.name) for line in lines)

    def report(self, code: Code, span: Span, message: str, hint: str = "", related: tuple[Related, ...] = ()) -> None:
        self.found.append(Diagnostic(code, span, message, hint, related))

    def fault(self, word: Word, fault: Fault) -> None:
        """A fault inside a word, put in its place."""
        span = Span(self.file, word.line, word.start + fault.start, word.start + fault.end)
        self.report(fault.code, span, fault.message, fault.hint)

    def needs(self, declared: tuple[str, str], code: Code, span: Span, message: str, hint: str) -> None:
        """Report, once for each name, that no heading line ``key name = …`` has ``declared`` it."""
        if declared not in self._names and declared not in self._told:
            self._told.add(declared)
            self.report(code, span, message, hint)

    def unread(self, line: Line) -> tuple[UnreadLine, ...]:
        """The physical lines of a logical one, kept to the letter but for white space at their ends."""
        return tuple(
            UnreadLine(self.source.line(number).rstrip(), self.source.whole(number)) for number in line.numbers
        )
