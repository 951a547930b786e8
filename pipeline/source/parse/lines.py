"""From physical lines to logical ones: words with their places, comments, lines continued by ``+``."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from pipeline.model.text import Span

_WORD = re.compile(r"\S+")


class Word(NamedTuple):
    """What stands between white space: its text, line and column (from 1)."""

    text: str
    line: int
    start: int

    def span(self, file: str) -> Span:
        return Span(file, self.line, self.start, self.start + len(self.text))


@dataclass(frozen=True, slots=True)
class Line:
    """One logical line: its words, joined over ``+``; its comment with the ``;``; its physical lines.

    A comment line has no words. ``labelled`` says that a double quote stands in it somewhere, ``spaced`` that
    a blank line stands before it.
    """

    words: tuple[Word, ...]
    comment: str
    numbers: tuple[int, ...]
    labelled: bool = False
    spaced: bool = False

    @property
    def first(self) -> str:
        return self.words[0].text

    def span(self, file: str) -> Span:
        """The words on the first physical line."""
        first = self.words[0]
        last = first
        for word in reversed(self.words):
            if word.line == first.line:
                last = word
                break
        return Span(file, first.line, first.start, last.start + len(last.text))

    def rest_span(self, file: str, skipped: int = 1) -> Span:
        """The words behind the first ``skipped``, as far as they share a physical line; else the place
        behind the words skipped."""
        rest = self.words[skipped:]
        if not rest:
            before = self.words[len(self.words) - 1].span(file)
            return Span(file, before.line, before.end, before.end)
        last = next(word for word in reversed(rest) if word.line == rest[0].line)
        return rest[0].span(file).to(last.span(file))

    def rest_text(self, skipped: int = 1) -> str:
        """The words behind the first ``skipped``, one space between."""
        return " ".join(word.text for word in self.words[skipped:])


def logical_lines(typed: Iterable[str]) -> tuple[Line, ...]:
    """The logical lines of a text, typed in these physical lines from the first on.

    line = word {word} [comment] ; a line that begins with ``+`` continues the last line that is not a comment;
    blank lines vanish."""
    lines: list[Line] = []
    joined: list[Line] = []  # the last line and those that continue it, put together once
    open_line = 0
    spaced = False
    for number, text in enumerate(typed, start=1):
        words, comment = _words(text, number)
        if not words:
            if comment:
                lines.append(Line((), comment, (number,), spaced=spaced))
            spaced = not comment
            continue
        labelled = '"' in text
        line = Line(words, comment, (number,), labelled, spaced)
        if words[0].text == "+" and joined:
            joined.append(line)
        else:
            if len(joined) > 1:
                lines[open_line] = _joined(joined)
            open_line = len(lines)
            joined = [line]
            lines.append(line)
        spaced = False
    if len(joined) > 1:
        lines[open_line] = _joined(joined)
    return tuple(lines)


def continues(typed: Iterable[str]) -> bool:
    """Whether physical lines, none of them blank, go on with a line begun before them."""
    first = next((line for line in typed if line.lstrip()[0] != ";"), "")
    return first.split(maxsplit=1)[:1] == ["+"]


def _words(text: str, number: int) -> tuple[tuple[Word, ...], str]:
    """The words of one physical line, and its comment: all from the first word that begins with ``;``."""
    words: list[Word] = []
    for match in _WORD.finditer(text):
        if text[match.start()] == ";":
            return tuple(words), text[match.start() :].rstrip()
        words.append(Word(match.group(), number, match.start() + 1))
    return tuple(words), ""


def _joined(lines: list[Line]) -> Line:
    """A line and those that continue it, each without its ``+``."""
    first, *more = lines
    return Line(
        (*first.words, *(word for line in more for word in line.words[1:])),
        " ".join(line.comment for line in lines if line.comment),
        tuple(line.numbers[0] for line in lines),
        any(line.labelled for line in lines),
        first.spaced,
    )
