"""Where things stand in a drawn system, read from its SVG."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape

from pipeline.model.glyphs import BREVE
from pipeline.writers.engrave.glyphs.drawings import WIDTHS
from pipeline.writers.engrave.widths import text_width

#: Advance widths, in font units, of the noteheads that are drawn.
_HEADS = {"E0A4": 314, "E0A3": 314, "E0A2": 405, "E0A1": WIDTHS[BREVE]}
_USE = re.compile(r'<use xlink:href="#([0-9A-F]+)" transform="translate\((-?\d+), (-?\d+)\) scale\(([\d.]+)')
_NOTE = re.compile(r'<g id="([^"]+)" class="note[^"]*">(?:<g class="notehead">)?((?:<use [^>]*/>)+)')
_SIGN = re.compile(
    r'<g id="([^"]+)" class="tabGrp[^"]*"><g id="[^"]*" class="tabDurSym[^"]*">'
    r'(?:<use xlink:href="#([0-9A-F]+)" transform="translate\((-?\d+), (-?\d+)\) scale\(([\d.]+)'
    r'|<g id="[^"]*" class="stem[^"]*"><path d="M(-?\d+) (-?\d+) L(-?\d+) (-?\d+)")'
)
#: The tablature staff of a measure, by its name: where its top line begins.
_TABLATURE = re.compile(r'<g id="tab-([^"]+)" class="staff[^"]*"><path d="M(-?\d+) (-?\d+) ')
_STAFF_LINE = re.compile(r'class="staff[^"]*"><path d="M(-?\d+) (-?\d+) L(-?\d+) ')
_ACCID = re.compile(r'class="accid[^"]*"><use xlink:href="#\w+" transform="translate\((-?\d+), ')
_ACCID_SIGN = re.compile(
    r'<use xlink:href="#(E26[0-4]|E26A|E26B)" transform="translate\((-?\d+), (-?\d+)\) scale\(([\d.]+)'
)
_BAR_LINE = re.compile(r'<path d="M(-?\d+) (-?\d+) L\1 (-?\d+)" stroke-width="27"/>')
_LEADING = re.compile(r'class="gliss[^"]*"><(?:path d="M|polyline points=")(-?\d+)[ ,](-?\d+) L?(-?\d+)[ ,](-?\d+)')
#: In so many pieces a slanting line is taken for boxes, so wide and high.
_PIECES, _POINT = 12, 24
#: Half the height of an accidental, and its width, in font units.
_ACCID_HALF, _ACCID_WIDTH = 330, 220
_DOT = re.compile(r'<ellipse cx="(-?\d+)" cy="(-?\d+)"')

_TYPE = re.compile(r'<text x="(-?\d+)" y="(-?\d+)"[^>]*>(?:<tspan [^>]*>)*<tspan font-size="(\d+)px">([^<]*)<')
#: No head, accidental or dot is wider.
_WIDEST = 500
#: Below all staves.
_NOWHERE = 10**9
#: Height of a capital in type sizes.
_RISE = 0.66

#: Height of a figure and x-height of a letter, in font units.
FIGURE_HEIGHT, SIGN_HEIGHT = 330, 791


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2

    @property
    def centre(self) -> float:
        return (self.top + self.bottom) / 2

    def shared(self, other: Box) -> float:
        """The area that two boxes have in common."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.bottom, other.bottom) - max(self.top, other.top)
        return wide * high if wide > 0 and high > 0 else 0.0

    def around(self, other: Box) -> Box:
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )


