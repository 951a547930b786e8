"""Everything that reaches from one sign to another: ties, slurs, hold lines, dashes, brackets."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.model.notes import UPPER_STAFF, Notehead
from pipeline.model.score import AcrossBracket, Measure, OctaveRun, Slur, SlurKind, SungEvent
from pipeline.writers.mei.names import ANNOT, BRACKET_SPAN, DIR, GLISS, REND, SLUR, TIE, XML_ID, Element, sub
from pipeline.writers.mei.numbers import StaffNumbers

#: Written beside the bracket over a bell-like scale.
BELL_WORD = "camp."


class Ties:
    """Joins each note that ties onward to the next head of the same stop, or note of the same sung staff."""

    __slots__ = ("_open",)

    def __init__(self) -> None:
        self._open: dict[str, tuple[Element, str]] = {}

    def write(self, measure: Element, score_measure: Measure) -> None:
        """``tie`` elements, each in the measure in which it begins."""
        for line, note in _notes(score_measure):
            if note.tie_to:
                start = self._open.pop(line, None)
                if start is not None:
                    sub(start[0], TIE, {"startid": f"#{start[1]}", "endid": f"#{note.id}"})
            if note.tie_from:
                self._open[line] = (measure, note.id)


def _notes(measure: Measure) -> Iterator[tuple[str, Notehead | SungEvent]]:
    """Every note that a tie may reach, with a name for the line that it goes on in: the stop, or the sung staff."""
    for staff in measure.sung:
        for event in staff.events:
            yield f"staff {staff.staff}", event
    for layer in measure.layers:
        for chord in layer.events:
            for head in chord.heads:
                yield head.stop, head


def write_spans(measure: Element, score_measure: Measure, numbers: StaffNumbers) -> None:
    """All spans that begin in the measure, ties excepted."""
    for slur in score_measure.slurs:
        _write_slur(measure, slur)
    for hold in score_measure.holds:
        # ``line`` would be the element for it, but engravers warn that they do not know it.
        sub(measure, ANNOT, {XML_ID: hold.id, "type": "hold-line", "plist": f"#{hold.start} #{hold.end}"})
    for dashes in score_measure.dashes:
        sub(
            measure,
            GLISS,
            {XML_ID: dashes.id, "startid": f"#{dashes.start}", "endid": f"#{dashes.end}", "lform": "dashed"},
        )
    for bracket in score_measure.brackets:
        _write_bracket(measure, bracket, numbers.pair[UPPER_STAFF])
    for run in score_measure.octave_runs:
        _write_span(measure, run, numbers.pair[UPPER_STAFF], "octave doubtful" if run.asked else "octave")


def _write_slur(measure: Element, slur: Slur) -> None:
    attributes = {XML_ID: slur.id, "startid": f"#{slur.start}", "endid": f"#{slur.end}"}
    types = ["tablature"] if slur.tablature else []
    if slur.kind is not SlurKind.PRINTED:
        attributes["lform"] = "dashed"
        types.append(slur.kind.value)
    if slur.tablature:
        attributes["curvedir"] = "above"
    if types:
        attributes["type"] = " ".join(types)
    sub(measure, SLUR, attributes)


def _write_span(measure: Element, bracket: AcrossBracket | OctaveRun, number: str, kind: str = "") -> None:
    attributes = {
        XML_ID: bracket.id,
        "startid": f"#{bracket.start}",
        "endid": f"#{bracket.end}",
        "lform": "dashed",
        "lwidth": "narrow",
        "func": "ligature",
        "staff": number,
    }
    sub(measure, BRACKET_SPAN, attributes | {"type": kind} if kind else attributes)


def _write_bracket(measure: Element, bracket: AcrossBracket, number: str) -> None:
    _write_span(measure, bracket, number)
    word = sub(measure, DIR, {"startid": f"#{bracket.start}", "staff": number, "place": "above", "type": "bell"})
    sub(word, REND, {"fontsize": "80%", "fontstyle": "italic"}).text = BELL_WORD
