"""Signs at the figures of the tablature: editorial marks, dots, fingering, ornaments, strokes through chords."""

from __future__ import annotations

from collections.abc import Iterator
from functools import reduce
from itertools import pairwise

from pipeline.model.notes import Editorial, Ink, Ornament, Place, TabEvent, TabFigure
from pipeline.model.score import Measure
from pipeline.writers.engrave import strokes
from pipeline.writers.engrave.places import Box, Places
from pipeline.writers.engrave.strokes import SPACE
from pipeline.writers.engrave.text import ring_width, rings
from pipeline.writers.engrave.widths import text_width

BRACKETED = (Editorial.BRACKETED, Editorial.BRACKETED_DOUBTFUL)
DOUBTFUL = (Editorial.DOUBTFUL, Editorial.BRACKETED_DOUBTFUL)
_LINES, _LEDGER = 6, 70
#: What stands at the head of a line stands behind the number of its first bar.
_LINE_HEAD = 230
#: What lies between the first event of a line and the number of a note on its bar.
_BEHIND = 40
#: From the left edge of a rhythm sign to what stands behind its stem.
_CLEAR = 75
#: Letters that hang under the line they stand on, and how far.
_WITH_TAILS, _TAIL = frozenset("fgpy"), 75
_FINGER, _ORNAMENT, _DOUBT, _NUMBER, _BAR_NUMBER = 200, 260, 190, 190, 215


def event_signs(event: TabEvent, places: Places) -> Iterator[str]:
    """Everything that is drawn over one event of the tablature."""
    sign = event.sign
    if sign is not None and (sign.editorial is not Editorial.PLAIN or sign.flags < -1 or sign.second is not None):
        yield from _sign_marks(event, places)
    if event.footnote and all(figure.footnote != event.footnote for figure in event.figures):
        yield from _letter(event, places)
    for figure in event.figures:
        beyond = _beyond_the_lines(figure)
        if beyond or _is_marked(figure):
            box = places.figure(figure.id)
            if box is not None and beyond:
                yield strokes.line(box.left - _LEDGER, box.centre, box.right + _LEDGER, box.centre, 13)
            if box is not None:
                yield from _figure_marks(figure, box, places.sign(event.id))
    if event.spread or event.barre or any(figure.barre for figure in event.figures):
        yield from _chord_strokes(event, places)


def _beyond_the_lines(figure: TabFigure) -> bool:
    """True for a stopped figure on a course that has no line: a short line of its own tells it from a diapason."""
    return figure.course > _LINES and figure.fret > 0 and "/" not in figure.text


def _is_marked(figure: TabFigure) -> bool:
    return bool(
        figure.editorial is not Editorial.PLAIN
        or figure.ink is Ink.LOST
        or figure.dots
        or figure.ornaments
        or figure.left_finger
        or figure.right_finger
        or figure.footnote
    )


def _sign_marks(event: TabEvent, places: Places) -> Iterator[str]:
    box, sign = places.sign(event.id), event.sign
    if box is None or sign is None:
        return
    if sign.editorial in BRACKETED:
        yield strokes.brackets(box, 40)
    if sign.editorial in DOUBTFUL:
        yield strokes.text("?", box.right + 30, box.top + 130, _DOUBT, anchor="start")
    if sign.second is not None:
        yield from _second_sign(sign.second, box)
    for hook in range(1, -sign.flags):
        y = box.top + 20 + 75 * hook
        yield strokes.line(box.left + 30, y + 10, box.left - 30, y + 45, 20)


def _second_sign(hooks: int, box: Box) -> Iterator[str]:
    """A second rhythm sign beside the first: a stem, its hooks to the right, or to the left for the longer ones."""
    stem = box.right + 110
    yield strokes.line(stem, box.top + 10, stem, box.bottom, 20)
    way = 1 if hooks > 0 else -1
    for hook in range(abs(hooks)):
        y = box.top + 20 + 75 * hook
        yield strokes.line(stem, y, stem + 110 * way, y + 35, 20)


def _letter(event: TabEvent, places: Places) -> Iterator[str]:
    """The number of the note on a rhythm sign, behind it; where the edition prints no sign, in its place."""
    box = places.sign(event.id)
    if box is not None:
        bracketed = event.sign is not None and event.sign.editorial in BRACKETED
        right = box.right + (75 if bracketed else 25)
        yield rings(event.footnote, right, box.top + 70, _NUMBER)
        return
    column = places.column(event.id)
    if column is not None:
        yield rings(event.footnote, column, places.top - 490, _NUMBER)


