"""Names of the parts of a measure that is too long for one line and is set as several."""

from __future__ import annotations

_MARK = "-part"


def part_id(measure: str, number: int) -> str:
    """The id of part ``number`` (from 1); the first keeps the measure's own."""
    return measure if number == 1 else f"{measure}{_MARK}{number}"


def whole_id(part: str) -> str:
    """The measure that a part belongs to; a whole measure is its own."""
    head, mark, tail = part.rpartition(_MARK)
    return head if mark and tail.isdecimal() else part
