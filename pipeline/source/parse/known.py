"""Bars that need not be read again while a text is typed: most lines are the same at every key press."""

from __future__ import annotations

from pipeline.model.signs import Signs
from pipeline.model.tablature import Bar
from pipeline.source.parse.bars import read_bar
from pipeline.source.parse.lines import Line
from pipeline.source.parse.reader import Reader


class KnownBars:
    """The bars of one text as it was read last, by their lines. One without a fault is what its line says, and nothing
    else; of any other there is something to report, so it is read anew. Holds no more than the text does."""

    __slots__ = ("_before", "_now", "_of")

    def __init__(self) -> None:
        self._of: tuple[str, Signs] | None = None
        self._before: dict[Line, Bar] = {}
        self._now: dict[Line, Bar] = {}

    def begin(self, reader: Reader) -> None:
        """The text is read once more."""
        known = self._of == (reader.file, reader.signs)
        self._of = (reader.file, reader.signs)
        self._before, self._now = self._now if known else {}, {}

    def bar(self, reader: Reader, line: Line) -> Bar:
        """The bar that a line is, as ``read_bar`` reads it."""
        found = self._before.get(line)
        if found is None:
            said = reader.noted
            found = read_bar(reader, line)
            if reader.noted != said:
                return found
        self._now[line] = found
        return found
