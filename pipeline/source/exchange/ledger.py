"""What is found while a file is taken over: one finding for each kind of loss, with every place where it occurs."""

from __future__ import annotations

from lxml import etree

from pipeline.findings.codes.exchange import ASSUMED, NOT_TAKEN_OVER
from pipeline.model.diagnostics import Code, Diagnostic
from pipeline.model.text import Span

#: The line that is said of what has none.
_FIRST = 1
#: Places named in one finding; the rest are counted.
MOST_PLACES = 40


def line_of(element: etree._Element) -> int:
    """The line of a start tag."""
    line: object = element.sourceline
    return line if isinstance(line, int) else _FIRST


class Ledger:
    """Findings on one file in the order in which they come up. A place is a line of the file and words for it."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._lost: dict[str, list[tuple[int, str]]] = {}
        self._found: list[Diagnostic] = []

    def at(self, line: int) -> Span:
        return Span(self._name, max(1, line), 1, 1)

    def lose(self, what: str, line: int, place: str) -> None:
        """``what``, in the plural and with its reason, is not taken over at a place."""
        self._lost.setdefault(what, []).append((line, place))

    def assume(self, message: str, line: int = 1) -> None:
        """Something that the text had to say and the file leaves open."""
        if all(one.message != message for one in self._found):
            self._found.append(Diagnostic(ASSUMED, self.at(line), message))

    def add(self, code: Code, line: int, message: str, hint: str = "") -> None:
        self._found.append(Diagnostic(code, self.at(line), message, hint))

    def extend(self, found: tuple[Diagnostic, ...]) -> None:
        self._found.extend(found)

    def findings(self) -> tuple[Diagnostic, ...]:
        """All of them: losses by kind, then the rest."""
        return (*(self._loss(what, places) for what, places in self._lost.items()), *self._found)

    def _loss(self, what: str, places: list[tuple[int, str]]) -> Diagnostic:
        named = list(dict.fromkeys(place for _, place in places))
        more = len(named) - MOST_PLACES
        listed = ", ".join(named[:MOST_PLACES]) + (f" and {more} more" if more > 0 else "")
        times = f" ({len(places)} times)" if len(places) > len(named) else ""
        return Diagnostic(NOT_TAKEN_OVER, self.at(places[0][0]), f"Not taken over: {what}: {listed}{times}.")
