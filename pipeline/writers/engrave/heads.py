"""Signs at the heads of the staves: brackets, doubts, the small 8 of a note meant an octave off."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.model.notes import Editorial, Notehead, StaffEvent
from pipeline.model.score import Measure
from pipeline.writers.engrave import strokes
from pipeline.writers.engrave.places import Box, Places
from pipeline.writers.engrave.tabsigns import BRACKETED, DOUBTFUL
from pipeline.writers.engrave.text import rings
from pipeline.writers.engrave.widths import text_width

_EIGHT, _NUMBER = 250, 200
#: Height of a figure of the small 8.
_HIGH = 0.66 * _EIGHT
#: Heads no further apart than this stand side by side.
_BESIDE = 130


def head_signs(measure: Measure, places: Places, *, copy: bool) -> Iterator[str]:
    """Everything that is drawn over the noteheads of one measure; in a ``copy`` each octave sign stands at its head."""
    for layer in measure.layers:
        for event in layer.events:
            for head in event.heads:
                if head.editorial is not Editorial.PLAIN:
                    yield from editorial_signs(head.id, head.editorial, places, event)
                if head.octave is None and not head.footnote:
                    continue
                alone = measure.stands_alone(layer, event)
                if head.octave is not None and (copy or not alone):
                    yield from _octave(event, head, places)
                if head.footnote and not (alone and head.staff == layer.staff):
                    yield from _letter(event, head, places)


def _right_of(event: StaffEvent | None, name: str, places: Places) -> float:
    """The right edge of a head, its dots, and heads of the same chord that stand beside it."""
    own = places.head(name)
    if own is None:
        return 0.0
    boxes = [places.head(other.id) for other in event.heads] if event else [own]
    beside = [box.right for box in boxes if box is not None and abs(box.centre - own.centre) < _BESIDE]
    return max([*beside, places.dot(name) or 0.0])


def editorial_signs(name: str, editorial: Editorial, places: Places, event: StaffEvent | None) -> Iterator[str]:
    """Brackets round a head, and a question mark behind it and the others of its ``event``."""
    box = places.head(name)
    if box is None:
        return
    right = places.dot(name) or box.right
    if editorial in BRACKETED:
        left = places.accidental(name)
        whole = Box(box.left if left is None else left, box.top - 25, right, box.bottom + 25)
        yield strokes.brackets(whole, 45, 50)
        right += 60
    if editorial in DOUBTFUL:
        x = max(right, _right_of(event, name, places)) + 15
        yield strokes.text("?", x, box.top + 20, 240, anchor="start")


def _octave(event: StaffEvent, head: Notehead, places: Places) -> Iterator[str]:
    box, octave = places.head(head.id), head.octave
    if box is None or octave is None:
        return
    words = "8?" if octave.asked else "8"
    down = 150 if octave.octaves > 0 else 190
    x, y = _free_place(words, box, _right_of(event, head.id, places), box.centre + down, places)
    yield strokes.text(words, x, y, _EIGHT, italic=True, anchor="start")


def _free_place(words: str, head: Box, right: float, usual: float, places: Places) -> tuple[float, float]:
    """Left end and foot of the small type at a head: at its lower right, as usual; where other heads, accidentals or
    dots stand there, at its upper right, under it, at its lower left or over it; the place with least upon it."""
    wide = text_width(words, _EIGHT, "italic")
    under, over = head.bottom + _HIGH + 25, head.top - 30
    spots = (
        (right + 20, usual),
        (right + 20, head.top + 40),
        (head.middle - wide / 2, under),
        (head.left - wide - 20, usual),
        (head.middle - wide / 2, over),
    )
    return min(spots, key=lambda spot: places.covered(Box(spot[0], spot[1] - _HIGH, spot[0] + wide, spot[1])))


def _letter(event: StaffEvent, head: Notehead, places: Places) -> Iterator[str]:
    """The number of the note on a head inside a texture, where no number over the staff could mean just this one."""
    box = places.head(head.id)
    if box is None:
        return
    right = _right_of(event, head.id, places) + (70 if head.editorial in BRACKETED else 0)
    right += 110 if head.editorial in DOUBTFUL else 0
    yield rings(head.footnote, right + 35, box.top - 20, _NUMBER)
