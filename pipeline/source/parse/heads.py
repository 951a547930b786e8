"""What stands over an event: value, group, beam, marks."""

from __future__ import annotations

import re
from itertools import pairwise

from pipeline.model.signs import Act, Group, Head, Label, Reading
from pipeline.model.text import Span
from pipeline.model.time import GROUPS, Value
from pipeline.source.parse.cursor import Cursor
from pipeline.source.parse.editing import HEAD_MARKS, read_edited, read_labels, read_marks

UNITS = (0, 1, 2, 4, 8, 16, 32, 64)
VALUE_START = re.compile(r"\d")
_EDITED_START = re.compile(r"[\d!?*]")
_DIGITS = re.compile(r"\d+")
_DOTS = re.compile(r"\.*")


def read_head(cursor: Cursor) -> Head:
    """head = {label} ["_"] [ed(value) [group] {label} | pair {label} | group {label}] {marks} ;   (* not empty *)"""
    if cursor.done:
        cursor.expected("a value or a mark before =", "A stop stands alone: 3:2; = alone is the chord as before.")
    opening = read_labels(cursor)
    beamed = bool(cursor.char("_"))
    value: Reading[Value] | None = None
    group, second = None, None
    labels: tuple[Label, ...] = ()
    if cursor.sees(_EDITED_START):
        value = read_edited(cursor, read_value, VALUE_START)
        second = _second(cursor, value)
    if second is None and cursor.char("/"):
        group = read_group(cursor)
    if value or group:
        labels = read_labels(cursor)
    marks = read_marks(cursor, HEAD_MARKS, "over an event")
    if not cursor.done:
        cursor.expected("=" if cursor.pos else "a value or a mark before =", _hint(cursor))
    span = Span("", 0, cursor.base, cursor.base + cursor.pos)
    return Head(value, span, beamed, group, opening, labels, marks, second)


def _second(cursor: Cursor, first: Reading[Value]) -> Value | None:
    """pair = "1+2" | "4+8" … ;   two plain signs over one event, alike or one half of the other: 4+8 is a dotted
    crotchet"""
    start = cursor.pos
    if not cursor.char("+"):
        return None
    value = read_value(cursor)
    plain = first.act is Act.PRINTED and not first.doubtful
    if not plain or first.edition is None or (first.edition.name, value.name) not in _PAIRS:
        hint = "4+8= is a crotchet and a quaver printed over one event, which lasts a dotted crotchet."
        cursor.expected("two plain signs, alike or one half of the other", hint, start=start, end=cursor.pos)
    return value


_PAIRS = frozenset(
    pair
    for one, half in pairwise(("0", "1", "2", "4", "8", "16"))
    for pair in ((one, half), (half, one), *(((one, one),) if one != "0" else ()))
)


def read_value(cursor: Cursor) -> Value:
    """value = ("0"|"1"|"2"|"4"|"8"|"16"|"32"|"64") ["." | ".."] ;"""
    start = cursor.pos
    digits = cursor.take(_DIGITS)
    if digits is None or digits not in _UNIT_NAMES:
        cursor.expected("a value", "Values are 0 (breve) 1 2 4 8 16 32 64", start=start, end=max(cursor.pos, start + 1))
    return Value(int(digits), read_dots(cursor))


_UNIT_NAMES = frozenset(str(unit) for unit in UNITS)


def read_dots(cursor: Cursor) -> int:
    """dots = ["." | ".."] ;"""
    start = cursor.pos
    dots = cursor.take(_DOTS) or ""
    if len(dots) > 2:
        cursor.expected("two dots at most", start=start + 2, end=cursor.pos)
    return len(dots)


def read_group(cursor: Cursor) -> Group:
    """group = "/" n [":" m] ["!"] ;   the slash is read already"""
    start = cursor.pos
    notes = _number(cursor, "how many notes form the group")
    if notes not in GROUPS:
        cursor.expected("a number of notes that can form a group", start=start, end=cursor.pos)
    typed = _number(cursor, "in the time of how many") if cursor.char(":") else None
    time = usual_time(notes) if typed is None else typed
    return Group(notes, time, typed, bool(cursor.char("!")))


def usual_time(notes: int) -> int:
    """What ``/n`` alone means: n in the time of the next lower power of two; two in the time of three,
    and other powers of two in the time of three quarters of themselves (common practice, no source)."""
    power = 1 << (notes.bit_length() - 1)
    if power == notes:
        return 3 if notes == 2 else notes * 3 // 4
    return power


def _number(cursor: Cursor, what: str) -> int:
    """n = digit {digit} ;   from 1 to 64"""
    start = cursor.pos
    digits = cursor.take(_DIGITS)
    if digits is None or len(digits) > 2 or digits[0] == "0" or int(digits) > 64:
        cursor.expected(what, "A triplet is 8/3=, five in the time of four 16/5:4=", start=start)
    return int(digits)


def _hint(cursor: Cursor) -> str:
    rest = cursor.text[cursor.pos :]
    if rest[0] == "_":
        return "The beam stands before the value: _8="
    if rest[0] == ".":
        return "A dot follows its value: 4.="
    return ""
