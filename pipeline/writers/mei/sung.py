"""Sung staves and printed basses: notes with their syllables, ties, melisma slurs, fermatas."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.model.notes import Editorial, Kind
from pipeline.model.score import Measure, SungEvent, SungStaff, SungSyllable
from pipeline.model.xmltext import legal
from pipeline.writers.mei.groups import build_layer
from pipeline.writers.mei.names import (
    FERMATA,
    LAYER,
    MREST,
    MSPACE,
    NOTE,
    REST,
    SLUR,
    SPACE,
    STAFF,
    SYL,
    VERSE,
    XML_ID,
    Element,
    sub,
)
from pipeline.writers.mei.numbers import StaffNumbers
from pipeline.writers.mei.pitches import secondary_break, timing, write_accidental
from pipeline.writers.mei.tablature import EDITORIAL_TYPES

#: Joins two syllables that are sung as one (U+203F).
ELISION = "‿"
_KINDS = {Kind.REST: (REST, MREST), Kind.SPACE: (SPACE, MSPACE)}


def write_sung_staff(measure: Element, number: str, staff: SungStaff | None) -> None:
    """``staff`` with its only ``layer``; one that holds nothing is kept, so that the system stays whole."""
    layer = sub(sub(measure, STAFF, {"n": number}), LAYER, {"n": "1"})
    if staff is None or not staff.events:
        sub(layer, MSPACE)
        return
    build_layer(layer, staff.events, lambda parent, index: _write_event(parent, staff.events, index))


def _write_event(parent: Element, events: tuple[SungEvent, ...], index: int) -> None:
    event = events[index]
    if event.kind is not Kind.NOTE or event.pitch is None:
        timed, whole = _KINDS[Kind.SPACE if event.kind is Kind.NOTE else event.kind]
        sub(parent, whole if event.whole_bar else timed, {XML_ID: event.id, **_time(event)})
        return
    pitch = event.pitch
    attributes = {XML_ID: event.id, "pname": pitch.step.lower(), "oct": str(pitch.octave), **timing(event.value)}
    if len(event.beams) > 1 and index + 1 < len(events):
        secondary_break(attributes, event.beams, events[index + 1].beams)
    if event.editorial is not Editorial.PLAIN:
        attributes["type"] = EDITORIAL_TYPES[event.editorial]
        if event.editorial is not Editorial.DOUBTFUL:
            attributes["enclose"] = "brack"
    note = sub(parent, NOTE, attributes)
    write_accidental(note, event.accidental, pitch.alter, courtesy=event.courtesy)
    for syllable in event.syllables:
        _write_syllable(note, syllable)


def _time(event: SungEvent) -> dict[str, str]:
    return {} if event.whole_bar else timing(event.value)


def _write_syllable(note: Element, syllable: SungSyllable) -> None:
    """``verse`` with one ``syl``, or several that are sung as one."""
    verse = sub(note, VERSE, {"n": str(syllable.stanza)})
    for text, connection, place in _parts(syllable):
        attributes = {}
        if connection:
            attributes["con"] = connection
        if place:
            attributes["wordpos"] = place
        sub(verse, SYL, attributes).text = legal(text)


def _parts(syllable: SungSyllable) -> Iterator[tuple[str, str, str]]:
    """Text, what joins it to the next syllable, place in its word: the last word of an elision may go on, the first
    may have begun before."""
    texts = syllable.text.split(ELISION)
    goes_on = syllable.position in ("begin", "middle")
    came = syllable.position in ("middle", "end")
    after = "d" if goes_on else "u" if syllable.extends else ""
    if not all(texts):
        texts = [syllable.text]
    if len(texts) == 1:
        yield texts[0], after, ("m" if goes_on else "t") if came else "i" if goes_on else ""
        return
    for place, text in enumerate(texts):
        if place == len(texts) - 1:
            yield text, after, "i" if goes_on else ""
        else:
            yield text, "b", "t" if came and not place else ""


def write_sung_marks(measure: Element, score_measure: Measure, numbers: StaffNumbers) -> None:
    """Melisma slurs and fermatas of the measure."""
    for staff in score_measure.sung:
        if staff.staff not in numbers.sung:
            continue
        for event in staff.events:
            if event.slur_to:
                sub(measure, SLUR, {"startid": f"#{event.id}", "endid": f"#{event.slur_to}", "type": "melisma"})
            if event.fermata:
                sub(measure, FERMATA, {"startid": f"#{event.id}", "place": "above"})
