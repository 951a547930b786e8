"""Pages that carry their letters: as faces for browsers, as outlines for all that read no faces from a page.

A browser sets the texts in the embedded faces: they can be chosen, copied and searched. Programs that only draw
(``rsvg-convert``, resvg) know the faces of their machine alone, on which the same words may be a fifth longer. They
also pass over ``@supports``, which every browser reads: so they draw the outlines, at the same places.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lxml import etree
from lxml.etree import _Element

from pipeline.writers.faces.embed import face_rules
from pipeline.writers.faces.outline import outline
from pipeline.writers.faces.setting import SIGNS, TEXT
from pipeline.writers.faces.store import face
from pipeline.writers.faces.styles import START, Styles
from pipeline.writers.faces.words import Piece, words_of

_SVG = "{http://www.w3.org/2000/svg}"
_RULES = "text{display:none}.faces path{stroke:none}@supports(display:grid){text{display:inline}.letters{display:none}}"
#: First letters of the names of outlines, by face; glyphs of music are named by figures and A to F.
_INITIALS = {name: initial for initial, name in zip("RSTUV", (*TEXT.values(), SIGNS), strict=True)}


@dataclass(frozen=True, slots=True)
class Lettered:
    """A page with its letters; its faces, each with the characters that it shows; and the characters of its texts that
    no face has (drawn as U+FFFD, or by a browser from a face of the machine)."""

    page: str
    faces: tuple[tuple[str, str], ...]
    missing: frozenset[str]


def lettered(page: str) -> Lettered:
    """A page that looks the same on every machine. The same page gives the same text."""
    root = etree.fromstring(page.encode(), etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True))
    sheet = root.find(f"{_SVG}style")
    if sheet is None:
        sheet = etree.Element(f"{_SVG}style")
        root.insert(0, sheet)
    setter = _Setter(Styles(sheet.text or ""))
    for text in list(root.iter(f"{_SVG}text")):
        setter.set(text)
    sheet.text = face_rules(setter.shown) + (sheet.text or "") + _RULES
    sheet.addnext(_outlines(setter.drawn))
    written = etree.tostring(root, encoding="unicode")
    faces = tuple((name, "".join(sorted(setter.shown[name]))) for name in sorted(setter.shown))
    return Lettered(f'<?xml version="1.0" encoding="UTF-8"?>\n{written}\n', faces, frozenset(setter.missing))


@dataclass(slots=True)
class _Setter:
    """Sets the outlines of one text after the other, and remembers what they need."""

    styles: Styles
    missing: set[str] = field(default_factory=set)
    #: Face → characters: of the texts, and of the outlines.
    shown: dict[str, set[str]] = field(default_factory=dict)
    drawn: dict[str, set[str]] = field(default_factory=dict)
    _known: dict[_Element, Mapping[str, str]] = field(default_factory=dict)

    def set(self, text: _Element) -> None:
        style = self._style(text)
        words = words_of(text, style, self.styles)
        self.missing |= words.missing
        if style["visibility"] == "hidden":
            return
        drawn = [self._drawn(piece) for piece in words.pieces]
        for letters in reversed([each for each in drawn if len(each)]):
            text.addnext(letters)

    def _drawn(self, piece: Piece) -> _Element:
        """One use of an outline for each character, in the units of the face."""
        own, initial = face(piece.face), _INITIALS[piece.face]
        self.shown.setdefault(piece.face, set()).update(piece.text)
        place = f"translate({piece.x:.1f} {piece.y:.1f})scale({piece.size / own.units:.5g})"
        letters = etree.Element(f"{_SVG}g", {"class": "letters", "transform": place})
        if piece.fill != "currentColor":
            letters.set("fill", piece.fill)
        x = 0
        for character in piece.text:
            if outline(piece.face, character):
                self.drawn.setdefault(piece.face, set()).add(character)
                place_of = {"x": str(x)} if x else {}
                etree.SubElement(letters, f"{_SVG}use", {"href": f"#{initial}{ord(character):x}", **place_of})
            x += own.advances[own.glyphs[character]]
        return letters

    def _style(self, element: _Element) -> Mapping[str, str]:
        if element not in self._known:
            parent = element.getparent()
            self._known[element] = self.styles.of(element, START if parent is None else self._style(parent))
        return self._known[element]


def _outlines(drawn: Mapping[str, set[str]]) -> _Element:
    """The outline of every character that is drawn, once."""
    held = etree.Element(f"{_SVG}defs", {"class": "faces"})
    for name in sorted(drawn):
        for character in sorted(drawn[name]):
            named = {"id": f"{_INITIALS[name]}{ord(character):x}", "d": outline(name, character)}
            etree.SubElement(held, f"{_SVG}path", named)
    return held
