"""Path data of SVG: letters and numbers to segments in absolute places."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

#: ``M`` and ``L`` with a point, ``C`` with two handles and a point, ``Z`` with nothing.
Segment = tuple[str, tuple[float, ...]]

_TOKEN = re.compile(r"([A-Za-z])|(-?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)")
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "Z": 0}


def segments(data: str) -> list[Segment]:
    """Every command as ``M``, ``L``, ``C`` or ``Z``: relative ones made absolute, quadratic curves cubic.

    Raises ValueError for a command that this writer does not know (arcs), or numbers that are missing.
    """
    pen = _Pen()
    for command, numbers in _commands(data):
        pen.take(command, numbers)
    return pen.made


def _commands(data: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with its numbers; a letter holds for as many as follow."""
    letter = ""
    numbers: list[float] = []
    for found in _TOKEN.finditer(data):
        if found[1]:
            if numbers:
                raise ValueError(f"numbers missing after {letter} in a path")
            letter = found[1]
            if letter.upper() not in _TAKES:
                raise ValueError(f"unknown command {letter} in a path")
            if letter in "zZ":
                yield letter, []
            continue
        numbers.append(float(found[2]))
        if len(numbers) == _TAKES.get(letter.upper(), 0):
            yield letter, numbers
            numbers = []
            letter = {"M": "L", "m": "l"}.get(letter, letter)
    if numbers:
        raise ValueError(f"numbers missing after {letter} in a path")


class _Pen:
    """Where the pen is, and what it has drawn."""

    def __init__(self) -> None:
        self.made: list[Segment] = []
        self._x = self._y = 0.0
        self._start = (0.0, 0.0)
        #: The last handle, for the smooth commands, and of which kind of curve it is.
        self._handle = (0.0, 0.0)
        self._curve = ""

    def take(self, command: str, numbers: list[float]) -> None:
        kind = command.upper()
        if command.islower():
            numbers = self._absolute(kind, numbers)
        draw: Callable[[list[float]], None] = getattr(self, f"_{kind.lower()}")
        draw(numbers)
        self._curve = kind if kind in "CSQT" else ""

    def _absolute(self, kind: str, numbers: list[float]) -> list[float]:
        if kind == "H":
            return [numbers[0] + self._x]
        if kind == "V":
            return [numbers[0] + self._y]
        return [number + (self._y if place % 2 else self._x) for place, number in enumerate(numbers)]

    def _to(self, kind: str, *numbers: float) -> None:
        self.made.append((kind, numbers))
        self._x, self._y = numbers[-2:]

    def _m(self, numbers: list[float]) -> None:
        self._to("M", *numbers)
        self._start = (self._x, self._y)

    def _l(self, numbers: list[float]) -> None:
        self._to("L", *numbers)

    def _h(self, numbers: list[float]) -> None:
        self._to("L", numbers[0], self._y)

    def _v(self, numbers: list[float]) -> None:
        self._to("L", self._x, numbers[0])

    def _z(self, _: list[float]) -> None:
        self.made.append(("Z", ()))
        self._x, self._y = self._start

    def _c(self, numbers: list[float]) -> None:
        self._handle = (numbers[2], numbers[3])
        self._to("C", *numbers)

    def _s(self, numbers: list[float]) -> None:
        self._c([*self._mirrored("CS"), *numbers])

    def _q(self, numbers: list[float]) -> None:
        """A quadratic curve is the cubic one whose handles lie two thirds of the way to its own."""
        qx, qy, x, y = numbers
        first = (self._x + (qx - self._x) * 2 / 3, self._y + (qy - self._y) * 2 / 3)
        second = (x + (qx - x) * 2 / 3, y + (qy - y) * 2 / 3)
        self._to("C", *first, *second, x, y)
        self._handle = (qx, qy)

    def _t(self, numbers: list[float]) -> None:
        self._q([*self._mirrored("QT"), *numbers])

    def _mirrored(self, kinds: str) -> tuple[float, float]:
        """The last handle on the other side of the pen; the pen itself after anything but a like curve."""
        if not self._curve or self._curve not in kinds:
            return self._x, self._y
        return 2 * self._x - self._handle[0], 2 * self._y - self._handle[1]
