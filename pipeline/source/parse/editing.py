"""The two rules that every sign shares: what the edition reads against the source, and marks with labels."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeVar

from pipeline.findings.codes.syntax import UNKNOWN_MARK
from pipeline.model.signs import Act, Label, MarkGroup, Reading
from pipeline.model.text import Span
from pipeline.source.parse.cursor import Cursor

T = TypeVar("T")

_MARK = re.compile(r"[a-zA-Z1-4]")
_EDITED = re.compile(r"[!?*]")
_LETTER = re.compile(r"[a-z]")

#: Marks of the head, and of a stop, with their meaning for the message.
HEAD_MARKS = {
    "r": "arpeggio",
    "s": "spread",
    "u": "strum up",
    "d": "strum down",
    "f": "fermata",
    "b": "barre",
    "e": "and so on",
    "n": "no value from here",
}
STOP_MARKS = {
    "1": "first finger, left hand",
    "2": "second finger, left hand",
    "3": "third finger, left hand",
    "4": "fourth finger, left hand",
    "p": "thumb",
    "i": "index",
    "m": "middle finger",
    "a": "ring finger",
    "b": "end of a partial barre",
    "s": "line to the next stop",
    "h": "star: hold the finger down",
}


def read_edited(cursor: Cursor, sign: Callable[[Cursor], T], starts: re.Pattern[str]) -> Reading[T]:
    """ed(S) = S ["?"] ["!" [S ["?"] | "?" | "*"]] | "!" S ["?"] | "?" | "*" ;

    ``starts`` matches where an S begins: a ``?`` or ``*`` may begin one (``?:2``), and then it does.
    """
    if not cursor.sees(starts):
        if cursor.char("?"):
            return Reading(Act.ILLEGIBLE, None, None)
        if cursor.char("*"):
            return Reading(Act.LOST, None, None)
        if cursor.char("!"):
            source = sign(cursor)
            return Reading(Act.REMOVED, None, source, False, bool(cursor.char("?")))
    edition = sign(cursor)
    doubtful = bool(cursor.char("?"))
    if not cursor.char("!"):
        return Reading(Act.PRINTED, edition, edition, doubtful)
    if cursor.sees(starts):
        source = sign(cursor)
        return Reading(Act.EMENDED, edition, source, doubtful, bool(cursor.char("?")))
    if cursor.char("?"):
        return Reading(Act.SUPPLIED_ILLEGIBLE, edition, None, doubtful)
    if cursor.char("*"):
        return Reading(Act.SUPPLIED_LOST, edition, None, doubtful)
    return Reading(Act.ADDED, edition, None, doubtful)


def read_labels(cursor: Cursor) -> tuple[Label, ...]:
    """{label}, label = '"' small letter ;"""
    labels = []
    while cursor.char('"'):
        if cursor.take(_LETTER) is None:
            cursor.expected("the small letter of a label", 'A label is a double quote and a letter: "a')
        labels.append(Label(cursor.text[cursor.pos - 1], _span(cursor, cursor.pos - 2)))
    return tuple(labels)


def read_marks(cursor: Cursor, allowed: dict[str, str], where: str) -> tuple[MarkGroup, ...]:
    """{marks}, marks = "'" ( m {m} | edited m ) {label} ;"""
    groups = []
    while cursor.char("'"):
        start = cursor.pos - 1
        marks = _marks(cursor, allowed, where)
        span = _span(cursor, start)
        groups.append(MarkGroup(marks, read_labels(cursor), span))
    return tuple(groups)


def _marks(cursor: Cursor, allowed: dict[str, str], where: str) -> tuple[Reading[str], ...]:
    """m {m} | ed(m) with "!", "?" or "*" ;"""

    def mark(at: Cursor) -> str:
        return _mark(at, allowed, where)

    marks = [read_edited(cursor, mark, _MARK)]
    while cursor.sees(_MARK):
        if marks[0].act is not Act.PRINTED or marks[0].doubtful:
            cursor.expected("the end of an edited mark", "An edited mark stands alone after its tick: 'i'T!")
        letter = mark(cursor)
        if cursor.sees(_EDITED):
            cursor.expected("a plain mark", f"An edited mark stands alone after its own tick: '{letter}!")
        marks.append(Reading(Act.PRINTED, letter, letter))
    return tuple(marks)


def _mark(cursor: Cursor, allowed: dict[str, str], where: str) -> str:
    """m = small letter | CAPITAL | "1".."4" ;"""
    letter = cursor.take(_MARK)
    if letter is None:
        cursor.expected("a mark", "A mark is a letter, or 1 to 4 for a finger of the left hand.")
    if letter.isupper() or letter in allowed:
        return letter
    other = STOP_MARKS if allowed is HEAD_MARKS else HEAD_MARKS
    hint = f"Known here: {' '.join(allowed)}; capitals are declared in the heading."
    if letter in other:
        place = "at its stop" if allowed is HEAD_MARKS else "in the head, before ="
        hint = f"'{letter} ({other[letter]}) stands {place}"
    cursor.stop(f"No mark “{letter}” is known {where}.", hint, code=UNKNOWN_MARK, start=cursor.pos - 1, end=cursor.pos)


def _span(cursor: Cursor, start: int) -> Span:
    """From ``start`` to here, in columns of the word: placed on its line later."""
    return Span("", 0, cursor.base + start, cursor.base + cursor.pos)
