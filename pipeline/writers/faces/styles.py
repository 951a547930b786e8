"""What an element looks like: its attributes, and the rules of the page's style sheet."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lxml.etree import _Element

_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_SIMPLE = re.compile(r"([A-Za-z][\w-]*)|\.([\w-]+)|\[([\w-]+)\]")
#: What an element takes from the one around it.
_INHERITED = {
    "color": "black",
    "fill": "black",
    "stroke": "none",
    "stroke-width": "1",
    "stroke-dasharray": "none",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "font-size": "16",
    "font-style": "normal",
    "font-weight": "normal",
    "text-anchor": "start",
    "visibility": "visible",
}
START: Mapping[str, str] = _INHERITED


@dataclass(frozen=True, slots=True)
class _Compound:
    """``path[stroke-dasharray]``, ``.title``: what one element must be."""

    tag: str
    classes: frozenset[str]
    attributes: frozenset[str]

    def fits(self, element: _Element) -> bool:
        return (
            (not self.tag or element.tag.rpartition("}")[2] == self.tag)
            and (not self.classes or self.classes <= set(element.get("class", "").split()))
            and all(element.get(name) is not None for name in self.attributes)
        )


@dataclass(frozen=True, slots=True)
class _Rule:
    """Declarations for elements that fit the last compound, with the others around them, outermost first."""

    compounds: tuple[_Compound, ...]
    declarations: tuple[tuple[str, str], ...]
    weight: tuple[int, int, int]


class Styles:
    """A style sheet of rules with tags, classes, attributes and descent; nothing else is read."""

    def __init__(self, sheet: str) -> None:
        rules: list[_Rule] = []
        for selectors, body in _RULE.findall(sheet):
            pairs = (part.partition(":") for part in body.split(";") if ":" in part)
            declarations = tuple((name.strip(), value.strip()) for name, _, value in pairs)
            for selector in selectors.split(","):
                rules.append(_rule(selector, declarations, len(rules)))
        self._rules = sorted(rules, key=lambda rule: rule.weight)
        self._asked = sorted({name for rule in rules for name in rule.compounds[-1].attributes})
        self._known: dict[tuple[str, ...], list[_Rule]] = {}

    def of(self, element: _Element, around: Mapping[str, str]) -> Mapping[str, str]:
        """All properties of an element: inherited, from its attributes, from the rules, from its own style."""
        own = {str(name): str(value) for name, value in element.items() if name in _INHERITED}
        for rule in self._for(element):
            if _stands(element, rule.compounds):
                own.update(rule.declarations)
        style = element.get("style")
        if style is not None:
            pairs = (part.partition(":") for part in style.split(";"))
            own.update({name.strip(): value.strip() for name, _, value in pairs})
        return {**around, **own} if own else around

    def _for(self, element: _Element) -> Sequence[_Rule]:
        """The rules whose last compound the element fits."""
        has = (name for name in self._asked if element.get(name) is not None)
        key = (str(element.tag), element.get("class", ""), *has)
        if key not in self._known:
            self._known[key] = [rule for rule in self._rules if rule.compounds[-1].fits(element)]
        return self._known[key]


def _rule(selector: str, declarations: tuple[tuple[str, str], ...], place: int) -> _Rule:
    compounds = tuple(_compound(word) for word in selector.split())
    if not compounds:
        raise ValueError("a rule of the style sheet is for nothing")
    strong = sum(len(compound.classes) + len(compound.attributes) for compound in compounds)
    return _Rule(compounds, declarations, (strong, sum(bool(compound.tag) for compound in compounds), place))


def _compound(word: str) -> _Compound:
    found = _SIMPLE.findall(word)
    if "".join(tag or (f".{name}" if name else f"[{attribute}]") for tag, name, attribute in found) != word:
        raise ValueError(f"a selector that the PDF writer does not know: {word}")
    return _Compound(
        next((tag for tag, _, _ in found if tag), ""),
        frozenset(name for _, name, _ in found if name),
        frozenset(attribute for _, _, attribute in found if attribute),
    )


def _stands(element: _Element, compounds: tuple[_Compound, ...]) -> bool:
    """Whether the elements around fit the compounds before the last, in order."""
    wanted = len(compounds) - 2
    parent = element.getparent()
    while wanted >= 0 and parent is not None:
        if compounds[wanted].fits(parent):
            wanted -= 1
        parent = parent.getparent()
    return wanted < 0
