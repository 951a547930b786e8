"""Elements of MusicXML, and the few data types in them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeAlias

from lxml import etree

from pipeline.model.limits import LONGEST_VOICE_NOTE, MOST_IN_METRE
from pipeline.model.pitch import SpelledPitch
from pipeline.model.time import WHOLE, Value
from pipeline.source.partbook.safety import BrokenError

Element: TypeAlias = etree._Element

_UNITS = {"breve": 0, "whole": 1, "half": 2, "quarter": 4, "eighth": 8, "16th": 16, "32nd": 32, "64th": 64}
_NUMBER = re.compile(r"-?[0-9]{1,9}(?:\.[0-9]{1,6})?", re.ASCII)
_VALUES = tuple(Value(unit, dots) for unit in (0, 1, 2, 4, 8, 16, 32, 64) for dots in (0, 1, 2))


def text(element: Element | None, path: str = "") -> str:
    """The words in it, or in its first child of this path, one space between them."""
    found = element.find(path) if element is not None and path else element
    return "" if found is None else " ".join("".join(str(part) for part in found.itertext()).split())


def number(said: str) -> Fraction | None:
    return Fraction(said) if _NUMBER.fullmatch(said) else None


def whole(said: str, most: int = 9999) -> int | None:
    """A whole number from 0 to ``most``."""
    found = number(said)
    return int(found) if found is not None and found.denominator == 1 and 0 <= found <= most else None


def pitch_of(holder: Element | None, step: str, alter: str, octave: str) -> SpelledPitch | None:
    """A pitch whose parts have these names."""
    letter, height = text(holder, step).upper(), whole(text(holder, octave), 9)
    off = number(text(holder, alter) or "0")
    if (
        len(letter) != 1
        or letter not in "ABCDEFG"
        or height is None
        or off is None
        or off.denominator != 1
        or abs(off) > 2
    ):
        return None
    return SpelledPitch(letter, int(off), height)


def note_pitch(note: Element) -> SpelledPitch | None:
    return pitch_of(note.find("pitch"), "step", "alter", "octave")


def string_pitch(tuned: Element) -> SpelledPitch | None:
    return pitch_of(tuned, "tuning-step", "tuning-alter", "tuning-octave")


def value_of(note: Element) -> Value | None:
    """``type`` and ``dot``; None where no type is told."""
    unit = _UNITS.get(text(note, "type"))
    return None if unit is None else Value(unit, min(2, len(note.findall("dot"))))


def value_for(length: Fraction) -> Value | None:
    """The value of a length in whole notes; None where no single sign has it."""
    return next((value for value in _VALUES if Fraction(value.ticks, WHOLE) == length), None)


def ratio_of(note: Element) -> tuple[int, int] | None:
    """So many notes in the time of so many."""
    modified = note.find("time-modification")
    notes, time = (whole(text(modified, name), MOST_IN_METRE) for name in ("actual-notes", "normal-notes"))
    return (notes, time) if notes and time and notes != time else None


@dataclass(slots=True)
class Moment:
    """All of one staff of a part that begins at one time of a measure: notes, and what stands before them."""

    onset: Fraction
    notes: list[Element] = field(default_factory=list)
    before: list[Element] = field(default_factory=list)


@dataclass(slots=True)
class Measure:
    """One measure of a part: its moments in order, its length in whole notes, what has no time."""

    element: Element
    name: str
    moments: dict[Fraction, Moment] = field(default_factory=dict)
    length: Fraction = Fraction(0)

    def at(self, onset: Fraction) -> Moment:
        return self.moments.setdefault(onset, Moment(onset))

    def ordered(self) -> list[Moment]:
        return [self.moments[onset] for onset in sorted(self.moments)]


def measures(part: Element, staff: str) -> Iterator[Measure]:
    """The measures of one staff of a part; ``staff`` is its number, empty for all. Raises BrokenError."""
    divisions = Fraction(1)
    for place, element in enumerate(part.findall("measure"), start=1):
        measure = Measure(element, element.get("number") or str(place))
        now, onset = Fraction(0), Fraction(0)
        for child in element:
            if child.tag == "attributes":
                told = number(text(child, "divisions"))
                divisions = told if told is not None and 0 < told <= 100_000 else divisions
            elif child.tag in ("backup", "forward"):
                step = _length(child, divisions)
                now = max(Fraction(0), now - step) if child.tag == "backup" else now + step
            elif child.tag == "note":
                length = Fraction(0) if child.find("grace") is not None else _length(child, divisions)
                if child.find("chord") is None:
                    onset, now = now, now + length
                if _on(child, staff):
                    measure.at(onset).notes.append(child)
                measure.length = max(measure.length, now)
            elif child.tag in ("direction", "harmony", "figured-bass") and _on(child, staff):
                offset = number(text(child, "offset") or "0") or Fraction(0)
                measure.at(max(Fraction(0), now + offset / (4 * divisions))).before.append(child)
        yield measure


def _on(element: Element, staff: str) -> bool:
    return not staff or (text(element, "staff") or "1") == staff


def _length(element: Element, divisions: Fraction) -> Fraction:
    """Its duration in whole notes; that of its type where none is told."""
    told = number(text(element, "duration"))
    if told is None:
        value = value_of(element) if element.tag == "note" else None
        return Fraction(value.ticks, WHOLE) if value is not None else Fraction(0)
    length = told / (4 * divisions)
    if not 0 <= length <= LONGEST_VOICE_NOTE:
        raise BrokenError(f"a note or rest in it lasts longer than {LONGEST_VOICE_NOTE:,} crotchets, or less than none")
    return length
