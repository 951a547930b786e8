"""Sung staves and printed basses: notes with their syllables, ties, melisma slurs, fermatas."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.model.notes import Editorial, Kind
from pipeline.model.score import Measure, SungEvent, SungStaff, SungSyllable
from pipeline.model.xmltext import legal
from pipeline.writers.mei.groups import build_layer
from pipeline.writers.mei.marks import write_letter, write_ornament
from pipeline.writers.mei.names import (
    FERMATA,
    LABEL,
    LABEL_ABBR,
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


def staff_id(name: str, measure: str) -> str:
    """The name of a vocal or bass staff in a measure: ``line-v-m1``."""
    return f"line-{name}-{measure}"


def write_sung_staff(
    measure: Element, number: str, name: str, staff: SungStaff | None, numbered: set[int] | None = None
) -> None:
    """``staff`` with its only ``layer``; one that holds nothing is kept, so that the system stays whole. ``numbered``
    are the stanzas whose number is still to be set before their first syllable; those set here are taken out of it."""
    own = staff_id(name, measure.get(XML_ID, ""))
    layer = sub(sub(measure, STAFF, {"n": number, XML_ID: own}), LAYER, {"n": "1"})
    if staff is None or not staff.events:
        sub(layer, MSPACE)
        return
    waiting = set() if numbered is None else numbered
    build_layer(layer, staff.events, lambda parent, index: _write_event(parent, staff.events, index, waiting))


def _write_event(parent: Element, events: tuple[SungEvent, ...], index: int, numbered: set[int]) -> None:
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
        _write_syllable(note, event, syllable, numbered=syllable.stanza in numbered)
        numbered.discard(syllable.stanza)


def _time(event: SungEvent) -> dict[str, str]:
    return {} if event.whole_bar else timing(event.value)


def word_id(event: SungEvent, syllable: SungSyllable) -> str:
    """The name of a syllable that is marked: ``w1-v-b3n2`` in the first stanza."""
    return f"w{syllable.stanza}-{event.id}"


def is_marked(syllable: SungSyllable) -> bool:
    """True where a syllable needs a name: a bracket or a letter stands at it."""
    return syllable.editorial is not Editorial.PLAIN or bool(syllable.footnote)


def _write_syllable(note: Element, event: SungEvent, syllable: SungSyllable, *, numbered: bool) -> None:
    """``verse`` with one ``syl``, or several that are sung as one; before the first its number, and again where it
    begins a line."""
    verse = sub(note, VERSE, {"n": str(syllable.stanza)})
    if numbered:
        for name in (LABEL, LABEL_ABBR):
            sub(verse, name).text = f"{syllable.stanza}."
    for number, (text, connection, place) in enumerate(_parts(syllable)):
        attributes = {}
        if is_marked(syllable):
            attributes[XML_ID] = word_id(event, syllable) + (f"-{number + 1}" if number else "")
            if syllable.editorial is not Editorial.PLAIN:
                attributes["type"] = EDITORIAL_TYPES[syllable.editorial]
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
    """Melisma slurs, fermatas, ornaments, and the letters of notes at the foot of the measure."""
    for staff in score_measure.sung:
        if staff.staff not in numbers.sung:
            continue
        for event in staff.events:
            if event.slur_to:
                sub(measure, SLUR, {"startid": f"#{event.id}", "endid": f"#{event.slur_to}", "type": "melisma"})
            if event.fermata:
                sub(measure, FERMATA, {"startid": f"#{event.id}", "place": "above"})
            for ornament in event.ornaments:
                write_ornament(measure, {"startid": f"#{event.id}", "staff": numbers.sung[staff.staff]}, ornament)
            if event.footnote:
                at = {"startid": f"#{event.id}", "staff": numbers.sung[staff.staff]}
                write_letter(measure, at, event.footnote)
