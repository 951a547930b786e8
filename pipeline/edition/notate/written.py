"""The first chord of a passage of spread chords written out in small notes, in the order in which it is played.

A passage is two spread chords or more that follow each other. Only where the heading asks for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.model.arpeggio import spread
from pipeline.model.notes import Layer, Notehead, StaffEvent
from pipeline.model.record import replace
from pipeline.model.score import Arpeggio
from pipeline.model.sounding import SoundingPiece


def first_of_passages(piece: SoundingPiece) -> frozenset[str]:
    """Ids of the events that begin a passage of spread chords."""
    if not piece.heading.written_out:
        return frozenset()
    spreading = [
        (event.id, found is not None and not found.typed)
        for bar in piece.bars
        for event in bar.events
        for found in (spread(event, bar.instrument),)
    ]
    return frozenset(_firsts(spreading))


def _firsts(spreading: Sequence[tuple[str, bool]]) -> Iterator[str]:
    for place, (name, here) in enumerate(spreading):
        before = place > 0 and spreading[place - 1][1]
        after = place + 1 < len(spreading) and spreading[place + 1][1]
        if here and after and not before:
            yield name


def written_out(layers: tuple[Layer, ...], spreads: Sequence[Arpeggio], firsts: frozenset[str]) -> tuple[Layer, ...]:
    """The layers, with small notes before the highest event of each chord that begins a passage."""
    chosen = [made for made in spreads if made.event in firsts]
    if not chosen:
        return layers
    heads = {head.id: (event, head) for layer in layers for event in layer.events for head in event.heads}
    small: dict[str, tuple[Notehead, ...]] = {}
    for made in chosen:
        there = [heads[name] for name in made.order if name in heads]
        if len(there) > 1:
            top = next(event for layer in layers for event in layer.events if any(event is each for each, _ in there))
            small[top.id] = tuple(_small(head) for _, head in there)
    return tuple(
        replace(layer, events=tuple(_with(event, small.get(event.id)) for event in layer.events)) for layer in layers
    )


def _with(event: StaffEvent, small: tuple[Notehead, ...] | None) -> StaffEvent:
    return event if small is None else replace(event, small=small)


def _small(head: Notehead) -> Notehead:
    """The head as a small note: its pitch and accidental, nothing else."""
    return Notehead(
        f"w-{head.id}", head.stop, head.pitch, head.staff, head.course, head.fret, head.accidental, head.courtesy
    )
