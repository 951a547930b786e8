"""The sheet: A4, its margins, the size of staves and type. All lengths in page units unless they say millimetres.

A page unit is a tenth of the engraver's drawing unit: a staff space is 180 of them.
"""

from __future__ import annotations

#: Height of a five-line staff, in millimetres and in page units.
STAFF_MM = 6.2
#: Half a staff space: what a document calls its unit.
UNIT_MM = STAFF_MM / 8
STAFF = 720
PER_MM = STAFF / STAFF_MM

WIDTH_MM, HEIGHT_MM = 210, 297
WIDTH, HEIGHT = round(WIDTH_MM * PER_MM), round(HEIGHT_MM * PER_MM)

LEFT, RIGHT = round(17.5 * PER_MM), round(15 * PER_MM)
TOP, BOTTOM = round(12.5 * PER_MM), round(12.5 * PER_MM)
#: Width of the music and of everything that is set above and below it.
MEASURE = WIDTH - LEFT - RIGHT

PER_POINT = PER_MM * 25.4 / 72


def points(size: float) -> int:
    """A type size in page units."""
    return round(size * PER_POINT)


def millimetres(length: float) -> int:
    """A length in page units."""
    return round(length * PER_MM)
