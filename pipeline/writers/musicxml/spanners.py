"""Lines that run from one sign to another: which end stands where, and the number that joins the two ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from pipeline.model.score import Measure, Score, SlurKind

_HIGHEST_NUMBER = 16


class Line(Enum):
    """The kinds of line; each kind counts its own numbers."""

    SLUR = "slur"
    DASHES = "dashes"
    BRACKET = "bracket"
    HOLD = "hold"


@dataclass(frozen=True, slots=True)
class End:
    """One end of a line. ``dashed`` is true for a slur that is the editor's."""

    line: Line
    id: str
    starts: bool
    dashed: bool = False


class Spanners:
    """The ends of all lines of one part, by the id of the sign that they stand at.

    A line is written only if both its signs are: a slur from a chord that is not printed again has no left end.
    """

    def __init__(self, score: Score, *, tablature: bool) -> None:
        self.ends: dict[str, list[End]] = {}
        self._open: dict[Line, dict[str, tuple[int, int]]] = {line: {} for line in Line}
        lines_of, signs_of = (_tablature_lines, _tablature_signs) if tablature else (_staff_lines, _heads)
        lines = [line for measure in score.measures for line in lines_of(measure)]
        wanted = {id_ for start, end, *_ in lines for id_ in (start, end)}
        written = {id_ for measure in score.measures for id_ in signs_of(measure) if id_ in wanted}
        for start, end, kind, id_, dashed in lines:
            if start in written and end in written:
                self.ends.setdefault(start, []).append(End(kind, id_, True, dashed))
                # what ends at a sign comes before what begins there, so that its number is free again
                self.ends.setdefault(end, []).insert(0, End(kind, id_, False, dashed))

    def join(self, end: End, staff: int = 0) -> tuple[str, int]:
        """Number and staff of a line. The number, 1–16, is taken at the end that is written first and free again
        after the other; both ends name the staff of the first, by which readers find them."""
        taken = self._open[end.line]
        known = taken.pop(end.id, None)
        if known is None:
            used = {number for number, _ in taken.values()}
            number = next((n for n in range(1, _HIGHEST_NUMBER) if n not in used), _HIGHEST_NUMBER)
            known = taken[end.id] = (number, staff)
        return str(known[0]), known[1]


_Line = tuple[str, str, Line, str, bool]


def _staff_lines(measure: Measure) -> Iterator[_Line]:
    yield from _slurs(measure, tablature=False)
    for dashes in measure.dashes:
        yield dashes.start, dashes.end, Line.DASHES, dashes.id, True
    for bracket in measure.brackets:
        yield bracket.start, bracket.end, Line.BRACKET, bracket.id, True
    for run in measure.octave_runs:
        yield run.start, run.end, Line.BRACKET, run.id, True


def _tablature_lines(measure: Measure) -> Iterator[_Line]:
    yield from _slurs(measure, tablature=True)
    for hold in measure.holds:
        yield hold.start, hold.end, Line.HOLD, hold.id, False


def _heads(measure: Measure) -> Iterator[str]:
    return (head.id for layer in measure.layers for event in layer.events for head in event.heads)


def _tablature_signs(measure: Measure) -> Iterator[str]:
    for event in measure.tab:
        yield event.id
        for figure in event.figures:
            yield figure.id


def _slurs(measure: Measure, *, tablature: bool) -> Iterator[_Line]:
    for slur in measure.slurs:
        if slur.tablature is tablature:
            yield slur.start, slur.end, Line.SLUR, slur.id, slur.kind is not SlurKind.PRINTED
