"""The part of one vocal or bass staff: what is sung, its words, its figures."""

from __future__ import annotations

from collections.abc import Sequence

from lxml.etree import _Element

from pipeline.model.notes import Editorial, Kind
from pipeline.model.score import Measure, Score, SungEvent, VocalStaff, Words
from pipeline.model.time import Metre, Ticks
from pipeline.writers.musicxml import directions
from pipeline.writers.musicxml.attributes import sung_attributes
from pipeline.writers.musicxml.barlines import Frame, left_barline, right_barline
from pipeline.writers.musicxml.figures import columns_under, figured_basses
from pipeline.writers.musicxml.moments import Moments
from pipeline.writers.musicxml.pen import Cursor, Pen
from pipeline.writers.musicxml.rows import block, hidden_rest
from pipeline.writers.musicxml.sungnote import sung_note

_VOICE, _STAFF = 1, 1
_DOUBTFUL = {Editorial.DOUBTFUL, Editorial.BRACKETED_DOUBTFUL}


def line_id(staff: VocalStaff) -> str:
    """The id of the part of a vocal or bass staff."""
    return f"line-{staff.name}"


def sung_part(root: _Element, score: Score, staff: VocalStaff, frames: list[Frame], pen: Pen) -> None:
    """``part``: measure, measure … The part that stands at the top carries the words of the whole score."""
    part = block(root, "part", {"id": line_id(staff)})
    top = top_line(score) is staff
    metre: Metre | None = None
    for measure, frame in zip(score.measures, frames, strict=True):
        metre = measure.metre or metre
        element = block(part, "measure", frame.attributes)
        sung_attributes(element, measure, staff, pen, first=frame.first)
        left_barline(element, frame)
        words = [word for word in measure.words if not word.tablature] if top else ()
        _measure(element, measure, staff, words, metre, pen)
        right_barline(element, frame)


def top_line(score: Score) -> VocalStaff | None:
    """The sung staff above the accompaniment that stands highest, if there is one; where there is no accompaniment, the
    highest staff."""
    alone = not (score.tablature or score.staves)
    return next((staff for staff in score.vocal if alone or not staff.bass), None)


def events_of(measure: Measure, staff: str) -> tuple[SungEvent, ...]:
    """What a vocal or bass staff holds in a measure."""
    return next((held.events for held in measure.sung if held.staff == staff), ())


def reach(measure: Measure) -> Ticks:
    """How long a measure must be for all its parts to fit: longer than it is where a line is too long for its bar
    (a fault, reported as such). Every part is written as long, so that readers keep them together."""
    ends = (event.onset + event.ticks - measure.onset for held in measure.sung for event in held.events)
    return max(measure.ticks, max(ends, default=0))


def _measure(
    element: _Element, measure: Measure, staff: VocalStaff, words: Sequence[Words], metre: Metre | None, pen: Pen
) -> None:
    """figured-bass and note …, with directions and harmonies between them."""
    events = [event for event in events_of(measure, staff.name) if event.ticks]
    own = [column for column in measure.figures if column.staff == staff.name]
    columns = columns_under(own, measure.onset, [events]) if own else {}
    chords = [(sign, 0) for sign in measure.chord_signs if sign.staff == staff.name]
    moments = Moments(pen, measure.id, [(directions.above(word), 0) for word in words], chords)
    slur_ends = {event.slur_to for event in events if event.slur_to}
    cursor = Cursor(element, pen)
    for event in events:
        start = event.onset - measure.onset
        cursor.move_to(start, _VOICE, _STAFF)
        moments.until(start + event.ticks, element, cursor)
        if event.kind is Kind.SPACE:
            hidden_rest(element, event.ticks // pen.unit, _VOICE)
        else:
            if event.editorial in _DOUBTFUL:
                directions.direction(element, "?")
            _letters(element, measure, event, pen)
            if event.id in columns:
                figured_basses(element, pen, columns[event.id], event.ticks)
            element.append(sung_note(pen, event, metre, measure.id, slur_stops=event.id in slur_ends))
        cursor.at += event.ticks
    cursor.fill_to(reach(measure), _VOICE)
    moments.until(None, element, cursor)


def _letters(element: _Element, measure: Measure, event: SungEvent, pen: Pen) -> None:
    """The letters of notes at the foot on a note and on its words, over it."""
    for letter in (event.footnote, *(word.footnote for word in event.syllables)):
        if letter:
            directions.letter(element, letter, pen.footnote(letter, measure.id))