class Places:
    """The boxes of all notes and signs of one system, found in one pass over its drawing."""

    __slots__ = ("_drawing", "_ink", "_notes", "_signs")

    def __init__(self, drawing: str) -> None:
        self._drawing = drawing
        self._notes = {match.group(1): match for match in _NOTE.finditer(drawing)}
        self._signs: dict[str, re.Match[str]] | None = None
        self._ink: list[Box] | None = None

    def __contains__(self, note: str) -> bool:
        return note in self._notes

    @property
    def width(self) -> int:
        """Where the staves end on the right."""
        return max((int(match.group(3)) for match in _STAFF_LINE.finditer(self._drawing)), default=0)

    @property
    def top(self) -> int:
        """The top line of the tablature."""
        match = _TABLATURE.search(self._drawing)
        return int(match.group(3)) if match else 0

    def band(self) -> tuple[int, int] | None:
        """The top line of the tablature, and that of the staff under it (or none); None without a tablature."""
        match = _TABLATURE.search(self._drawing)
        if match is None:
            return None
        tops = (int(line.group(2)) for line in _STAFF_LINE.finditer(self._drawing, match.end()))
        top = int(match.group(3))
        return top, next((under for under in tops if under > top), _NOWHERE)

    def measure(self, name: str) -> int | None:
        """Where the tablature of a measure begins."""
        found = next((match for match in _TABLATURE.finditer(self._drawing) if match.group(1) == name), None)
        return int(found.group(2)) if found else None

    def figure(self, note: str) -> Box | None:
        """A figure or letter of the tablature."""
        match = self._notes.get(note)
        if match is None:
            return None
        uses = _USE.findall(match.group(2))
        _, first, base, size = uses[0]
        code, last, _, _ = uses[-1]
        scale = float(size)
        bottom = float(base)
        right = int(last) + WIDTHS.get(int(code, 16), 200) * scale
        return Box(float(first), bottom - FIGURE_HEIGHT * scale, right, bottom)

    def head(self, note: str) -> Box | None:
        """A notehead by itself."""
        match = self._notes.get(note)
        if match is None:
            return None
        code, x, y, size = _USE.findall(match.group(2))[0]
        half = 125 * float(size)
        return Box(float(x), int(y) - half, int(x) + _HEADS.get(code, 314) * float(size), int(y) + half)

    def covered(self, area: Box) -> float:
        """How much of an area heads, accidentals, dots, bar lines and dashed lines take, in square page units."""
        if self._ink is None:
            self._ink = sorted(self._all_ink(), key=lambda box: box.left)
        near = bisect_left(self._ink, area.left - _WIDEST, key=lambda box: box.left)
        total = 0.0
        for box in self._ink[near:]:
            if box.left >= area.right:
                break
            total += box.shared(area)
        return total

    def _all_ink(self) -> Iterator[Box]:
        for ends in _LEADING.findall(self._drawing):
            x1, y1, x2, y2 = map(int, ends)
            for step in range(_PIECES + 1):
                x, y = x1 + (x2 - x1) * step / _PIECES, y1 + (y2 - y1) * step / _PIECES
                yield Box(x - _POINT, y - _POINT, x + _POINT, y + _POINT)
        for x, top, bottom in _BAR_LINE.findall(self._drawing):
            yield Box(float(x) - 20, float(top), float(x) + 20, float(bottom))
        for note in self._notes:
            box = self.head(note)
            if box is not None:
                yield box
        for _, x, y, size in _ACCID_SIGN.findall(self._drawing):
            half, wide = _ACCID_HALF * float(size), _ACCID_WIDTH * float(size)
            yield Box(float(x), float(y) - half, float(x) + wide, float(y) + half)
        for x, y in _DOT.findall(self._drawing):
            yield Box(float(x) - 36, float(y) - 36, float(x) + 36, float(y) + 36)

    def accidental(self, note: str) -> float | None:
        """Left edge of the accidental at a head."""
        match = self._notes.get(note)
        if match is None:
            return None
        found = _ACCID.search(self._drawing, match.end(), self._end_of(match))
        return float(found.group(1)) if found else None

    def dot(self, note: str) -> float | None:
        """Right edge of the augmentation dots beside a head; those of a chord stand before its heads."""
        match, head = self._notes.get(note), self.head(note)
        if match is None or head is None:
            return None
        start = max(self._drawing.rfind('class="chord', 0, match.start()), match.start() - 1500)
        rights = [
            int(x) + 36.0
            for x, y in _DOT.findall(self._drawing, start, self._end_of(match))
            if 0 < int(x) - head.right < 400 and abs(int(y) - head.centre) < 130
        ]
        return max(rights, default=None)

    def _end_of(self, match: re.Match[str]) -> int:
        after = self._drawing.find('class="note', match.end())
        return len(self._drawing) if after < 0 else after

    def words(self, name: str) -> Box | None:
        """A line of type by its id: a syllable, a chord letter."""
        at = self._drawing.find(f'<g id="{name}"')
        found = _TYPE.search(self._drawing, at) if at >= 0 else None
        if found is None:
            return None
        size, left, base = float(found.group(3)), float(found.group(1)), float(found.group(2))
        width = text_width(unescape(found.group(4)).rstrip(), size)
        return Box(left, base - _RISE * size, left + width, base)

    def verse(self, note: str, place: int) -> Box | None:
        """The type of syllable ``place`` (from 0) under a sung note, as high as its size."""
        at = self._drawing.find(f'<g id="{note}" class="note')
        for _ in range(place + 1):
            at = self._drawing.find('class="verse"', at + 1) if at >= 0 else -1
        found = _TYPE.search(self._drawing, at) if at >= 0 else None
        if found is None:
            return None
        size, left, base = float(found.group(3)), float(found.group(1)), float(found.group(2))
        return Box(left, base - size, left + text_width(unescape(found.group(4)).rstrip(), size), base)

    def sign(self, group: str) -> Box | None:
        """The rhythm sign over a group; under a beam, its stem."""
        if self._signs is None:
            self._signs = {match.group(1): match for match in _SIGN.finditer(self._drawing)}
        match = self._signs.get(group)
        if match is None:
            return None
        if match.group(2):
            x, base, scale = float(match.group(3)), float(match.group(4)), float(match.group(5))
            return Box(x - 20, base - SIGN_HEIGHT * scale, x + 400 * scale * (match.group(2) != "EBA7"), base)
        x, one, other = float(match.group(6)), float(match.group(7)), float(match.group(9))
        return Box(x, min(one, other), x + 30, max(one, other))

    def column(self, group: str) -> float | None:
        """Where a group of the tablature stands, from left to right."""
        at = self._drawing.find(f'<g id="{group}"')
        if at < 0:
            return None
        found = _USE.search(self._drawing, at)
        return float(found.group(2)) if found else None
