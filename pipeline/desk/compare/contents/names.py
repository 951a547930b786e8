"""Names in the events document, and texts of its attributes read back as values."""

from __future__ import annotations

import re
from fractions import Fraction

from lxml.etree import _Element

from pipeline.model.signs import Act, Slur
from pipeline.model.tablature import BarlineKind
from pipeline.model.text import Span
from pipeline.model.time import WHOLE, Ticks

_NAMESPACE = "{urn:longneck:events:1}"


def _tag(name: str) -> str:
    return f"{_NAMESPACE}{name}"


class Tag:
    """Qualified names of elements."""

    EVENTS, HEADING, READINGS, SONG = _tag("events"), _tag("heading"), _tag("readings"), _tag("song")
    TITLE, COMPOSER, REMARK, WITNESS, EDITOR = map(_tag, ("title", "composer", "remark", "witness", "editor"))
    EDITION, LICENCE, CANVAS = map(_tag, ("edition", "licence", "canvas"))
    DECLARED_MARK, INSTRUMENT, COURSE, STRING = map(_tag, ("declared-mark", "instrument", "course", "string"))
    METHOD, HABIT, ACROSS = map(_tag, ("method", "habit", "across"))
    DIRECTIVE, BAR, FOLIO, VARIANT, NOTE = map(_tag, ("directive", "bar", "folio", "variant", "note"))
    EVENT, BARLINE, BREAK, UNREAD = map(_tag, ("event", "barline", "break", "unread"))
    VALUE, GROUP, MARK, STOP, SOURCE, READING = map(_tag, ("value", "group", "mark", "stop", "source", "reading"))
    RESTORED, LINE, CHORD, SYLLABLE, FIGURE = map(_tag, ("restored", "line", "chord", "syllable", "figure"))
    #: What stands in a bar in typed order.
    ITEMS = frozenset((EVENT, BARLINE, BREAK, UNREAD))


ACTS = {act.value.replace(", ", "-"): act for act in Act}
SLURS = {"printed": Slur.PRINTED, "added": Slur.ADDED, "doubtful": Slur.DOUBTFUL, "removed": Slur.REMOVED}
_PITCH = re.compile(r"[A-G](#{0,9}|b{0,9})-?[0-9]{1,2}")
_VALUE = re.compile(r"(0|1|2|4|8|16|32|64)\.{0,2}")
_LINES = frozenset(kind.value for kind in BarlineKind)


def said(element: _Element, name: str) -> bool:
    """True if a truth is written at an element."""
    return element.get(name) == "yes"


def ticks(text: str | None) -> Ticks:
    """A time as written: ``3/4`` of a whole note. Raises ValueError."""
    whole, _, part = (text or "").partition("/")
    return WHOLE * int(whole) // (int(part) if part else 1)


def fraction(text: str) -> Fraction:
    """A ratio as written. Raises ValueError."""
    found = Fraction(text)
    if not found > 0:
        raise ValueError(f"{text} is no ratio")
    return found


def strings(instrument: _Element) -> tuple[str, ...]:
    """The strings of each course: ``G2+G3``. Raises ValueError."""
    courses = instrument.iterfind(Tag.COURSE)
    return tuple("+".join(map(_pitch, course.iterfind(Tag.STRING))) for course in courses)


def _pitch(string: _Element) -> str:
    pitch = string.get("pitch", "")
    if _PITCH.fullmatch(pitch) is None:
        raise ValueError(f"{pitch} is no pitch")
    return pitch


def value(text: str) -> str:
    """The name of a rhythm value, or nothing. Raises ValueError."""
    if text and _VALUE.fullmatch(text) is None:
        raise ValueError(f"{text} is no value")
    return text


def opens_bar(text: str) -> bool:
    """True if an ``opens`` line names a bar line, which then stands first in its bar."""
    return text in _LINES


def labels(element: _Element) -> list[str]:
    """The labels at a sign."""
    return element.get("labels", "").split()


def span(element: _Element, file: str) -> Span:
    """Its place in the text; ``file`` is that of the whole document."""
    line, column, end = (int(element.get(name, "0")) for name in ("line", "column", "end"))
    return Span(element.get("file", file), line, column, end)
