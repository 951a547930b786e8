"""Which accidentals are drawn: those the signature and the measure so far do not give."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.edition.notate.drafts import DraftHead, DraftLayer, DraftSung
from pipeline.model.notes import Kind

_SIGNS = {-2: "ff", -1: "f", 0: "n", 1: "s", 2: "x"}
_SHARPS = "FCGDAEB"


class Accidentals:
    """Goes through the measures in order; remembers the measure before for courtesy signs."""

    def __init__(self) -> None:
        self._changed_before: set[str] = set()

    def measure(self, heads: Sequence[DraftHead | DraftSung], fifths: int, *, free: bool = False) -> None:
        """Set ``accidental`` and ``courtesy`` on every head of a measure, given in reading order. In ``free``
        measures, which may be long, an accidental holds only as long as its note is repeated."""
        signature = signature_of(fifths)
        in_force: dict[tuple[int, str, int], int] = {}
        last: dict[str, int] = {}
        for head in heads:
            pitch = head.pitch
            usual = signature.get(pitch.step, 0)
            place = (head.staff, pitch.step, pitch.octave)
            if not head.tie_to:
                if in_force.get(place, usual) != pitch.alter:
                    head.accidental = _SIGNS[pitch.alter]
                elif pitch.alter == usual and place not in in_force and self._remind(pitch.step, usual, last):
                    head.accidental, head.courtesy = _SIGNS[pitch.alter], True
                if free:
                    in_force.clear()
                in_force[place] = pitch.alter
            last[pitch.step] = pitch.alter
        self._changed_before = {step for step, alter in last.items() if alter != signature.get(step, 0)}

    def _remind(self, step: str, usual: int, last: dict[str, int]) -> bool:
        """The reader needs a reminder if the step was last altered, here or in the measure before."""
        return last[step] != usual if step in last else step in self._changed_before


def signature_of(fifths: int) -> dict[str, int]:
    """Letter → alteration of a key signature."""
    if fifths >= 0:
        return dict.fromkeys(_SHARPS[:fifths], 1)
    return dict.fromkeys(_SHARPS[::-1][:-fifths], -1)


def in_order(layers: Sequence[DraftLayer]) -> list[DraftHead]:
    """The heads of a measure from left to right, at one moment from low to high."""
    found = [
        (event.start, head.note.spelling.semitones, place, head)
        for place, layer in enumerate(layers)
        for event in layer.events
        if event.kind is Kind.NOTE
        for head in event.heads
    ]
    found.sort(key=lambda item: item[:3])
    return [item[3] for item in found]
