"""The two staves that show what sounds: layers, chords, notes, rests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pipeline.model.notes import Editorial, Kind, Layer, Notehead, StaffEvent, Stem
from pipeline.model.score import Measure
from pipeline.writers.mei.groups import build_layer
from pipeline.writers.mei.names import (
    BEAM,
    CHORD,
    GRACE_GROUP,
    LAYER,
    MREST,
    MSPACE,
    NOTE,
    REST,
    SPACE,
    STAFF,
    XML_ID,
    Element,
    sub,
)
from pipeline.writers.mei.pitches import secondary_break, timing, write_accidental
from pipeline.writers.mei.tablature import EDITORIAL_TYPES

_KINDS = {Kind.REST: (REST, MREST), Kind.SPACE: (SPACE, MSPACE)}

#: The number of each of the two staves.
Numbers = Mapping[int, str]


def write_staves(measure: Element, score_measure: Measure, numbers: Numbers) -> None:
    """The two ``staff`` elements; an empty one is kept, so that the system stays whole."""
    for staff, number in numbers.items():
        element = sub(measure, STAFF, {"n": number})
        layers = [layer for layer in score_measure.layers if layer.staff == staff]
        for place, layer in enumerate(layers, start=1):
            _write_layer(sub(element, LAYER, {"n": str(place)}), layer, numbers)
        if not layers:
            sub(sub(element, LAYER, {"n": "1"}), MSPACE)


def _write_layer(element: Element, layer: Layer, numbers: Numbers) -> None:
    build_layer(element, layer.events, lambda parent, index: _write_event(parent, layer, index, numbers))


def _write_event(parent: Element, layer: Layer, index: int, numbers: Numbers) -> None:
    events: Sequence[StaffEvent] = layer.events
    event = events[index]
    if event.kind is not Kind.NOTE:
        _write_silence(parent, layer, event, numbers)
        return
    if event.small:
        _write_small(parent, layer, event.small, numbers)
    shared = timing(event.value)
    if event.stemless:
        shared["stem.visible"] = "false"
    elif event.stem is not Stem.AUTO:
        shared["stem.dir"] = event.stem.value
    if len(event.beams) > 1 and index + 1 < len(events):
        secondary_break(shared, event.beams, events[index + 1].beams)
    if len(event.heads) == 1:
        _write_head(parent, layer, event.heads[0], shared, numbers)
        return
    chord = sub(parent, CHORD, {XML_ID: event.id, **shared})
    for head in event.heads:
        _write_head(chord, layer, head, {}, numbers)


def _write_small(parent: Element, layer: Layer, small: Sequence[Notehead], numbers: Numbers) -> None:
    """Small notes before an event, under one beam."""
    group = sub(sub(parent, GRACE_GROUP, {"grace": "unknown"}), BEAM)
    for head in small:
        _write_head(group, layer, head, {"dur": "16", "grace": "unknown", "stem.dir": "up"}, numbers)


def _write_silence(parent: Element, layer: Layer, event: StaffEvent, numbers: Numbers) -> None:
    timed, whole = _KINDS[event.kind]
    attributes = {XML_ID: event.id}
    if event.staff != layer.staff:
        attributes["staff"] = numbers[event.staff]
    if event.whole_bar:
        sub(parent, whole, attributes)
    else:
        attributes.update(timing(event.value))
        sub(parent, timed, attributes)


def _write_head(parent: Element, layer: Layer, head: Notehead, shared: dict[str, str], numbers: Numbers) -> None:
    pitch = head.pitch
    attributes = {XML_ID: head.id, "pname": pitch.step.lower(), "oct": str(pitch.octave), **shared}
    if head.staff != layer.staff:
        attributes["staff"] = numbers[head.staff]
    if head.editorial is not Editorial.PLAIN:
        attributes["type"] = EDITORIAL_TYPES[head.editorial]
        if head.editorial is not Editorial.DOUBTFUL:
            attributes["enclose"] = "brack"
    note = sub(parent, NOTE, attributes)
    write_accidental(note, head.accidental, pitch.alter, courtesy=head.courtesy)
