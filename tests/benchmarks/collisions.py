"""How many signs stand upon each other: ``python -m tests.benchmarks.collisions [--list] [--made N] [FILE …]``.

Every glyph and every run of text of a finished page is a box round its ink. Two boxes collide where they share more
than 5 % of the smaller one. Not counted, because they belong together: the parts of one sign; heads, dots and
accidentals of one chord among themselves; heads of two voices on one place, or touching a third apart; the steps of a
wavy line; letters of one word. Lines, stems, beams and slurs are not boxes: a second figure counts the words that one
of them runs through (not those of staves, ledgers, and signs set on purpose round or on a line). Without files the
anthology is counted, edition, copy and part; ``--made`` adds so many invented pieces of all kinds
(:mod:`tests.benchmarks.collection`).
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

from lxml import etree

from pipeline.folder.batch.reading import Reader, with_files
from pipeline.folder.files import PieceFile, decoded, discover
from pipeline.model.options import Options, Part
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from tests.benchmarks.collection import piece

ANTHOLOGY = Path(__file__).parents[2] / "fixtures" / "anthology"
#: The share of the smaller box from which two boxes collide.
SHARE = 0.05
_SVG = "{http://www.w3.org/2000/svg}"
_HREF = "{http://www.w3.org/1999/xlink}href"
#: One sign of several glyphs.
_WHOLE = ("meterSig", "clef", "arpeg", "accid", "tuplet-num", "tabDurSym", "mRest", "rest")
_TOKEN = re.compile(r"[A-Za-z]|-?\d*\.?\d+(?:e-?\d+)?")
_MOVE = re.compile(r"(translate|scale|rotate)\(([^)]*)\)")
_STEPS = 6
#: Two heads so far apart, in widths of a head, stand side by side as those of a second do: their ovals interlock.
_A_SECOND = 0.85
#: Two heads so far apart, in heights of a head, stand a third apart: a head is a little higher than a space, so that
#: such heads touch in one chord and in two voices alike.
_A_THIRD = 0.9

Matrix = tuple[float, float, float, float, float, float]
_SAME: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(frozen=True)
class Box:
    """The ink of one sign on its page. ``sign`` names the element it belongs to, ``chord`` the chord, ``kind`` what it
    is, ``words`` what it says."""

    left: float
    top: float
    right: float
    bottom: float
    kind: str
    sign: str
    chord: str = ""
    words: str = ""

    @property
    def area(self) -> float:
        return (self.right - self.left) * (self.bottom - self.top)

    def shared(self, other: Box) -> float:
        """The common area as a share of the smaller box."""
        width = min(self.right, other.right) - max(self.left, other.left)
        height = min(self.bottom, other.bottom) - max(self.top, other.top)
        smaller = min(self.area, other.area)
        return width * height / smaller if width > 0 and height > 0 and smaller else 0.0


@dataclass(frozen=True)
class Collision:
    """Two signs of a page upon each other, and by how much of the smaller one."""

    one: Box
    other: Box
    share: float

    def __str__(self) -> str:
        names = " × ".join(f"{box.kind} {box.words or box.sign}" for box in (self.one, self.other))
        return f"{names} at {self.one.left:.0f} {self.one.top:.0f}, {self.share:.0%}"


def collisions(page: str) -> list[Collision]:
    """All pairs on a finished page, from the left."""
    boxes = sorted(boxes_of(page), key=lambda box: box.left)
    found = []
    for place, one in enumerate(boxes):
        for other in boxes[place + 1 :]:
            if other.left >= one.right:
                break
            share = one.shared(other)
            if share > SHARE and not _together(one, other):
                found.append(Collision(one, other, share))
    return found


def _together(one: Box, other: Box) -> bool:
    if one.sign == other.sign:
        return True
    kinds = {one.kind, other.kind}
    if one.chord and one.chord == other.chord:
        return kinds <= {"notehead", "dots", "accid", "flag", "stem"}
    if kinds in ({"notehead"}, {"dots"}):
        on_one_place = abs(one.top - other.top) < 10 and abs(one.left - other.left) < 10
        a_third = abs(one.top - other.top) > _A_THIRD * (one.bottom - one.top)
        return on_one_place or a_third or abs(one.left - other.left) > _A_SECOND * (one.right - one.left)
    return kinds in ({"keyAccid"}, {"meterSig"}, {"tabDurSym", "dots"})


@dataclass(frozen=True)
class Crossing:
    """Words with a stroke through them."""

    words: Box
    stroke: str

    def __str__(self) -> str:
        box = self.words
        return f"{box.kind} {box.words} through a {self.stroke} at {box.left:.0f} {box.top:.0f}"


def crossings(page: str) -> list[Crossing]:
    """All words of a finished page that a stem, a beam, a slur, a bar line or a dashed line runs through."""
    root = etree.fromstring(page.encode())
    strokes = sorted(_strokes(root), key=lambda stroke: stroke[0])
    found = []
    for box in boxes_of(page):
        if not box.kind.startswith("text"):
            continue
        inside = (box.left + 12, box.top + 12, box.right - 12, box.bottom - 12)
        for left, right, kind, points in strokes:
            if left > inside[2]:
                break
            if right >= inside[0] and any(inside[0] < x < inside[2] and inside[1] < y < inside[3] for x, y in points):
                found.append(Crossing(box, kind))
                break
    return found


_STROKES = ("stem", "beam", "slur", "tie", "barLine", "gliss", "tablature-span", "bracketSpan", "phrase", "tuplet")
_NEAR = 20


def _strokes(root: etree._Element) -> Iterator[tuple[float, float, str, list[tuple[float, float]]]]:
    """Left, right, kind and close points of every stroke."""
    for element in root.iter(f"{_SVG}path", f"{_SVG}polygon"):
        kind = next((_class(up) for up in element.iterancestors() if _class(up) in _STROKES), "")
        if not kind or _defined(element):
            continue
        matrix = _SAME
        for up in reversed(list(element.iterancestors())):
            matrix = _times(matrix, _matrix(up.get("transform") or ""))
        raw = element.get("d") or "M" + (element.get("points") or "").replace(",", " ") + "z"
        corners = [_moved(matrix, x, y) for x, y in _outline(raw)]
        if element.tag == f"{_SVG}polygon" and len(corners) >= 4:  # a beam: its middle line
            corners = [_half(corners[0], corners[3]), _half(corners[1], corners[2])]
        points = [point for one, two in pairwise(corners) for point in _between(one, two)]
        if points:
            yield min(x for x, _ in points), max(x for x, _ in points), kind, points


def _half(one: tuple[float, float], two: tuple[float, float]) -> tuple[float, float]:
    return (one[0] + two[0]) / 2, (one[1] + two[1]) / 2


def _between(one: tuple[float, float], two: tuple[float, float]) -> Iterator[tuple[float, float]]:
    steps = 1 + int(max(abs(two[0] - one[0]), abs(two[1] - one[1])) / _NEAR)
    for step in range(steps + 1):
        yield one[0] + (two[0] - one[0]) * step / steps, one[1] + (two[1] - one[1]) * step / steps


def boxes_of(page: str) -> Iterator[Box]:
    """The boxes of a page whose letters are drawn as outlines too."""
    root = etree.fromstring(page.encode())
    outlines = {group.get("id", ""): group for group in root.iter(f"{_SVG}g", f"{_SVG}path") if _defined(group)}
    drawn: dict[tuple[str, str, str, str], list[tuple[float, float]]] = {}
    for element in root.iter(f"{_SVG}use", f"{_SVG}ellipse"):
        if _defined(element) or any("placeholder" in (up.get("class") or "") for up in element.iterancestors()):
            continue
        points = _points(element, outlines)
        if points:
            drawn.setdefault(_name(element), []).extend(points)
    for (kind, sign, chord, words), points in drawn.items():
        xs, ys = [x for x, _ in points], [y for _, y in points]
        yield Box(min(xs), min(ys), max(xs), max(ys), kind, sign, chord, words)


def _defined(element: etree._Element) -> bool:
    return next(element.iterancestors(f"{_SVG}defs"), None) is not None


def _name(element: etree._Element) -> tuple[str, str, str, str]:
    """Kind, sign, chord and words of an element."""
    chord = next((str(up.get("id")) for up in element.iterancestors() if _class(up) == "chord"), "")
    parent = element.getparent()
    assert parent is not None
    if _class(parent) == "letters":
        text = parent.getprevious()
        words = "".join(text.itertext()) if text is not None else ""
        around = parent.getparent()
        kind = _class(around) if around is not None else ""
        return f"text {kind}".strip(), _path(parent), chord, words
    if element.tag == f"{_SVG}ellipse":
        return "dots", _path(element), chord or _path(parent), ""
    for up in element.iterancestors():
        kind = _class(up)
        if kind in _WHOLE:
            return kind, _path(up), chord, str(up.get("id") or "")
        if kind == "note" and not chord:
            chord = str(up.get("id"))
            if _class(parent) == "note":
                return "figure", _path(up), chord, chord
    return _class(parent), _path(element), chord, str(parent.get("id") or "")


def _class(element: etree._Element) -> str:
    return str(element.get("class") or "").partition(" ")[0]


def _path(element: etree._Element) -> str:
    return element.getroottree().getpath(element)


def _points(element: etree._Element, outlines: dict[str, etree._Element]) -> list[tuple[float, float]]:
    matrix = _SAME
    for up in (*reversed(list(element.iterancestors())), element):
        matrix = _times(matrix, _matrix(up.get("transform") or ""))
    if element.tag == f"{_SVG}ellipse":
        cx, cy, rx, ry = (float(element.get(key, "0")) for key in ("cx", "cy", "rx", "ry"))
        return [_moved(matrix, cx + a * rx, cy + b * ry) for a in (-1, 1) for b in (-1, 1)]
    matrix = _times(matrix, (1, 0, 0, 1, float(element.get("x", "0")), float(element.get("y", "0"))))
    name = (element.get(_HREF) or element.get("href") or "").lstrip("#")
    found: list[tuple[float, float]] = []
    outline = outlines.get(name)
    if outline is None:
        return found
    for path in outline.iter(f"{_SVG}path"):
        own = _times(_times(matrix, _matrix(outline.get("transform") or "")), _matrix(path.get("transform") or ""))
        if path is outline:
            own = _times(matrix, _matrix(path.get("transform") or ""))
        found.extend(_moved(own, x, y) for x, y in _outline(path.get("d", "")))
    return found


def _matrix(text: str) -> Matrix:
    matrix = _SAME
    for kind, words in _MOVE.findall(text):
        numbers = [float(word) for word in re.split(r"[,\s]+", words.strip())]
        if kind == "translate":
            step: Matrix = (1, 0, 0, 1, numbers[0], numbers[1] if len(numbers) > 1 else 0)
        elif kind == "scale":
            step = (numbers[0], 0, 0, numbers[-1], 0, 0)
        else:  # only quarter turns are drawn, about a point
            turn = -1 if numbers[0] < 0 else 1
            x, y = numbers[1:3] if len(numbers) > 2 else (0.0, 0.0)
            step = (0, turn, -turn, 0, x + turn * y, y - turn * x)
        matrix = _times(matrix, step)
    return matrix


def _times(one: Matrix, two: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = two
    return (a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f)


def _moved(matrix: Matrix, x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


@cache
def _outline(path: str) -> tuple[tuple[float, float], ...]:
    """Points of an outline close enough together to measure it."""
    tokens = _TOKEN.findall(path)
    found: list[tuple[float, float]] = []
    here = start = (0.0, 0.0)
    place, command = 0, ""
    while place < len(tokens):
        if tokens[place].isalpha():
            command = tokens[place]
            place += 1
            if command in "zZ":
                here = start
                continue
        count = {"m": 2, "l": 2, "t": 2, "h": 1, "v": 1, "c": 6, "s": 4, "q": 4}[command.lower()]
        numbers = [float(token) for token in tokens[place : place + count]]
        place += count
        points = _absolute(command, numbers, here)
        if command.lower() in "csq":
            curve = (here, *points)
            found.extend(_on_curve(curve, step / _STEPS) for step in range(1, _STEPS))
        here = points[-1]
        found.append(here)
        if command.lower() == "m":
            start, command = here, "l" if command == "m" else "L"
    return tuple(found)


def _absolute(command: str, numbers: list[float], here: tuple[float, float]) -> list[tuple[float, float]]:
    x, y = here if command.islower() else (0.0, 0.0)
    if command in "hH":
        return [(x + numbers[0], here[1])]
    if command in "vV":
        return [(here[0], y + numbers[0])]
    return [(x + numbers[place], y + numbers[place + 1]) for place in range(0, len(numbers), 2)]


def _on_curve(points: tuple[tuple[float, float], ...], share: float) -> tuple[float, float]:
    while len(points) > 1:
        points = tuple((a + (c - a) * share, b + (d - b) * share) for (a, b), (c, d) in pairwise(points))
    return points[0]


def _built(file: PieceFile) -> Iterator[tuple[str, str]]:
    """Name and content of each page of a piece, with the headings above it in its collection."""
    parcel = with_files(Reader().parcel(file), file)
    yield from _pages(decoded(parcel.text).source, tuple(decoded(raw).source for raw in parcel.headings))


def _pages(source: SourceText, inherited: tuple[SourceText, ...] = ()) -> Iterator[tuple[str, str]]:
    for name, content in build_piece(source, inherited, Options(part=Part.SOURCE)).artefacts:
        if name.endswith(".svg"):
            yield f"{Path(source.name).stem} {name.removesuffix('.svg')}", content.decode()


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.collisions", description=__doc__)
    parser.add_argument("--list", action="store_true", help="name every pair")
    parser.add_argument("--made", type=int, default=0, metavar="N", help="invented pieces besides")
    parser.add_argument("files", nargs="*", type=Path)
    asked = parser.parse_args()
    pages = [page for file in discover(asked.files or [ANTHOLOGY]) for page in _built(file)]
    made = (SourceText.of(f"made-{n}.intav", piece(n, 24)) for n in range(asked.made))
    pages += [page for source in made for page in _pages(source)]
    total = struck = 0
    for name, content in pages:
        found, through = collisions(content), crossings(content)
        total += len(found)
        struck += len(through)
        if found or through:
            print(f"{name}: {len(found)} collisions, {len(through)} words struck through")
        if asked.list:
            print("".join(f"    {one}\n" for one in (*found, *through)), end="")
    print(f"{total} collisions and {struck} words struck through on {len(pages)} pages")
    return 0


if __name__ == "__main__":
    sys.exit(main())
