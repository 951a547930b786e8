"""Staves that show what the tablature sounds: when something is struck on them, and which pitch they give it."""

from __future__ import annotations

from fractions import Fraction

from pipeline.model.pitch import SpelledPitch, in_signature
from pipeline.model.record import replace
from pipeline.model.signs import Body
from pipeline.model.time import WHOLE
from pipeline.source.exchange.drafts import BarDraft, Heard
from pipeline.source.exchange.ledger import line_of
from pipeline.source.exchange.mei.definition import Definition
from pipeline.source.exchange.mei.pointing import Targets
from pipeline.source.exchange.mei.sung import signature_of
from pipeline.source.exchange.mei.tree import (
    ID,
    Element,
    alter_of,
    children,
    inside,
    local,
    pitch_of,
    references,
    tuplet_ratio,
    value_of,
)

#: Letter and octave of a note → what an accidental earlier in the measure makes of it.
_Held = dict[tuple[str, int], int]


class OtherStaves:
    """Reads them measure by measure. Nothing of them is taken over but what their notes say of the tablature."""

    def __init__(self, score: Element, definition: Definition, targets: Targets) -> None:
        self._targets = targets
        self._fifths = {staff.number: signature_of(staff.element) or 0 for staff in definition.of("other")}
        self._tied = {ident for tie in inside(score, "tie") for ident in references(tie, "endid")}

    def redefine(self, definition: Element) -> None:
        """A new signature of one of them, or of all."""
        for element in (definition, *inside(definition, "staffDef")):
            fifths, number = signature_of(element), element.get("n")
            for each in self._fifths:
                if fifths is not None and number in (None, each):
                    self._fifths[each] = fifths

    def read(self, measure: Element, bar: BarDraft, start: Fraction) -> None:
        """The notes of a measure, which begins ``start`` into its bar. Where they strike at an empty event of the
        tablature, the chord before is meant again."""
        for staff in children(measure, "staff"):
            number = staff.get("n") or ""
            if number not in self._fifths:
                continue
            for layer in children(staff, "layer"):
                self._layer(layer, bar, start, Fraction(1), (self._fifths[number], {}))
        struck = {heard.onset for heard in bar.heard}
        for event in bar.events[1:]:
            if event.body is Body.NOTHING and event.onset in struck:
                event.body = Body.AS_BEFORE

    def _layer(
        self, parent: Element, bar: BarDraft, onset: Fraction, ratio: Fraction, key: tuple[int, _Held]
    ) -> Fraction:
        for element in parent:
            name = local(element)
            if name in ("note", "chord", "rest", "space"):
                value = value_of(element)
                notes = [element] if name == "note" else list(children(element, "note"))
                for named in (element, *notes):
                    if named.get(ID):
                        self._targets.onsets[named.get(ID) or ""] = (bar, onset)
                if value is None or element.get("grace"):
                    continue
                for note in notes:
                    self._hear(note, bar, onset, key)
                onset += Fraction(value.ticks, WHOLE) * ratio
            elif name == "tuplet":
                numbers = tuplet_ratio(element)
                inner = ratio * Fraction(numbers[1], numbers[0]) if numbers is not None else ratio
                onset = self._layer(element, bar, onset, inner, key)
            elif name == "graceGrp":
                for note in inside(element, "note"):
                    self._targets.onsets[note.get(ID) or ""] = (bar, onset)
            else:
                onset = self._layer(element, bar, onset, ratio, key)
        return onset

    def _hear(self, note: Element, bar: BarDraft, onset: Fraction, key: tuple[int, _Held]) -> None:
        pitch, (fifths, held) = pitch_of(note), key
        if pitch is None:
            return
        told = alter_of(note)
        place = (pitch.step, pitch.octave)
        if told is not None:
            held[place] = told
        pitch = _altered(pitch, held.get(place, in_signature(pitch.step, fifths)))
        own = note.get(ID) or ""
        if own not in self._tied and note.get("tie") not in ("m", "t"):
            bar.heard.append(Heard(onset, pitch, own or f"measure {bar.name}", line_of(note)))


def _altered(pitch: SpelledPitch, alter: int) -> SpelledPitch:
    return replace(pitch, alter=alter)
