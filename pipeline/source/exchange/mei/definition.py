"""``scoreDef``: which staff is the tablature, which are sung; tuning, metre, lines, symbols."""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.model.glyphs import sign_of_glyphs
from pipeline.model.instrument import Course
from pipeline.model.limits import MOST_COURSES
from pipeline.model.pitch import SpelledPitch
from pipeline.source.exchange.mei.tree import (
    ID,
    Element,
    children,
    first,
    inside,
    local,
    metre_numbers,
    pitch_of,
    whole,
    words,
)
from pipeline.source.exchange.tuning import standard_tuning

_BASS_WORDS = ("bass", "contin", "b.c", "fundament")


@dataclass(slots=True)
class Staff:
    """One staff by its number. ``role`` is tablature, voice, bass or other (staves that show the tablature's music)."""

    number: str
    element: Element
    role: str = "other"
    name: str = ""
    label: str = ""


@dataclass(slots=True)
class Definition:
    """What the head of the score defines."""

    staves: list[Staff] = field(default_factory=list)
    symbols: dict[str, str] = field(default_factory=dict)

    def of(self, role: str) -> list[Staff]:
        return [staff for staff in self.staves if staff.role == role]

    @property
    def tab(self) -> Staff | None:
        return next(iter(self.of("tablature")), None)

    def role(self, number: str) -> str:
        return next((staff.role for staff in self.staves if staff.number == number), "other")


def definition_of(score: Element) -> Definition:
    """The staves of a score in their order, each with what it is for."""
    found = Definition(symbols=_symbols(score))
    head = first(score, "scoreDef")
    if head is None:
        head = next(inside(score, "scoreDef"), None)
    if head is None:
        return found
    tabbed, sung, figured = _evidence(score)
    for element in inside(head, "staffDef"):
        number = element.get("n") or str(len(found.staves) + 1)
        label = words(first(element, "label")) or element.get("label") or ""
        staff = Staff(number, element, label=label)
        tuned = first(element, "tuning") is not None or bool(element.get("tab.strings"))
        if (element.get("notationtype") or "").startswith("tab") or tuned or number in tabbed:
            staff.role = "tablature"
        elif number in sung:
            staff.role = "voice"
        elif number in figured or any(word in label.lower() for word in _BASS_WORDS):
            staff.role = "bass"
        elif label and not _braced(element):
            staff.role = "voice"
        found.staves.append(staff)
    _name(found)
    return found


def _evidence(score: Element) -> tuple[set[str], set[str], set[str]]:
    """The numbers of staves with figures of a tablature, with words, with figures of a bass."""
    tabbed, sung, figured = set(), set(), set()
    for staff in inside(score, "staff"):
        number = staff.get("n") or ""
        if number not in tabbed and any(True for _ in inside(staff, "tabGrp", "tabDurSym")):
            tabbed.add(number)
        if number not in sung and any(True for _ in inside(staff, "verse", "syl")):
            sung.add(number)
    for harm in inside(score, "harm"):
        if first(harm, "fb") is not None:
            figured.add(harm.get("staff") or "")
    return tabbed, sung, figured


def _braced(element: Element) -> bool:
    parent = element.getparent()
    return parent is not None and local(parent) == "staffGrp" and parent.get("symbol") == "brace"


def _name(found: Definition) -> None:
    voices = found.of("voice")
    for place, staff in enumerate(voices[:9]):
        staff.name = "v" if not place else f"v{place + 1}"
    for staff in found.of("bass")[:1]:
        staff.name = "b"


def _symbols(score: Element) -> dict[str, str]:
    """Symbols that are drawn in place of a figure, as the sign that they show."""
    found: dict[str, str] = {}
    for definition in inside(score, "symbolDef"):
        numbers = []
        for symbol in children(definition, "symbol"):
            code = (symbol.get("glyph.num") or "").removeprefix("U+").removeprefix("#x")
            try:
                numbers.append(int(code, 16))
            except ValueError:
                break
        text = sign_of_glyphs(tuple(numbers))
        if text:
            found[definition.get(ID) or ""] = text
    return found


def courses_of(tuning: Element | None) -> tuple[Course, ...] | None:
    """The courses of a ``tuning`` from 1 on; None if it tells none, or not all."""
    if tuning is None:
        return None
    made: dict[int, Course] = {}
    for course in children(tuning, "course"):
        number, pitch = whole(course.get("n"), MOST_COURSES), pitch_of(course)
        strings = [pitch_of(string) for string in children(course, "string")]
        known: tuple[SpelledPitch, ...] = tuple(string for string in strings if string is not None)
        if not known and pitch is not None:
            known = (pitch,)
        if not number or not known or len(known) < len(strings):
            return None
        made[number] = Course(number, known)
    if made and set(made) == set(range(1, len(made) + 1)):
        return tuple(made[number] for number in sorted(made))
    return standard_tuning(tuning.get("tuning.standard") or "") or None if not made else None


def metre_typed(element: Element | None) -> str:
    """``meterSig``, or the attributes of a ``staffDef``, as a metre is typed; empty where there is none."""
    if element is None:
        return ""
    signature = next(children(element, "meterSig"), None) if local(element) != "meterSig" else element
    if signature is not None:
        sign, count, unit = signature.get("sym"), signature.get("count"), signature.get("unit")
        alone = signature.get("form") == "num"
    else:
        sign, count, unit = element.get("meter.sym"), element.get("meter.count"), element.get("meter.unit")
        alone = element.get("meter.form") == "num"
    numbers = metre_numbers(count, unit)
    if sign in ("common", "cut"):
        plain = (4, 4) if sign == "common" else (2, 2)
        typed = "C" if sign == "common" else "C|"
        return typed if numbers in (None, plain) else f"{typed} = {numbers[0]}/{numbers[1]}"
    if numbers is None:
        return ""
    if alone:
        usual = (2, 2) if numbers[0] == 2 else (numbers[0], 4)
        return str(numbers[0]) + ("" if numbers == usual else f" = {numbers[0]}/{numbers[1]}")
    return f"{numbers[0]}/{numbers[1]}"
