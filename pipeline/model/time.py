"""Musical time in whole ticks, so that adding up is exact and cheap."""

from __future__ import annotations

from fractions import Fraction
from math import gcd

from pipeline.model.record import Record

#: Ticks are counted from the start of the piece; a length is a number of ticks.
Ticks = int

#: Ticks of a whole note: holds a 1/1024 and every division into 3, 5, 7, 9, 11, 13 and their products.
WHOLE: Ticks = 2**10 * 3**2 * 5 * 7 * 11 * 13

#: The largest number of notes in a group (triplet = 3) that ticks can hold exactly.
GROUPS = frozenset(n for n in range(2, 65) if WHOLE // 2**10 % (n // (n & -n)) == 0)


class Value(Record, frozen=True):
    """A printed rhythm value: ``unit`` 0 = breve, 1 = whole … 64; with ``dots``."""

    unit: int
    dots: int = 0

    @property
    def ticks(self) -> Ticks:
        """Its length, undivided by any group."""
        plain = 2 * WHOLE if self.unit == 0 else WHOLE // self.unit
        return 2 * plain - (plain >> self.dots)

    @property
    def name(self) -> str:
        """As typed: ``4.``."""
        return f"{self.unit}{'.' * self.dots}"


#: Signs of metre that still mean what they meant.
_MODERN_SIGNS = {("C", 4, 4): "common", ("c", 4, 4): "common", ("C|", 2, 2): "cut", ("¢", 2, 2): "cut"}


class Metre(Record, frozen=True):
    """A measure signature. ``sign`` is what the source prints (``C``, ``3``, ``3/2``); the numbers are
    the modern reading in the edition's values. ``beats`` = 0 means unmeasured."""

    sign: str
    beats: int
    unit: int

    @property
    def modern_sign(self) -> str:
        """``common`` or ``cut`` where C and cut C still mean what they mean today; else empty."""
        return _MODERN_SIGNS.get((self.sign.strip(), self.beats, self.unit), "")

    @property
    def ticks(self) -> Ticks:
        """Length of a full bar; 0 if unmeasured."""
        return self.beats * WHOLE // self.unit if self.beats else 0


def ticks_to_fraction(ticks: Ticks) -> Fraction:
    """A length as a fraction of a whole note."""
    return Fraction(ticks, WHOLE)


def show(ticks: Ticks) -> str:
    """A length for a message: ``3/4`` (of a whole note)."""
    divisor = gcd(ticks, WHOLE) or 1
    top, bottom = ticks // divisor, WHOLE // divisor
    return str(top) if bottom == 1 else f"{top}/{bottom}"
