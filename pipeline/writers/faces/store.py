"""The faces that the program brings along, read from their files: which characters, how wide, of what shape.

Only what these files hold is read (TrueType outlines, a character map of format 4); source: the OpenType
specification 1.9. The few tables are read here and not by a font library, because every page is measured by them.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

#: Flags of a part of a composite glyph: two-byte numbers, numbers are distances, one scale, another part follows,
#: two scales, a matrix.
_WORDS, _DISTANCES, _SCALE, _MORE, _SCALES, _MATRIX = 0x1, 0x2, 0x8, 0x20, 0x40, 0x80


@dataclass(frozen=True, slots=True)
class Part:
    """A glyph inside a composite one, moved by ``x`` and ``y`` font units; ``at`` is where its number stands."""

    glyph: int
    x: int
    y: int
    at: int


@dataclass(frozen=True, slots=True)
class Face:
    """One face. ``units`` are to the type size; in them, by glyph, ``advances`` and ``bearings``: the room before the
    outline."""

    name: str
    units: int
    tables: Mapping[str, bytes]
    glyphs: Mapping[str, int]
    advances: tuple[int, ...]
    bearings: tuple[int, ...]
    places: tuple[int, ...]

    def drawing(self, glyph: int) -> bytes:
        """The outline as it stands in the file; empty for a space."""
        return self.tables["glyf"][self.places[glyph] : self.places[glyph + 1]]

    def width(self, character: str) -> float:
        """Advance in type sizes. Raises KeyError for a character that the face lacks."""
        return self.advances[self.glyphs[character]] / self.units


def face_file(name: str) -> bytes:
    """A face as a TrueType file."""
    return files("pipeline.writers.faces").joinpath("files", f"{name}.ttf").read_bytes()


@cache
def face(name: str) -> Face:
    """The face of a file, by the file's name."""
    content = face_file(name)
    tables: dict[str, bytes] = {}
    for number in range(struct.unpack_from(">H", content, 4)[0]):
        tag, _, start, length = struct.unpack_from(">4sLLL", content, 12 + 16 * number)
        tables[tag.decode()] = content[start : start + length]
    count = struct.unpack_from(">H", tables["maxp"], 4)[0]
    measured = struct.unpack_from(">H", tables["hhea"], 34)[0]
    numbers = struct.unpack(f">{'Hh' * measured}{'h' * (count - measured)}", tables["hmtx"])
    long = struct.unpack_from(">H", tables["head"], 50)[0]
    places = struct.unpack_from(f">{count + 1}{'L' if long else 'H'}", tables["loca"])
    return Face(
        name,
        struct.unpack_from(">H", tables["head"], 18)[0],
        tables,
        dict(_characters(tables["cmap"])),
        # Glyphs at the end of a face share one advance.
        numbers[0 : 2 * measured : 2] + numbers[2 * measured - 2 : 2 * measured - 1] * (count - measured),
        numbers[1 : 2 * measured : 2] + numbers[2 * measured :],
        places if long else tuple(2 * place for place in places),
    )


def _characters(table: bytes) -> Iterator[tuple[str, int]]:
    """Character → glyph, from a map of segments (format 4)."""
    start = struct.unpack_from(">L", table, 8)[0]
    if struct.unpack_from(">H", table, start)[0] != 4:
        raise ValueError("a face whose character map is not of format 4")
    count = struct.unpack_from(">H", table, start + 6)[0] // 2
    ends = struct.unpack_from(f">{count}H", table, start + 14)
    rest = start + 16 + 2 * count
    starts, deltas, offsets = (struct.unpack_from(f">{count}H", table, rest + 2 * count * row) for row in range(3))
    for segment, (first, last) in enumerate(zip(starts, ends, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code
            if offsets[segment]:
                at = rest + 4 * count + 2 * segment + offsets[segment] + 2 * (code - first)
                glyph = struct.unpack_from(">H", table, at)[0]
            if glyph and (glyph := (glyph + deltas[segment]) % 0x10000):
                yield chr(code), glyph


def parts(drawing: bytes) -> Iterator[Part]:
    """The parts of a composite glyph; none of a simple one. Raises ValueError for parts that are scaled or tied to
    points, which no face here has."""
    if not drawing or struct.unpack_from(">h", drawing)[0] >= 0:
        return
    at = 10
    flags = _MORE
    while flags & _MORE:
        flags, glyph = struct.unpack_from(">HH", drawing, at)
        if flags & (_SCALE | _SCALES | _MATRIX) or not flags & _DISTANCES:
            raise ValueError("a composite glyph with scaled parts")
        x, y = struct.unpack_from(">hh" if flags & _WORDS else ">bb", drawing, at + 4)
        yield Part(glyph, x, y, at + 2)
        at += 8 if flags & _WORDS else 6
