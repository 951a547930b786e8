"""How the staves are numbered in the document: 1 is the topmost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.model.notes import LOWER_STAFF, UPPER_STAFF
from pipeline.model.score import Score


@dataclass(frozen=True, slots=True)
class StaffNumbers:
    """The number of the tablature (empty if there is none), of the two staves under it, and of each sung staff by
    its name."""

    tab: str
    pair: Mapping[int, str]
    sung: Mapping[str, str]

    @property
    def top(self) -> str:
        """The staff over which words for everybody stand, the tablature's own left aside."""
        return min((*self.pair.values(), *self.sung.values()), key=int)


def staff_numbers(score: Score) -> StaffNumbers:
    """Tablature, sung staves, the two staves of the accompaniment, basses; each only where the score has it."""
    above = [staff.name for staff in score.vocal if not staff.bass]
    below = [staff.name for staff in score.vocal if staff.bass]
    first = 2 if score.tablature else 1
    sung = {name: str(first + place) for place, name in enumerate(above)}
    upper = first + len(above)
    sung |= {name: str(upper + 2 + place) for place, name in enumerate(below)}
    pair = {UPPER_STAFF: str(upper), LOWER_STAFF: str(upper + 1)}
    return StaffNumbers("1" if score.tablature else "", pair, sung)
