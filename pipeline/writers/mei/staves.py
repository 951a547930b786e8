"""The two staves that show what sounds: layers, chords, notes, rests."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.model.score import BeamState, Editorial, Kind, Layer, Measure, Notehead, StaffEvent, Stem
from pipeline.writers.mei.groups import Group, build, groups_of
from pipeline.writers.mei.names import (
    ACCID,
    BEAM,
    CHORD,
    DURATIONS,
    LAYER,
    MREST,
    MSPACE,
    NOTE,
    REST,
    SPACE,
    STAFF,
    STAFF_NUMBERS,
    TUPLET,
    XML_ID,
    Element,
    sub,
)
from pipeline.writers.mei.tablature import EDITORIAL_TYPES

_GESTURAL = {1: "s", -1: "f", 2: "ss", -2: "ff"}
_KINDS = {Kind.REST: (REST, MREST), Kind.SPACE: (SPACE, MSPACE)}
_JOINED = (BeamState.BEGIN, BeamState.CONTINUE)


def write_staves(measure: Element, score_measure: Measure) -> None:
    """``staff`` 2 and 3; an empty one is kept, so that the system stays whole."""
    for staff, number in STAFF_NUMBERS.items():
        element = sub(measure, STAFF, {"n": number})
        layers = [layer for layer in score_measure.layers if layer.staff == staff]
        for place, layer in enumerate(layers, start=1):
            _write_layer(sub(element, LAYER, {"n": str(place)}), layer)
        if not layers:
            sub(sub(element, LAYER, {"n": "1"}), MSPACE)


def _write_layer(element: Element, layer: Layer) -> None:
    events = layer.events
    if any(event.beams or event.tuplet is not None for event in events):
        groups = groups_of([event.beams[0] if event.beams else None for event in events], [e.tuplet for e in events])
        build(
            element,
            groups,
            len(events),
            _open_group,
            lambda parent, index: _write_event(parent, layer, events, index),
        )
    else:
        for index in range(len(events)):
            _write_event(element, layer, events, index)


def _open_group(parent: Element, group: Group) -> Element:
    if group.tuplet is None:
        return sub(parent, BEAM)
    return sub(parent, TUPLET, {"num": str(group.tuplet.notes), "numbase": str(group.tuplet.time)})


def _write_event(parent: Element, layer: Layer, events: Sequence[StaffEvent], index: int) -> None:
    event = events[index]
    if event.kind is not Kind.NOTE:
        _write_silence(parent, layer, event)
        return
    shared = _timing(event)
    if event.stemless:
        shared["stem.visible"] = "false"
    elif event.stem is not Stem.AUTO:
        shared["stem.dir"] = event.stem.value
    if len(event.beams) > 1 and index + 1 < len(events):
        _secondary_break(shared, event, events[index + 1])
    if len(event.heads) == 1:
        _write_head(parent, layer, event.heads[0], shared)
        return
    chord = sub(parent, CHORD, {XML_ID: event.id, **shared})
    for head in event.heads:
        _write_head(chord, layer, head, {})


def _timing(event: StaffEvent) -> dict[str, str]:
    timing = {"dur": DURATIONS[event.value.unit]}
    if event.value.dots:
        timing["dots"] = str(event.value.dots)
    return timing


def _secondary_break(attributes: dict[str, str], event: StaffEvent, after: StaffEvent) -> None:
    """``breaksec``: how many beams go on where the inner ones are broken."""
    going_on = sum(1 for state in event.beams if state in _JOINED)
    if 0 < going_on < len(event.beams) and len(after.beams) > going_on:
        attributes["breaksec"] = str(going_on)


def _write_silence(parent: Element, layer: Layer, event: StaffEvent) -> None:
    timed, whole = _KINDS[event.kind]
    attributes = {XML_ID: event.id}
    if event.staff != layer.staff:
        attributes["staff"] = STAFF_NUMBERS[event.staff]
    if event.whole_bar:
        sub(parent, whole, attributes)
    else:
        attributes.update(_timing(event))
        sub(parent, timed, attributes)


def _write_head(parent: Element, layer: Layer, head: Notehead, shared: dict[str, str]) -> None:
    pitch = head.pitch
    attributes = {XML_ID: head.id, "pname": pitch.step.lower(), "oct": str(pitch.octave), **shared}
    if head.staff != layer.staff:
        attributes["staff"] = STAFF_NUMBERS[head.staff]
    if head.editorial is not Editorial.PLAIN:
        attributes["type"] = EDITORIAL_TYPES[head.editorial]
        if head.editorial is not Editorial.DOUBTFUL:
            attributes["enclose"] = "brack"
    if head.courtesy:
        note = sub(parent, NOTE, attributes)
        sub(note, ACCID, {"accid": head.accidental, "enclose": "paren", "func": "caution"})
        return
    if head.accidental:
        attributes["accid"] = head.accidental
    elif pitch.alter:
        attributes["accid.ges"] = _GESTURAL[pitch.alter]
    sub(parent, NOTE, attributes)
