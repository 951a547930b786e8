"""Elements of MEI by their local names, and the few data types that its attributes have."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import TypeAlias

from lxml import etree

from pipeline.model.limits import MOST_IN_METRE
from pipeline.model.pitch import SpelledPitch
from pipeline.model.time import Value

Element: TypeAlias = etree._Element

ID = "{http://www.w3.org/XML/1998/namespace}id"
_DURATIONS = {"long": None, "breve": 0, "1": 1, "2": 2, "4": 4, "8": 8, "16": 16, "32": 32, "64": 64}
_MENSURAL = {"brevis": 0, "semibrevis": 1, "minima": 2, "semiminima": 4, "fusa": 8, "semifusa": 16}
_ALTERS = {"s": 1, "f": -1, "n": 0, "ss": 2, "x": 2, "ff": -2}
_WHOLE = re.compile(r"[0-9]{1,4}", re.ASCII)
_DECIMAL = re.compile(r"-?[0-9]{1,6}(?:\.[0-9]{1,6})?", re.ASCII)


def local(element: Element) -> str:
    """The name of an element without its namespace; empty for what is no element."""
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""


def children(element: Element, *names: str) -> Iterator[Element]:
    """Its children, or those of these names."""
    for child in element:
        if not names or local(child) in names:
            yield child


def inside(element: Element, *names: str) -> Iterator[Element]:
    """All of these names below it, in the order of the document."""
    for child in element.iter(*(f"{{*}}{name}" for name in names)):
        if child is not element:
            yield child


def first(element: Element | None, *path: str) -> Element | None:
    """The first child of the first name, in it the first of the second name …"""
    for name in path:
        element = next(children(element, name), None) if element is not None else None
    return element


def words(element: Element | None) -> str:
    """All text in it, one space between words."""
    return "" if element is None else " ".join(" ".join(str(text) for text in element.itertext()).split())


def whole(text: str | None, most: int = 9999) -> int | None:
    """A whole number from 0 to ``most``; None for anything else."""
    if text is None or not _WHOLE.fullmatch(text.strip()):
        return None
    number = int(text)
    return number if number <= most else None


def decimal(text: str | None) -> Fraction | None:
    if text is None or not _DECIMAL.fullmatch(text.strip()):
        return None
    return Fraction(text.strip())


def value_of(element: Element) -> Value | None:
    """``dur`` and ``dots``; None where there is none, or one that no sign stands for."""
    name = element.get("dur") or element.get("dur.ges") or ""
    unit = _DURATIONS.get(name, _MENSURAL.get(name))
    if unit is None:
        return None
    return Value(unit, min(2, whole(element.get("dots"), 4) or 0))


def alter_of(element: Element) -> int | None:
    """What an accidental of ``accid`` or ``accid.ges``, its own or its child's, makes of a note; None without any."""
    holders = [element, *children(element, "accid")]
    for name in ("accid.ges", "accid"):
        for holder in holders:
            if holder.get(name) in _ALTERS:
                return _ALTERS[str(holder.get(name))]
    return None


def pitch_of(element: Element) -> SpelledPitch | None:
    """``pname``, ``oct`` and accidental."""
    step, octave = (element.get("pname") or "").upper(), whole(element.get("oct"), 9)
    if len(step) != 1 or step not in "ABCDEFG" or octave is None:
        return None
    return SpelledPitch(step, alter_of(element) or 0, octave)


def metre_numbers(count: str | None, unit: str | None) -> tuple[int, int] | None:
    """Beats and unit of a metre that can be typed."""
    beats, beat = whole(count, MOST_IN_METRE), whole(unit, 32)
    return (beats, beat) if beats and beat in (1, 2, 4, 8, 16, 32) else None


def tuplet_ratio(element: Element) -> tuple[int, int] | None:
    """``num`` notes in the time of ``numbase``."""
    notes, time = whole(element.get("num"), MOST_IN_METRE), whole(element.get("numbase"), MOST_IN_METRE)
    return (notes, time) if notes and time else None


def references(element: Element, *names: str) -> list[str]:
    """The ids that attributes point to."""
    return [word[1:] for name in names for word in (element.get(name) or "").split() if word.startswith("#")]
