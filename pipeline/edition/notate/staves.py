"""The two staves of one measure: which layers stand on them, stems, rests, crossings."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pipeline.edition.notate.beams import beam_states, hooks
from pipeline.edition.notate.drafts import DraftEvent, DraftHead, DraftLayer
from pipeline.edition.notate.frame import Frame
from pipeline.edition.notate.layers import VoiceReader, rests, write_layer
from pipeline.model.notes import LOWER_STAFF, UPPER_STAFF, BeamState, Kind, Layer, Notehead, StaffEvent, Stem
from pipeline.model.time import Value
from pipeline.model.voiced import Part

#: Of the usual clefs: below G3 an upper staff needs a third ledger line; from E4 the lower staff needs a second one.
_LIMITS = (55, 64)
#: How close a note that crosses may stand above those of the lower staff.
_FOURTH = 5
_STAVES = (UPPER_STAFF, LOWER_STAFF)


def draft_layers(
    readers: dict[int, tuple[Part, VoiceReader]],
    frame: Frame,
    pieces: dict[str, int],
    lowest: int,
    limits: tuple[int, int] = _LIMITS,
) -> list[DraftLayer]:
    """The layers of one measure, highest voice first, with crossings and stems decided. ``lowest`` is the number of
    the lowest voice of the piece; ``limits`` as of :func:`pipeline.edition.notate.clefs.limits`."""
    layers: list[DraftLayer] = []
    for voice, (part, reader) in readers.items():
        stretches = reader.stretches(frame.bar)
        if stretches:
            layers.append(write_layer(voice, part, stretches, frame, pieces))
    _rest_empty_staves(layers, frame, lowest)
    _cross(layers, *limits)
    _hide_rests(layers)
    _stems(layers)
    return layers


def _rest_empty_staves(layers: list[DraftLayer], frame: Frame, lowest: int) -> None:
    """A staff on which nothing stands has a rest for the whole measure; in an upbeat, one of its length."""
    length = frame.bar.length
    if not length:
        return
    for staff, part, number in ((UPPER_STAFF, Part.UPPER, 1), (LOWER_STAFF, Part.BASS, max(lowest, 2))):
        voice = number
        if any(layer.staff == staff for layer in layers):
            continue
        if frame.shift and not frame.free:
            events = rests(frame)
        else:
            events = [DraftEvent(Kind.SPACE if frame.free else Kind.REST, 0, length, Value(1), whole_bar=True)]
        if any(layer.voice == voice for layer in layers):  # it stands on the other staff in this measure
            voice = 1 + max(layer.voice for layer in layers)
        layers.append(DraftLayer(voice, part, staff, events))
    layers.sort(key=lambda layer: (layer.staff, layer.voice))


def _cross(layers: Sequence[DraftLayer], lowest: int, highest: int) -> None:
    """Let low notes of the upper part stand in the lower staff, where no chord stands in their way."""
    taken = [
        (event.start, event.start + event.ticks)
        for layer in layers
        if layer.part is not Part.BASS and layer.staff == LOWER_STAFF
        for event in layer.events
        if event.kind is Kind.NOTE
    ]
    for layer in layers:
        if layer.part is Part.MIDDLE:
            _cross_middle(layer, lowest, highest)
        if layer.part is not Part.UPPER:
            continue
        for event in layer.events:
            if not event.heads or any(start < event.start + event.ticks and event.start < end for start, end in taken):
                continue
            if not any(_stays(head, lowest) for head in event.heads):
                for head in event.heads:
                    head.staff = LOWER_STAFF
            else:
                _cross_below(event, layers, lowest)


def _cross_below(event: DraftEvent, layers: Sequence[DraftLayer], lowest: int) -> None:
    """The low notes of a chord stand in the lower staff, none of them above a note that stays, unless they would stand
    on or close above what is there."""
    stay = [head.pitch.semitones for head in event.heads if _stays(head, lowest)]
    low = [head for head in event.heads if head.pitch.semitones < min(stay, default=0)]
    there = max(
        (
            head.pitch.semitones
            for layer in layers
            if layer.staff == LOWER_STAFF
            for other in layer.events
            if other.start < event.start + event.ticks and event.start < other.start + other.ticks
            for head in other.heads
        ),
        default=0,
    )
    if all(head.pitch.semitones - there >= _FOURTH for head in low):
        for head in low:
            head.staff = LOWER_STAFF


def _cross_middle(layer: DraftLayer, lowest: int, highest: int) -> None:
    """Notes between the lines stand on the staff where they lie, except under a beam."""
    for event in layer.events:
        for head in event.heads if not hooks(event.value) else ():
            if layer.staff == UPPER_STAFF and not _stays(head, lowest):
                head.staff = LOWER_STAFF
            elif layer.staff == LOWER_STAFF and head.pitch.semitones >= highest:
                head.staff = UPPER_STAFF


def _stays(head: DraftHead, lowest: int) -> bool:
    """High notes stay, and notes whose line is meant an octave higher, where it is read."""
    return head.pitch.semitones >= lowest or _restored(head)


def _restored(head: DraftHead) -> bool:
    restored = head.note.led.restored
    return restored is not None and not restored.asked


def _hide_rests(layers: Sequence[DraftLayer]) -> None:
    """Rests of the bass say nothing while a chord sounds above it on the same staff."""
    sounding = [
        (event.start, event.start + event.ticks)
        for layer in layers
        if layer.staff == LOWER_STAFF and layer.part is not Part.BASS
        for event in layer.events
        if event.kind is Kind.NOTE
    ]
    for layer in layers:
        if layer.part is not Part.BASS or not sounding:
            continue
        for event in layer.events:
            if event.kind is Kind.REST and any(
                start < event.start + event.ticks and event.start < end for start, end in sounding
            ):
                event.kind = Kind.SPACE


def _stems(layers: Sequence[DraftLayer]) -> None:
    """Stems up for the upper and down for the lower layer of a staff; free where a layer is alone."""
    for staff in _STAVES:
        shown = [layer for layer in layers if layer.staff == staff and _shows(layer)]
        if len(shown) > 1:
            shown.sort(key=_height, reverse=True)
        crossing = staff == LOWER_STAFF and _crossed(layers)
        if len(shown) > 1 or crossing:
            for place, layer in enumerate(shown):
                layer.stem = Stem.UP if place == 0 and not crossing else Stem.DOWN


def _height(layer: DraftLayer) -> float:
    """The mean pitch of a layer: voices may lie in another order in one measure than in the piece."""
    pitches = [head.pitch.semitones for event in layer.events for head in event.heads]
    return sum(pitches) / len(pitches)


def _shows(layer: DraftLayer) -> bool:
    return any(event.kind is Kind.NOTE for event in layer.events)


def _crossed(layers: Sequence[DraftLayer]) -> bool:
    return any(
        head.staff == LOWER_STAFF
        for layer in layers
        if layer.staff == UPPER_STAFF
        for event in layer.events
        for head in event.heads
    )


def finished(
    layer: DraftLayer,
    frame: Frame,
    make_head: Callable[[DraftHead], Notehead],
    measure: str,
) -> Layer:
    """Freeze a layer: beams, ids, stems."""
    states = beam_states(layer.events, frame.bar.metre, frame.shift)
    stems = _event_stems(layer, states)
    events = []
    for number, (event, beams, stem) in enumerate(zip(layer.events, states, stems, strict=True), start=1):
        heads = event.heads
        if len(heads) > 1:
            heads = sorted(heads, key=lambda head: (head.note.spelling.diatonic, head.note.spelling.alter))
        first = heads[0].id if heads else f"{measure}v{layer.voice}r{number}"
        events.append(
            StaffEvent(
                f"c-{first}",
                event.kind,
                frame.bar.onset + event.start,
                event.ticks,
                event.value,
                layer.staff,
                tuple([make_head(head) for head in heads]),
                stem,
                beams,
                event.tuplet,
                event.whole_bar,
                stemless=event.stemless,
            )
        )
    return Layer(layer.voice, layer.staff, tuple(events))


def _event_stems(layer: DraftLayer, states: list[tuple[BeamState, ...]]) -> list[Stem]:
    """The layer's stem everywhere, but towards the middle where a layer runs over both staves: notes that cross to the
    lower staff have their stems up, the others of the same beam down, so that the beam lies between the staves."""
    stems = [layer.stem] * len(layer.events)
    start = 0
    for at, (event, beams) in enumerate(zip(layer.events, states, strict=True)):
        if not beams or beams[0] is BeamState.BEGIN:
            start = at
        if _crosses(event, layer):
            stems[at] = Stem.UP if layer.staff == UPPER_STAFF else Stem.DOWN
        if beams and beams[0] is BeamState.END:
            group = range(start, at + 1)
            crossed = [_crosses(layer.events[member], layer) for member in group]
            if any(crossed) and not all(crossed):
                for member, is_crossed in zip(group, crossed, strict=True):
                    stems[member] = Stem.UP if is_crossed else Stem.DOWN
    return stems


def _crosses(event: DraftEvent, layer: DraftLayer) -> bool:
    """True if the whole event stands on the other staff; a chord on both has the stem of its layer."""
    return bool(event.heads) and all(head.staff != layer.staff for head in event.heads)
