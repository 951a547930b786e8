"""Where things are moved to: the transform attribute of SVG as one matrix."""

from __future__ import annotations

import re
from functools import lru_cache
from math import cos, radians, sin

#: a b c d e f: x becomes a·x + c·y + e, y becomes b·x + d·y + f.
Matrix = tuple[float, float, float, float, float, float]

_TRANSFORM = re.compile(r"(\w+)\(([^)]*)\)")
_NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")


def numbers_in(text: str) -> list[float]:
    """The numbers of a list, however they are parted."""
    return [float(number) for number in _NUMBER.findall(text)]


@lru_cache(maxsize=4096)
def matrix(transform: str) -> Matrix:
    """All steps of a transform in one. Raises ValueError for one that this writer does not know (skews)."""
    whole: Matrix = (1, 0, 0, 1, 0, 0)
    for kind, inside in _TRANSFORM.findall(transform):
        for step in _steps(kind, numbers_in(inside)):
            whole = _times(whole, step)
    return whole


def _steps(kind: str, numbers: list[float]) -> list[Matrix]:
    match kind, numbers:
        case "translate", [x]:
            return [(1, 0, 0, 1, x, 0)]
        case "translate", [x, y]:
            return [(1, 0, 0, 1, x, y)]
        case "scale", [both]:
            return [(both, 0, 0, both, 0, 0)]
        case "scale", [across, down]:
            return [(across, 0, 0, down, 0, 0)]
        case "rotate", [angle]:
            return [_turned(angle)]
        case "rotate", [angle, x, y]:
            return [(1, 0, 0, 1, x, y), _turned(angle), (1, 0, 0, 1, -x, -y)]
        case "matrix", [a, b, c, d, e, f]:
            return [(a, b, c, d, e, f)]
        case _:
            raise ValueError(f"a transform that the PDF writer does not know: {kind}")


def _turned(degrees: float) -> Matrix:
    angle = radians(degrees)
    return cos(angle), sin(angle), -sin(angle), cos(angle), 0, 0


def _times(one: Matrix, other: Matrix) -> Matrix:
    """First the other, then the one."""
    a, b, c, d, e, f = one
    k, m, n, o, p, q = other
    return a * k + c * m, b * k + d * m, a * n + c * o, b * n + d * o, a * p + c * q + e, b * p + d * q + f