def bar_letter(measure: Measure, places: Places) -> Iterator[str]:
    """The number of the note on a whole bar, over the bar line at its head; at the head of a line behind its first
    event, if that stands there."""
    left = places.measure(measure.id) if measure.footnote else None
    if left is not None:
        width = ring_width(measure.footnote, _BAR_NUMBER)
        x = left - width / 2
        if left < _LINE_HEAD:
            first = _first(measure, places)
            taken = first is not None and first.left < _LINE_HEAD + width
            x = first.right + _BEHIND if first is not None and taken else _LINE_HEAD
        yield rings(measure.footnote, x, places.top - 190, _BAR_NUMBER)


def _first(measure: Measure, places: Places) -> Box | None:
    """The rhythm sign and the figures of the first event."""
    if not measure.tab:
        return None
    event = measure.tab[0]
    boxes = [places.sign(event.id), *(places.figure(figure.id) for figure in event.figures)]
    found = [box for box in boxes if box is not None]
    return reduce(Box.around, found) if found else None


def _figure_marks(figure: TabFigure, box: Box, sign: Box | None) -> Iterator[str]:
    """``sign`` is the rhythm sign over the figure's event, which its marks keep clear of."""
    left, right = box.left, box.right
    if figure.editorial in BRACKETED or figure.ink is Ink.LOST:
        yield strokes.brackets(box, 52)
        left, right = left - 55, right + 55
    if figure.editorial in DOUBTFUL:
        yield strokes.text("?", right + 12, box.top + 95, _DOUBT, anchor="start")
        right += 85
    for number in range(figure.dots):
        x = box.middle + (number - (figure.dots - 1) / 2) * 75
        yield f'<ellipse cx="{x:.0f}" cy="{box.bottom + 42:.0f}" rx="19" ry="19"/>'
    if figure.left_finger:
        yield strokes.text(figure.left_finger, left - 18, box.top + 75, _FINGER, anchor="end")
    if figure.right_finger:
        yield strokes.text(figure.right_finger, right + 18, box.bottom + 20, _FINGER, italic=True, anchor="start")
        right += 18 + text_width(figure.right_finger, _FINGER, "italic")
    for ornament in figure.ornaments:
        depth = _TAIL if set(figure.text) & _WITH_TAILS else 0
        yield from _ornament(ornament, Box(left, box.top, right, box.bottom), sign, depth)
        if ornament.place is Place.AFTER:
            right += 40 + text_width(ornament.shown, _ORNAMENT)
    if figure.footnote:
        yield rings(figure.footnote, right + 22, box.top + 10, _NUMBER)


def _ornament(ornament: Ornament, box: Box, sign: Box | None, depth: float = 0) -> Iterator[str]:
    """The printed sign at its declared place, bracketed where the editor adds it; under a rhythm sign beside its
    stem; below a figure that hangs ``depth`` under its foot, so much lower."""
    words = ornament.shown
    match ornament.place:
        case Place.AFTER:
            yield strokes.text(words, box.right + 30, box.bottom, _ORNAMENT, anchor="start")
        case Place.BEFORE:
            yield strokes.text(words, box.left - 22, box.bottom, _ORNAMENT, anchor="end")
        case Place.ABOVE:
            under = sign is not None and sign.bottom > box.top - _ORNAMENT
            if sign is not None and under:
                yield strokes.text(words, sign.left + _CLEAR, box.top - 18, _ORNAMENT, anchor="start")
            else:
                yield strokes.text(words, box.middle, box.top - 18, _ORNAMENT)
        case Place.BELOW:
            yield strokes.text(words, box.middle, box.bottom + 165 + depth, _ORNAMENT)


def _chord_strokes(event: TabEvent, places: Places) -> Iterator[str]:
    """Slanting strokes between the figures of a spread chord; an upright before a barre, whole or partial."""
    boxes = [box for box in (places.figure(figure.id) for figure in event.figures) if box is not None]
    boxes.sort(key=lambda box: box.top)
    if not boxes:
        return
    ends = [box for figure in event.figures if figure.barre and (box := places.figure(figure.id)) is not None]
    if ends and not event.barre:
        left = min(box.left for box in boxes)
        top, bottom = min(box.top for box in ends), max(box.bottom for box in ends)
        yield strokes.line(left - 70, top, left - 70, bottom, 26)
    if event.barre:
        left = min(box.left for box in boxes)
        top, bottom = boxes[0].top, boxes[-1].bottom
        yield strokes.line(left - 70, top, left - 70, bottom, 26)
    if event.spread:
        for upper, lower in pairwise(boxes):
            y = (upper.centre + lower.centre) / 2
            left = min(upper.middle, lower.middle) - 90
            yield strokes.line(left - 100, y + 0.26 * SPACE, left, y - 0.26 * SPACE, 18)
