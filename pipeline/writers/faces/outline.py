"""Shapes of glyphs as path data of SVG, y downwards, in font units."""

from __future__ import annotations

import struct
from collections.abc import Iterator, Sequence
from functools import lru_cache

from pipeline.writers.faces.store import Face, face, parts

#: Flags of a point: it lies on the curve; its x, y is one byte; the flag is repeated; x, y is positive or as before.
_ON, _X_SHORT, _Y_SHORT, _REPEAT, _X_SAME, _Y_SAME = 1, 2, 4, 8, 16, 32
Point = tuple[int, int, bool]


@lru_cache(maxsize=4096)
def outline(name: str, character: str) -> str:
    """Path data of a character; empty for a space."""
    own = face(name)
    glyph = own.glyphs[character]
    drawing = own.drawing(glyph)
    # What is drawn begins at the bearing, whatever number it begins with in the outline.
    shift = own.bearings[glyph] - struct.unpack_from(">h", drawing, 2)[0] if drawing else 0
    moved = ([(x + shift, y, on) for x, y, on in contour] for contour in _contours(own, glyph))
    return "".join(map(_contour, moved))


def _contours(own: Face, glyph: int) -> Iterator[list[Point]]:
    drawing = own.drawing(glyph)
    if drawing and struct.unpack_from(">h", drawing)[0] >= 0:
        yield from _simple(drawing)
    for part in parts(drawing):
        for contour in _contours(own, part.glyph):
            yield [(x + part.x, y + part.y, on) for x, y, on in contour]


def _simple(drawing: bytes) -> Iterator[list[Point]]:
    """Contours of a simple glyph: points with whether they lie on the curve."""
    count = struct.unpack_from(">h", drawing)[0]
    ends = struct.unpack_from(f">{count}H", drawing, 10)
    at = 10 + 2 * count
    at += 2 + struct.unpack_from(">H", drawing, at)[0]
    flags: list[int] = []
    while len(flags) <= ends[-1]:
        flag = drawing[at]
        again = drawing[at + 1] if flag & _REPEAT else 0
        flags += [flag] * (1 + again)
        at += 2 if flag & _REPEAT else 1
    across, at = _numbers(drawing, at, flags, _X_SHORT, _X_SAME)
    up, _ = _numbers(drawing, at, flags, _Y_SHORT, _Y_SAME)
    points = [(x, y, bool(flag & _ON)) for x, y, flag in zip(across, up, flags, strict=True)]
    for first, last in zip((-1, *ends), ends, strict=False):
        yield points[first + 1 : last + 1]


def _numbers(drawing: bytes, at: int, flags: Sequence[int], short: int, same: int) -> tuple[list[int], int]:
    """One coordinate of all points, and where the next begins."""
    made: list[int] = []
    value = 0
    for flag in flags:
        if flag & short:
            value += drawing[at] if flag & same else -drawing[at]
            at += 1
        elif not flag & same:
            value += struct.unpack_from(">h", drawing, at)[0]
            at += 2
        made.append(value)
    return made, at


def _contour(points: list[Point]) -> str:
    """One closed curve, its commands relative; between two points off it lies one on it, half-way."""
    start = next((place for place, point in enumerate(points) if point[2]), None)
    if start is None:
        raise ValueError("a contour without a point on it")
    x, y = float(points[start][0]), float(points[start][1])
    drawn = [f"M{_pair(x, y)}"]
    handle: tuple[float, float] | None = None
    for to_x, to_y, on in [*points[start + 1 :], *points[: start + 1]]:
        if handle is None and not on:
            handle = (to_x, to_y)
            continue
        end = (to_x, to_y) if on or handle is None else ((handle[0] + to_x) / 2, (handle[1] + to_y) / 2)
        if handle is None:
            drawn.append(f"l{_pair(end[0] - x, end[1] - y)}")
        else:
            drawn.append(f"q{_pair(handle[0] - x, handle[1] - y)}{_pair(end[0] - x, end[1] - y, after=True)}")
        x, y = end
        handle = None if on else (to_x, to_y)
    return "".join(drawn) + "z"


def _pair(x: float, y: float, *, after: bool = False) -> str:
    """Two numbers, y turned downwards, with a space only where no sign parts them."""
    across, down = f"{x:g}", f"{-y or 0:g}"
    return f"{' ' if after and across[0] != '-' else ''}{across}{'' if down[0] == '-' else ' '}{down}"
