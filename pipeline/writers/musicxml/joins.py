"""Notations that several notes share: slurs and arpeggios."""

from __future__ import annotations

from dataclasses import dataclass

from lxml.etree import SubElement, _Element

from pipeline.model.score import Measure
from pipeline.writers.musicxml.notes import notations_of
from pipeline.writers.musicxml.spanners import End, Line, Spanners

_HIGHEST_NUMBER = 16


def slurs(note: _Element, ends: list[End], spanners: Spanners) -> None:
    """``slur``: dashed where it is the editor's."""
    for end in ends:
        if end.line is Line.SLUR:
            number, _ = spanners.join(end)
            slur = SubElement(notations_of(note), "slur", type="start" if end.starts else "stop", number=number)
            if end.dashed and end.starts:
                slur.set("line-type", "dashed")


@dataclass(frozen=True, slots=True)
class Spread:
    """What one head of an arpeggio is marked with. ``courses`` says, at the lowest head, in which order they are
    played, where that is not simply upwards or downwards."""

    attributes: dict[str, str]
    courses: tuple[int, ...]


def spreads(measure: Measure) -> dict[str, list[Spread]]:
    """The arpeggios of a measure by the id of each head."""
    found: dict[str, list[Spread]] = {}
    if not measure.arpeggios:
        return found
    heads = {head.id: head for layer in measure.layers for event in layer.events for head in event.heads}
    for index, arpeggio in enumerate(measure.arpeggios):
        attributes = {"number": str(index % _HIGHEST_NUMBER + 1)}
        if arpeggio.direction == "down":
            # "up" would draw an arrow where the edition has a plain wavy line
            attributes["direction"] = "down"
        if len({heads[id_].staff for id_ in arpeggio.heads if id_ in heads}) > 1:
            attributes["unbroken"] = "yes"
        plain = arpeggio.order in {arpeggio.heads, arpeggio.heads[::-1], ()}
        courses = () if plain else tuple(heads[id_].course for id_ in arpeggio.order if id_ in heads)
        for at, id_ in enumerate(arpeggio.heads):
            found.setdefault(id_, []).append(Spread(attributes, courses if at == 0 else ()))
    return found


def arpeggiate(note: _Element, marks: list[Spread]) -> None:
    """``arpeggiate``; the order of the courses, which no element of the standard tells, as ``other-notation``."""
    notations = notations_of(note)
    for mark in marks:
        SubElement(notations, "arpeggiate", mark.attributes)
        if mark.courses:
            order = SubElement(notations, "other-notation", {"type": "single", "print-object": "no"})
            order.text = "courses in order: " + " ".join(map(str, mark.courses))
