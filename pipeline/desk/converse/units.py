"""Columns in characters, as everywhere in the project, and positions as an editor counts them.

LSP 3.17, "Position": lines and offsets count from 0; offsets are code units of UTF-16 unless both sides agree on UTF-8
or UTF-32. "Text documents": a line ends with LF, CR LF or CR, as in ``SourceText``.
"""

from __future__ import annotations

from enum import Enum

from pipeline.model.text import SourceText

_MARK = "\ufeff"


class Units(Enum):
    """What an editor counts; the value is the protocol's name of it."""

    UTF8 = "utf-8"
    UTF16 = "utf-16"
    UTF32 = "utf-32"

    def of(self, text: str) -> int:
        """How many units a text takes. Half of a surrogate pair, should one stand alone, counts as written."""
        if self is Units.UTF32 or text.isascii():
            return len(text)
        if self is Units.UTF16:
            return len(text) + sum(character > "\uffff" for character in text)
        return len(text.encode("utf-8", "surrogatepass"))


class Paper:
    """A text as an editor holds it: its lines, and positions in them."""

    __slots__ = ("_lines", "_mark", "text")

    def __init__(self, text: str) -> None:
        """A byte order mark at the beginning takes a place in the editor, and none in ``SourceText``."""
        self.text = text
        self._mark = int(text.startswith(_MARK))
        self._lines = SourceText.of("", text).lines

    @property
    def count(self) -> int:
        """The number of lines."""
        return len(self._lines)

    def line(self, number: int) -> str:
        """Line ``number``, from 1, as ``SourceText`` has it; empty past the end."""
        whole = self._whole(number)
        return whole[1:] if number == 1 and self._mark else whole

    def position(self, line: int, column: int, units: Units) -> tuple[int, int]:
        """A line and column, both from 1, as a line and an offset from 0; beyond the end of its line: its end."""
        before = self._whole(line)[: column - 1 + (self._mark if line == 1 else 0)]
        return line - 1, units.of(before)

    def place(self, line: int, offset: int, units: Units) -> tuple[int, int]:
        """The way back. An offset within a character means its beginning."""
        text = self._whole(line + 1)
        mark = self._mark if line == 0 else 0
        if units is Units.UTF32 or text.isascii():
            return line + 1, max(1, min(offset, len(text)) + 1 - mark)
        passed = 0
        for column, character in enumerate(text):
            passed += units.of(character)
            if passed > offset:
                return line + 1, max(1, column + 1 - mark)
        return line + 1, max(1, len(text) + 1 - mark)

    def _whole(self, number: int) -> str:
        return self._lines[number - 1] if 0 < number <= len(self._lines) else ""
