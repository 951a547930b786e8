"""A pen with an elliptical nib: turns the centre line of a stroke into its outline.

A glyph is drawn as strokes, each an SVG path of ``M``, ``L``, ``C`` and ``Z`` with absolute coordinates in font
units (1000 to the em, y upwards). A corner between two pieces ends one stroke and begins the next, so that
every outline is smooth and has round ends; outlines overlap and are all wound the same way.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin

Point = tuple[float, float]
Cubic = tuple[Point, Point, Point, Point]

_TOKEN = re.compile(r"[MLCZ]|-?\d+(?:\.\d+)?")
#: Pieces that each cubic is cut into; enough that the outline errs by less than half a unit.
_PIECES = 3
#: Turn, in radians, from which a joint counts as a corner.
_CORNER = 0.35


@dataclass(frozen=True, slots=True)
class Nib:
    """``broad`` × ``thin`` font units, its broad axis turned ``angle`` radians against the horizontal."""

    broad: float
    thin: float
    angle: float

    def to_circle(self, point: Point) -> Point:
        """Into the space in which the nib is a circle of radius 1."""
        c, s = cos(self.angle), sin(self.angle)
        x, y = point
        return (x * c + y * s) * 2 / self.broad, (y * c - x * s) * 2 / self.thin

    def from_circle(self, point: Point) -> Point:
        c, s = cos(self.angle), sin(self.angle)
        u, v = point[0] * self.broad / 2, point[1] * self.thin / 2
        return u * c - v * s, u * s + v * c


def parse(path: str) -> list[list[Cubic]]:
    """The smooth runs of a centre line, straight pieces as cubics too."""
    runs: list[list[Cubic]] = []
    tokens = _TOKEN.findall(path)
    here = start = (0.0, 0.0)
    command, at = "", 0

    def take() -> Point:
        nonlocal at
        at += 2
        return float(tokens[at - 2]), float(tokens[at - 1])

    while at < len(tokens):
        if tokens[at].isalpha():
            command, at = tokens[at], at + 1
        if command == "M":
            here = start = take()
            runs.append([])
            command = "L"
            continue
        piece = _straight(here, start) if command == "Z" else _piece(command, here, take)
        here = piece[3]
        if runs[-1] and _turn(runs[-1][-1], piece) > _CORNER:
            runs.append([])
        runs[-1].append(piece)
    return [run for run in runs if run]


def _piece(command: str, here: Point, take: object) -> Cubic:
    assert callable(take)
    if command == "C":
        return here, take(), take(), take()
    return _straight(here, take())


def _straight(a: Point, b: Point) -> Cubic:
    third = (b[0] - a[0]) / 3, (b[1] - a[1]) / 3
    return a, (a[0] + third[0], a[1] + third[1]), (b[0] - third[0], b[1] - third[1]), b


def _direction(piece: Cubic, at_end: bool) -> float:
    points = piece[::-1] if at_end else piece
    for other in points[1:]:
        if hypot(other[0] - points[0][0], other[1] - points[0][1]) > 1e-6:
            dx, dy = other[0] - points[0][0], other[1] - points[0][1]
            return atan2(-dy, -dx) if at_end else atan2(dy, dx)
    return 0.0


def _turn(before: Cubic, after: Cubic) -> float:
    turn = abs(_direction(before, True) - _direction(after, False)) % (2 * pi)
    return min(turn, 2 * pi - turn)


def outline(path: str, nib: Nib) -> list[list[Cubic]]:
    """Closed outlines, counter-clockwise, of everything that the nib covers along the path."""
    return [_run_outline(run, nib) for run in parse(path)]


def _run_outline(run: list[Cubic], nib: Nib) -> list[Cubic]:
    circle = [tuple(nib.to_circle(point) for point in piece) for piece in run]
    right: list[Cubic] = []
    left: list[Cubic] = []
    for piece in circle:
        for step in range(_PIECES):
            part = _part(piece, step / _PIECES, (step + 1) / _PIECES)  # type: ignore[arg-type]
            right.append(_offset(part, -1.0))
            left.append(_offset(part, 1.0))
    back = [(d, c, b, a) for a, b, c, d in reversed(left)]
    whole = [*right, *_cap(right[-1][3], back[0][0]), *back, *_cap(back[-1][3], right[0][0])]
    return [tuple(nib.from_circle(point) for point in piece) for piece in whole]  # type: ignore[misc]


def _part(piece: Cubic, begin: float, end: float) -> Cubic:
    """The piece between two parameters."""

    def blossom(r: float, s: float, t: float) -> Point:
        x = y = 0.0
        weights = (
            (1 - r) * (1 - s) * (1 - t),
            r * (1 - s) * (1 - t) + (1 - r) * s * (1 - t) + (1 - r) * (1 - s) * t,
            r * s * (1 - t) + r * (1 - s) * t + (1 - r) * s * t,
            r * s * t,
        )
        for weight, point in zip(weights, piece, strict=True):
            x, y = x + weight * point[0], y + weight * point[1]
        return x, y

    return (
        blossom(begin, begin, begin),
        blossom(begin, begin, end),
        blossom(begin, end, end),
        blossom(end, end, end),
    )


def _offset(piece: Cubic, side: float) -> Cubic:
    """The piece moved sideways by the radius; handles scaled with the distance of its ends."""
    a, b, c, d = piece
    first, last = _direction(piece, False), _direction(piece, True)
    start = a[0] - side * sin(first), a[1] + side * cos(first)
    end = d[0] - side * sin(last), d[1] + side * cos(last)
    chord = hypot(d[0] - a[0], d[1] - a[1]) or 1.0
    scale = hypot(end[0] - start[0], end[1] - start[1]) / chord
    out = hypot(b[0] - a[0], b[1] - a[1]) * scale
    into = hypot(d[0] - c[0], d[1] - c[1]) * scale
    return (
        start,
        (start[0] + out * cos(first), start[1] + out * sin(first)),
        (end[0] - into * cos(last), end[1] - into * sin(last)),
        end,
    )


def _cap(begin: Point, end: Point) -> list[Cubic]:
    """A half circle of radius 1 from one side of the stroke to the other, counter-clockwise."""
    centre = (begin[0] + end[0]) / 2, (begin[1] + end[1]) / 2
    angle = atan2(begin[1] - centre[1], begin[0] - centre[0])
    kappa = 0.5523
    quarters: list[Cubic] = []
    for step in range(2):
        a, b = angle + step * pi / 2, angle + (step + 1) * pi / 2
        p = centre[0] + cos(a), centre[1] + sin(a)
        q = centre[0] + cos(b), centre[1] + sin(b)
        quarters.append(
            (p, (p[0] - kappa * sin(a), p[1] + kappa * cos(a)), (q[0] + kappa * sin(b), q[1] - kappa * cos(b)), q)
        )
    return quarters
