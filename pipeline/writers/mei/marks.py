"""Signs at single events: arpeggios, strums, ornaments, fingering, fermatas, octave signs, footnote letters.

Fingering stands in the tablature only, where the source has it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from pipeline.model.notes import Layer, Notehead, Ornament, Place, StaffEvent, TabEvent
from pipeline.model.score import Arpeggio, Measure, WordsKind
from pipeline.model.xmltext import legal
from pipeline.writers.mei.names import (
    ARPEG,
    DIR,
    FERMATA,
    FING,
    MORDENT,
    ORNAM,
    REND,
    TRILL,
    TURN,
    XML_ID,
    Element,
    stamp,
    sub,
)
from pipeline.writers.mei.numbers import StaffNumbers

#: All signs under the tablature of a system stand in one row.
_UNDER_TABLATURE = "41"
#: Sizes of words, relative to the engraver's text size; tablature words look larger beside their staff.
STAFF_SIZE, TAB_SIZE = "76%", "58%"


def write_marks(measure: Element, score_measure: Measure, numbers: StaffNumbers, beat: int) -> None:
    """All marks of the measure: those of the tablature, then those of the staves."""
    for event in score_measure.tab:
        _tab_marks(measure, score_measure, event, numbers.tab, beat)
    for arpeggio in score_measure.arpeggios:
        _arpeggio(measure, arpeggio)
    bracketed = {run.start for run in score_measure.octave_runs}
    for layer in score_measure.layers:
        for chord in layer.events:
            if chord.fermata or (chord.strum and not numbers.tab):
                _event_marks(measure, chord, arrow="" if numbers.tab else chord.arrow)
            for head in chord.heads:
                if head.octave or head.footnote or head.ornaments:
                    alone = score_measure.stands_alone(layer, chord)
                    _head_marks(measure, layer, head, numbers, bracketed, alone=alone)


def _words(
    measure: Element, at: dict[str, str], place: str, text: str, size: str, *, italic: bool, kind: str
) -> Element:
    """``dir`` with one run of words."""
    element = sub(measure, DIR, {**at, "place": place, "type": kind})
    sub(element, REND, {"fontsize": size, "fontstyle": "italic" if italic else "normal"}).text = text
    return element


def _is_marked(event: TabEvent) -> bool:
    return bool(
        event.footnote
        or event.arpeggio
        or event.strum
        or event.and_so_on
        or event.fermata
        or any(
            figure.footnote or figure.ornaments or figure.left_finger or figure.right_finger for figure in event.figures
        )
    )


def _tab_marks(measure: Element, score_measure: Measure, event: TabEvent, number: str, beat: int) -> None:
    if not _is_marked(event):
        return
    at = {"startid": f"#{event.id}"}
    if not event.figures:  # nothing that a mark could hang on
        at = {"tstamp": stamp(event.onset - score_measure.onset, beat), "staff": number}
    letters = tab_letters(event)
    if letters:
        _words(measure, at, "above", letters, TAB_SIZE, italic=True, kind="tablature footnote")
    under = {**at, "vgrp": _UNDER_TABLATURE}
    if event.arpeggio:
        _words(measure, under, "below", "÷", "75%", italic=False, kind="arpeggio").set("ho", "-0.7")
    if event.strum:
        _words(measure, under, "below", event.arrow, "75%", italic=False, kind="strum").set("ho", "-0.2")
    if event.and_so_on:
        _words(measure, under, "below", "&c.", TAB_SIZE, italic=True, kind="and-so-on")
    if event.fermata:
        sub(measure, FERMATA, {**at, "place": "above"})
    for figure in event.figures:
        for finger, hand in ((figure.left_finger, "left"), (figure.right_finger, "right")):
            if finger:
                sub(measure, FING, {"startid": f"#{figure.id}", "type": f"tablature {hand}"}).text = finger
        for ornament in figure.ornaments:
            element = sub(measure, ORNAM, {"startid": f"#{figure.id}", "type": "tablature"})
            element.set("label", legal(ornament.meaning or ornament.printed))
            sub(element, REND, {"fontsize": TAB_SIZE}).text = legal(ornament.printed)


def tab_letters(event: TabEvent) -> str:
    """The footnote letters of an event of the tablature, in order, each once."""
    letters = dict.fromkeys(figure.footnote for figure in event.figures if figure.footnote)
    if event.footnote:
        letters.setdefault(event.footnote)
    return " ".join(sorted(letters, key=lambda letter: (len(letter), letter)))


def _arpeggio(measure: Element, arpeggio: Arpeggio) -> None:
    attributes = {
        XML_ID: arpeggio.id,
        "plist": " ".join(f"#{head}" for head in arpeggio.heads),
        "order": arpeggio.direction,
    }
    if arpeggio.direction == "down" or arpeggio.mixed:
        attributes["arrow"] = "true"
    if arpeggio.plain_spread:
        attributes["type"] = "spread"
    sub(measure, ARPEG, attributes)


def _event_marks(measure: Element, event: StaffEvent, *, arrow: str) -> None:
    """``arrow``: of a strum, which stands once, in the tablature where there is one."""
    anchor = event.heads[-1].id if event.heads else event.id
    if arrow:
        _words(measure, {"startid": f"#{anchor}"}, "above", arrow, "80%", italic=False, kind="strum")
    if event.fermata:
        sub(measure, FERMATA, {"startid": f"#{anchor}", "place": "above"})


#: Kept free on both sides of a short sign, so that it is set above a stem and not beside it.
_AIR = "\u00a0"


def octave_sign(*, asked: bool) -> str:
    """What stands over a note, or a run of them, that is meant, or perhaps meant, an octave off its sound."""
    return "(8?)" if asked else "(8)"


def _head_marks(
    measure: Element,
    layer: Layer,
    head: Notehead,
    numbers: StaffNumbers,
    bracketed: Collection[str],
    *,
    alone: bool,
) -> None:
    at = {"startid": f"#{head.id}", "staff": numbers.pair[head.staff]}
    octave = None if head.octave is None or (head.octave.in_run and not numbers.copy) else head.octave
    if octave is not None and numbers.copy:
        text = "8?" if octave.asked else "8"
        _words(measure, at, "below", text, STAFF_SIZE, italic=True, kind="octave beside")
    elif octave is not None and alone:
        place = "above" if octave.octaves > 0 else "below"
        kind = "octave beside" if head.id in bracketed else "octave"  # its bracket has the sign
        _words(measure, at, place, octave_sign(asked=octave.asked), STAFF_SIZE, italic=True, kind=kind).set(
            "ho", "-1.4" if octave.asked else "-1.1"
        )
    if head.footnote:
        kind = "footnote" if alone and head.staff == layer.staff else "footnote beside"
        write_letter(measure, at, head.footnote, kind)
    for ornament in head.ornaments:
        write_ornament(measure, at, ornament)


#: Ornaments with a sign of their own in modern notation, by their meaning.
_SIGNS: dict[str, tuple[str, dict[str, str]]] = {
    "trill": (TRILL, {}),
    "turn": (TURN, {"form": "upper"}),
    "inverted turn": (TURN, {"form": "lower"}),
    "mordent": (MORDENT, {"form": "lower"}),
    "inverted mordent": (MORDENT, {"form": "upper"}),
}


def write_ornament(measure: Element, at: dict[str, str], ornament: Ornament) -> None:
    """An ornament at a note of a staff: as printed in the source, or the modern sign for one that a file gives."""
    place = "below" if ornament.place is Place.BELOW else "above"
    if not ornament.printed and ornament.meaning in _SIGNS:
        name, attributes = _SIGNS[ornament.meaning]
        sub(measure, name, {**at, "place": place, **attributes})
        return
    element = sub(measure, ORNAM, {**at, "place": place, "label": legal(ornament.meaning or ornament.printed)})
    sub(element, REND, {"fontsize": STAFF_SIZE, "halign": "center"}).text = legal(f"{_AIR}{ornament.shown}{_AIR}")


def write_letter(measure: Element, at: dict[str, str], letter: str, kind: str = "footnote") -> None:
    """The letter of a note at the foot, over a note of a staff."""
    text = f"{_AIR}{letter}{_AIR}"
    _words(measure, at, "above", text, STAFF_SIZE, italic=True, kind=kind)[0].set("halign", "center")


def marked_letters(measure: Measure) -> Iterator[tuple[str, str]]:
    """Footnote letters of a measure with the id of the sign that each stands at."""
    for event in measure.tab:
        for figure in event.figures:
            if figure.footnote:
                yield figure.footnote, figure.id
        if event.footnote:
            yield event.footnote, event.id
    for staff in measure.sung:
        for note in staff.events:
            if note.footnote:
                yield note.footnote, note.id
            for word in note.syllables:
                if word.footnote:
                    yield word.footnote, f"w{word.stanza}-{note.id}"
    for sign in measure.chord_signs:
        if sign.footnote:
            yield sign.footnote, sign.id
    for words in measure.words:
        if words.kind is WordsKind.FOOTNOTE:
            yield from ((letter, words.id) for letter in words.text.split())
    for letter in measure.footnote.split():
        yield letter, measure.id
