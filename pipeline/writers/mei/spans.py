"""Everything that reaches from one sign to another: ties, slurs, hold lines, dashes, brackets."""

from __future__ import annotations

from pipeline.model.score import Measure, Slur, SlurKind
from pipeline.writers.mei.names import ANNOT, BRACKET_SPAN, DIR, GLISS, REND, SLUR, TIE, XML_ID, Element, sub

#: Written beside the bracket over a bell-like scale.
BELL_WORD = "camp."


class Ties:
    """Joins each head that ties onward to the next head of the same stop."""

    __slots__ = ("_open",)

    def __init__(self) -> None:
        self._open: dict[str, tuple[Element, str]] = {}

    def write(self, measure: Element, score_measure: Measure) -> None:
        """``tie`` elements, each in the measure in which it begins."""
        for layer in score_measure.layers:
            for event in layer.events:
                for head in event.heads:
                    if head.tie_to:
                        start = self._open.pop(head.stop, None)
                        if start is not None:
                            sub(start[0], TIE, {"startid": f"#{start[1]}", "endid": f"#{head.id}"})
                    if head.tie_from:
                        self._open[head.stop] = (measure, head.id)


def write_spans(measure: Element, score_measure: Measure) -> None:
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
        _write_bracket(measure, bracket.id, bracket.start, bracket.end)


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


def _write_bracket(measure: Element, own_id: str, start: str, end: str) -> None:
    sub(
        measure,
        BRACKET_SPAN,
        {
            XML_ID: own_id,
            "startid": f"#{start}",
            "endid": f"#{end}",
            "lform": "dashed",
            "lwidth": "narrow",
            "func": "ligature",
            "staff": "2",
        },
    )
    word = sub(measure, DIR, {"startid": f"#{start}", "staff": "2", "place": "above", "type": "bell"})
    sub(word, REND, {"fontsize": "80%", "fontstyle": "italic"}).text = BELL_WORD
