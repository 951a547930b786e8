"""Draws one SVG page on a PDF canvas: the elements that the pages are made of, no more.

Raises ValueError for an element, a transform or a path command that it does not know: nothing is left out silently.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

from lxml import etree
from lxml.etree import _Element
from reportlab.lib.colors import toColor
from reportlab.pdfgen.canvas import Canvas

from pipeline.writers.faces.styles import START, Styles
from pipeline.writers.faces.words import Words, words_of
from pipeline.writers.pdf.faces import known
from pipeline.writers.pdf.outlines import Segment, segments
from pipeline.writers.pdf.transforms import matrix, numbers_in

_HREF = "{http://www.w3.org/1999/xlink}href"
_CAPS = {"butt": 0, "round": 1, "square": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}
_SILENT = frozenset({"title", "desc", "defs", "style", "metadata"})
#: A glyph's outline lies within this box, in its own units.
_BOX = 20000
#: A line round a filled shape that is no wider than this, in millimetres, is left out. On paper nobody can see
#: it, but on a screen PDF readers draw every line at least one dot wide, and all signs would come out bold.
_HAIR = 0.03
_Properties = Mapping[str, str]


@dataclass(slots=True)
class Glyphs:
    """Outlines that a file holds once and draws many times: name by outline."""

    names: dict[str, str] = field(default_factory=dict)
    missing: set[str] = field(default_factory=set)


def draw_page(canvas: Canvas, svg: str, glyphs: Glyphs) -> None:
    """Draw a page in its own units; the canvas must have been turned so that y runs downwards."""
    root = etree.fromstring(svg.encode(), etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True))
    sheet = "".join(element.text or "" for element in root.iter("{*}style"))
    _Page(canvas, Styles(sheet), glyphs, root).draw(root, START)


class _Page:
    """The canvas with what is set on it, and the glyphs that this page defines."""

    def __init__(self, canvas: Canvas, styles: Styles, glyphs: Glyphs, root: _Element) -> None:
        self._canvas = canvas
        self._styles = styles
        self._glyphs = glyphs
        self._hair = _HAIR * _per_millimetre(root)
        self._set: dict[str, str] = {}
        self._forms = {f"#{each.get('id')}": self._form(each) for defs in root.iter("{*}defs") for each in defs}
        self._set.clear()

    def draw(self, element: _Element, around: _Properties) -> None:
        """Draw an element and what is in it."""
        if not isinstance(element.tag, str):
            return
        tag = element.tag.rpartition("}")[2]
        if tag in _SILENT:
            return
        style = self._styles.of(element, around)
        moved = element.get("transform")
        if moved is None:
            self._content(tag, element, style)
            return
        with self._moved(moved):
            self._content(tag, element, style)

    def _content(self, tag: str, element: _Element, style: _Properties) -> None:
        if tag in ("g", "svg"):
            for child in element:
                self.draw(child, style)
        elif style["visibility"] == "visible":
            self._shape(tag, element, style)

    @contextmanager
    def _moved(self, transform: str) -> Iterator[None]:
        """Move what is drawn meanwhile; afterwards all is set as before."""
        before = self._set.copy()
        self._canvas.saveState()
        self._canvas.transform(*matrix(transform))
        yield
        self._canvas.restoreState()
        self._set = before

    def _shape(self, tag: str, element: _Element, style: _Properties) -> None:
        match tag:
            case "use":
                self._ink(style)
                form = self._forms[str(element.get(_HREF) or element.get("href"))]
                if element.get("x") or element.get("y"):
                    with self._moved(f"translate({element.get('x', '0')} {element.get('y', '0')})"):
                        self._canvas.doForm(form)
                else:
                    self._canvas.doForm(form)
            case "text":
                self._text(element, style)
            case _:
                fills, strokes = self._ink(style)
                if fills or strokes:
                    self._outline(_drawn(tag, element), fills=fills, strokes=strokes)

    def _form(self, glyph: _Element) -> str:
        """The name of the form that draws a glyph; made once for a file."""
        data = etree.tostring(glyph, method="c14n").decode()
        name = self._glyphs.names.get(data)
        if name is None:
            name = self._glyphs.names[data] = f"glyph{len(self._glyphs.names) + 1}"
            self._canvas.beginForm(name, -_BOX, -_BOX, _BOX, _BOX)
            for path in glyph.iter("{*}path", "{*}ellipse"):
                with self._moved(path.get("transform", "")):
                    self._outline(_drawn(path.tag.rpartition("}")[2], path), fills=True, strokes=False)
            self._canvas.endForm()
        return name

    def _ink(self, style: _Properties) -> tuple[bool, bool]:
        """Set colours and lines where they are not set so; whether there is a filling, and whether a line."""
        canvas = self._canvas
        fill, stroke = (_colour(style[name], style) for name in ("fill", "stroke"))
        if fill and stroke and _length(style["stroke-width"]) <= self._hair:
            stroke = ""
        if fill and self._news("fill", fill):
            canvas.setFillColor(toColor(fill))
        if not stroke:
            return bool(fill), False
        if self._news("stroke", stroke):
            canvas.setStrokeColor(toColor(stroke))
        if self._news("width", style["stroke-width"]):
            canvas.setLineWidth(_length(style["stroke-width"]))
        if self._news("cap", style["stroke-linecap"]):
            canvas.setLineCap(_CAPS[style["stroke-linecap"]])
        if self._news("join", style["stroke-linejoin"]):
            canvas.setLineJoin(_JOINS[style["stroke-linejoin"]])
        if self._news("dash", style["stroke-dasharray"]):
            canvas.setDash(numbers_in(style["stroke-dasharray"]))
        return bool(fill), True

    def _news(self, name: str, value: str) -> bool:
        """Whether the canvas has another value; it counts as set from now on."""
        if self._set.get(name) == value:
            return False
        self._set[name] = value
        return True

    def _outline(self, drawn: Iterable[Segment], *, fills: bool, strokes: bool) -> None:
        path = self._canvas.beginPath()
        for kind, numbers in drawn:
            match kind:
                case "M":
                    path.moveTo(*numbers)
                case "L":
                    path.lineTo(*numbers)
                case "C":
                    path.curveTo(*numbers)
                case _:
                    path.close()
        self._canvas.drawPath(path, stroke=int(strokes), fill=int(fills), fillMode=1)

    def _text(self, element: _Element, style: _Properties) -> None:
        words: Words = words_of(element, style, self._styles)
        self._glyphs.missing |= words.missing
        for piece in words.pieces:
            fill = _colour(piece.fill, style)
            if not fill:
                continue
            if self._news("fill", fill):
                self._canvas.setFillColor(toColor(fill))
            text = self._canvas.beginText()
            # The page runs downwards, letters stand upright.
            text.setTextTransform(1, 0, 0, -1, piece.x, piece.y)
            text.setFont(known(piece.face), piece.size)
            text.textOut(piece.text)
            self._canvas.drawText(text)


def _drawn(tag: str, element: _Element) -> Iterator[Segment]:
    """The outline of a basic shape."""
    match tag:
        case "path":
            yield from segments(element.get("d", ""))
        case "polygon" | "polyline":
            numbers = numbers_in(element.get("points", ""))
            for place in range(0, len(numbers), 2):
                yield "L" if place else "M", (numbers[place], numbers[place + 1])
            if tag == "polygon":
                yield "Z", ()
        case "line":
            yield "M", (_at(element, "x1"), _at(element, "y1"))
            yield "L", (_at(element, "x2"), _at(element, "y2"))
        case "rect":
            x, y, wide, high = (_at(element, name) for name in ("x", "y", "width", "height"))
            yield "M", (x, y)
            for corner in ((x + wide, y), (x + wide, y + high), (x, y + high)):
                yield "L", corner
            yield "Z", ()
        case "ellipse" | "circle":
            rx = _at(element, "rx") or _at(element, "r")
            yield from _ellipse(_at(element, "cx"), _at(element, "cy"), rx, _at(element, "ry") or rx)
        case _:
            raise ValueError(f"an element that the PDF writer does not know: {tag}")


def _ellipse(x: float, y: float, rx: float, ry: float) -> Iterator[Segment]:
    """Four cubic curves; the handles make each a quarter of an ellipse to within three parts in ten thousand."""
    kx, ky = 0.5523 * rx, 0.5523 * ry
    yield "M", (x + rx, y)
    yield "C", (x + rx, y + ky, x + kx, y + ry, x, y + ry)
    yield "C", (x - kx, y + ry, x - rx, y + ky, x - rx, y)
    yield "C", (x - rx, y - ky, x - kx, y - ry, x, y - ry)
    yield "C", (x + kx, y - ry, x + rx, y - ky, x + rx, y)
    yield "Z", ()


def _per_millimetre(root: _Element) -> float:
    """Units of a page to the millimetre."""
    return numbers_in(root.get("viewBox", ""))[2] / float(root.get("width", "").removesuffix("mm"))


def _at(element: _Element, name: str) -> float:
    return _length(element.get(name, "0"))


def _length(text: str) -> float:
    return float(text.removesuffix("px"))


def _colour(value: str, style: _Properties) -> str:
    """A colour's name or number; empty for none."""
    if value in ("none", "transparent"):
        return ""
    return style["color"] if value == "currentColor" else value
