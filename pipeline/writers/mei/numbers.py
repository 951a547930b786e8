"""How the staves are numbered in the document: 1 is the topmost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.edition.casting import Cast
from pipeline.model.notes import LOWER_STAFF, UPPER_STAFF, Kind
from pipeline.model.score import Measure, Score


@dataclass(frozen=True, slots=True)
class StaffNumbers:
    """The number of the tablature (empty if there is none), of the two staves under it (none or both), and of each
    sung staff by its name. ``copy`` says that notes stand as their line is meant."""

    tab: str
    pair: Mapping[int, str]
    sung: Mapping[str, str]
    copy: bool = False


def staff_numbers(score: Score) -> StaffNumbers:
    """Voices, the tablature, the two staves that show what sounds, basses; each only where the score has it."""
    above = [staff.name for staff in score.vocal if not staff.bass]
    below = [staff.name for staff in score.vocal if staff.bass]
    sung = {name: str(1 + place) for place, name in enumerate(above)}
    tab = str(len(above) + 1) if score.tablature else ""
    upper = len(above) + score.tablature + 1
    pair = {UPPER_STAFF: str(upper), LOWER_STAFF: str(upper + 1)} if score.staves else {}
    sung |= {name: str(upper + len(pair) + place) for place, name in enumerate(below)}
    return StaffNumbers(tab, pair, sung, score.copy)


def leaves_out(score: Score) -> bool:
    """Whether a voice that rests through a whole line is left out there: not the only one of a singer's copy."""
    return len(score.vocal) > (1 if score.copy else 0)


def tops(cast: Cast, numbers: StaffNumbers) -> list[str]:
    """For each measure, the staff over which words for everybody stand: the topmost voice that its line shows, else
    the instrument's first. The first line shows every voice; from then on one that rests through it is left out."""
    voices = [staff.name for staff in cast.score.vocal if not staff.bass]
    instrument = numbers.tab or numbers.pair.get(UPPER_STAFF) or next(iter(numbers.sung.values()), "")
    found: list[str] = []
    edges = [0, *sorted(cast.starts), len(cast.measures)]
    for first, last in pairwise(edges):
        heard = _heard(cast.measures[first:last]) if first and leaves_out(cast.score) else set(voices)
        shown = next((numbers.sung[name] for name in voices if name in heard), instrument)
        found.extend(shown for _ in range(first, last))
    return found


def _heard(measures: Sequence[Measure]) -> set[str]:
    return {
        staff.staff
        for measure in measures
        for staff in measure.sung
        if any(event.kind is Kind.NOTE for event in staff.events)
    }
