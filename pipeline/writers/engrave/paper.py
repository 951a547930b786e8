"""The sheet, A4 or letter: its margins, the size of staves and type. Lengths in page units unless they say millimetres.

A page unit is a tenth of the engraver's drawing unit: a staff space is 180 of them.
"""

from __future__ import annotations

from dataclasses import dataclass

#: Height of a five-line staff, in millimetres and in page units.
STAFF_MM = 6.2
#: Half a staff space: what a document calls its unit.
UNIT_MM = STAFF_MM / 8
STAFF = 720
PER_MM = STAFF / STAFF_MM

TOP, BOTTOM = round(12.5 * PER_MM), round(12.5 * PER_MM)
#: Width of the music and of everything that is set above and below it: on any paper the same, so that a line holds
#: the same bars.
MEASURE = round(210 * PER_MM) - round(17.5 * PER_MM) - round(15 * PER_MM)


@dataclass(frozen=True, slots=True)
class Paper:
    """Width and height, and the margin on the left, in millimetres."""

    width_mm: float
    height_mm: float
    left_mm: float

    @property
    def width(self) -> int:
        return round(self.width_mm * PER_MM)

    @property
    def height(self) -> int:
        return round(self.height_mm * PER_MM)

    @property
    def left(self) -> int:
        return round(self.left_mm * PER_MM)

    @property
    def body(self) -> int:
        """The height that music, head and notes share."""
        return self.height - TOP - BOTTOM


#: Source: ISO 216; ANSI Y14.1 (8.5 by 11 inches).
A4 = Paper(210, 297, 17.5)
LETTER = Paper(215.9, 279.4, 20.5)

PER_POINT = PER_MM * 25.4 / 72


def points(size: float) -> int:
    """A type size in page units."""
    return round(size * PER_POINT)


def millimetres(length: float) -> int:
    """A length in page units."""
    return round(length * PER_MM)
