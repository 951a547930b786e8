"""What every written note has, on whichever staff: its value, its accidental, its place under beams."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.model.notes import BeamState
from pipeline.model.time import Value
from pipeline.writers.mei.names import ACCID, DURATIONS, Element, sub

_GESTURAL = {1: "s", -1: "f", 2: "ss", -2: "ff"}
_JOINED = (BeamState.BEGIN, BeamState.CONTINUE)


def timing(value: Value) -> dict[str, str]:
    """``dur`` and ``dots``."""
    attributes = {"dur": DURATIONS[value.unit]}
    if value.dots:
        attributes["dots"] = str(value.dots)
    return attributes


def secondary_break(attributes: dict[str, str], beams: Sequence[BeamState], after: Sequence[BeamState]) -> None:
    """``breaksec``: how many beams go on where the inner ones are broken."""
    going_on = sum(1 for state in beams if state in _JOINED)
    if 0 < going_on < len(beams) and len(after) > going_on:
        attributes["breaksec"] = str(going_on)


def write_accidental(note: Element, printed: str, alter: int, *, courtesy: bool) -> None:
    """The accidental that is printed (a courtesy one in round brackets), or, unprinted, the one that sounds."""
    if courtesy:
        sub(note, ACCID, {"accid": printed, "enclose": "paren", "func": "caution"})
    elif printed:
        note.set("accid", printed)
    elif alter:
        note.set("accid.ges", _GESTURAL[alter])
