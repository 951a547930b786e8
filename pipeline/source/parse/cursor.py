"""Reading one word from left to right, and the fault that says where it stopped making sense."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NoReturn

from pipeline.findings.codes.limits import TOO_MUCH
from pipeline.findings.codes.syntax import SYNTAX
from pipeline.model.diagnostics import Code
from pipeline.model.limits import LONGEST_SIGN

#: Signs that editors bring from other habits, and what to type instead.
_FOREIGN = {
    "(": "Round brackets are not used: a slur is _ before its second note.",
    ")": "Round brackets are not used: a slur is _ before its second note.",
    "[": "Square brackets are not used: an added sign is 3:2!",
    "]": "Square brackets are not used: an added sign is 3:2!",
    "{": "Curly brackets are not used: a note value stands before =, as in 4=3:2",
    "}": "Curly brackets are not used: a note value stands before =, as in 4=3:2",
    "+": "Stops struck together are joined by a comma: 4:2,3:2",
    "/": "A slash stands only in a head (8/3=) or before a French letter (/a).",
    "#": "No pitches are typed in the tablature, only what the source prints.",
    "~": "An ornament is a mark: 3:2'T",
    "^": "A mark follows a tick: 3:2'T",
    "’": "The tick is the plain apostrophe '",
    "‘": "The tick is the plain apostrophe '",
    "“": 'A label is a plain double quote and a small letter: "a',
    "”": 'A label is a plain double quote and a small letter: "a',
}


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a word: characters ``start`` to ``end`` of it (from 0)."""

    code: Code
    start: int
    end: int
    message: str
    hint: str = ""


class FaultError(Exception):
    """Raised inside this package only, and always caught by it: the reading of one word stops here."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.message)
        self.fault = fault


class Cursor:
    """A place in a part of a word. ``base`` is where the part begins in the word."""

    __slots__ = ("base", "pos", "text")

    def __init__(self, text: str, base: int = 0) -> None:
        self.text = text
        self.base = base
        self.pos = 0

    def take(self, pattern: re.Pattern[str]) -> str | None:
        """The text that ``pattern`` matches here, stepping over it; None if it does not match."""
        match = pattern.match(self.text, self.pos)
        if match is None:
            return None
        self.pos = match.end()
        return match.group()

    def char(self, chars: str) -> str:
        """The next character if it is one of ``chars``, stepping over it; else nothing."""
        if self.pos < len(self.text) and self.text[self.pos] in chars:
            self.pos += 1
            return self.text[self.pos - 1]
        return ""

    def sees(self, pattern: re.Pattern[str]) -> bool:
        return pattern.match(self.text, self.pos) is not None

    @property
    def done(self) -> bool:
        return self.pos >= len(self.text)

    def expected(
        self, what: str, hint: str = "", *, code: Code = SYNTAX, start: int | None = None, end: int | None = None
    ) -> NoReturn:
        """Stop: ``Expected what after “…”``; the rest of the part is underlined unless said otherwise."""
        first = self.pos if start is None else start
        last = len(self.text) if end is None else end
        read, rest = self.text[:first], self.text[first:last]
        found = f", not “{rest}”" if rest else ""
        after = f" after “{read}”" if read else ""
        self.stop(f"Expected {what}{after}{found}.", hint or foreign(rest), code=code, start=first, end=last)

    def stop(
        self, message: str, hint: str = "", *, code: Code = SYNTAX, start: int = 0, end: int | None = None
    ) -> NoReturn:
        """Stop with a message of its own, underlining ``start`` to ``end`` of the part."""
        last = len(self.text) if end is None else end
        raise FaultError(Fault(code, self.base + start, self.base + last, message, hint))


def check_length(text: str, base: int = 0) -> None:
    """Stop at a sign with so many marks or labels that no page could hold it."""
    if len(text) > LONGEST_SIGN:
        message = f"More than {LONGEST_SIGN} characters in one sign; it is not read."
        raise FaultError(Fault(TOO_MUCH, base, base + len(text), message, "White space separates events."))


def foreign(text: str) -> str:
    """A hint on the first sign of ``text`` that belongs to another habit, or nothing."""
    return next((_FOREIGN[char] for char in text if char in _FOREIGN), "")
