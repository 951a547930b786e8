"""Signs at the heads of the staves: brackets, doubts, the small 8 of a note meant an octave off."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.engrave import strokes
from pipeline.engrave.places import Box, Places
from pipeline.engrave.tabsigns import BRACKETED, DOUBTFUL
from pipeline.model.score import Editorial, Kind, Layer, Measure, Notehead, StaffEvent

_EIGHT = 250


def head_signs(measure: Measure, places: Places) -> Iterator[str]:
    """Everything that is drawn over the noteheads of one measure."""
    for layer in measure.layers:
        for event in layer.events:
            for head in event.heads:
                if head.editorial is not Editorial.PLAIN:
                    yield from _editorial(head, places)
                if head.octave is not None and not stands_alone(measure.layers, layer, event):
                    yield from _octave(head, places)


def stands_alone(layers: tuple[Layer, ...], layer: Layer, event: StaffEvent) -> bool:
    """True if a sign outside the staff can only mean this event: one head, and nothing beside it there."""
    if len(event.heads) != 1:
        return False
    staff = event.heads[0].staff
    return not any(
        other.onset == event.onset and any(head.staff == staff for head in other.heads)
        for other_layer in layers
        if other_layer is not layer
        for other in other_layer.events
        if other.kind is Kind.NOTE
    )


def _editorial(head: Notehead, places: Places) -> Iterator[str]:
    box = places.head(head.id)
    if box is None:
        return
    right = places.dot(head.id) or box.right
    if head.editorial in BRACKETED:
        left = places.accidental(head.id)
        whole = Box(box.left if left is None else left, box.top - 25, right, box.bottom + 25)
        yield strokes.brackets(whole, 45, 50)
        right += 60
    if head.editorial in DOUBTFUL:
        yield strokes.text("?", right + 15, box.top + 20, 240, anchor="start")


def _octave(head: Notehead, places: Places) -> Iterator[str]:
    box, octave = places.head(head.id), head.octave
    if box is None or octave is None:
        return
    right = places.dot(head.id) or box.right
    words = "8?" if octave.asked else "8"
    down = 150 if octave.octaves > 0 else 190
    yield strokes.text(words, right + 20, box.centre + down, _EIGHT, italic=True, anchor="start")
