"""Single stops in which another source of the same piece differs: one of the two may be wrong there.

Another source is a piece whose bars sound as those of this one, in whatever key, signs and tuning, but for a few. In a
bar with one or two other notes at the same moments each of these is held against its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.desk.compare.sound import Beside, HeardBar, beside_each_other, moved_bar
from pipeline.desk.misprints.proposal import Slip
from pipeline.desk.misprints.search.context import Context
from pipeline.desk.misprints.search.lookalikes import Lookalike
from pipeline.desk.misprints.search.stops import as_printed
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import Semitones
from pipeline.model.sounding import SoundingBar, SoundingPiece, SoundingStop
from pipeline.model.time import Ticks

#: So many bars of a piece at least, and such a share of the shorter of the two, are the same in another source of it;
#: in a bar with more notes that differ the sources have different music (this project's own).
BARS, SHARE, NOTES = 4, 0.5, 2


@dataclass(frozen=True, slots=True)
class OtherPrint:
    """Row ``row`` of the context as the source called ``name`` has it."""

    row: int
    other: Lookalike
    name: str


def other_prints(piece: SoundingPiece, context: Context, siblings: Sequence[SoundingPiece]) -> Iterator[OtherPrint]:
    """Every stop for which another source has a different note, once; that of the first source counts."""
    told: set[int] = set()
    shapes = frozenset(map(_shape, piece.bars))
    rows = {id(stop): row for row, stop in enumerate(context.stops)}
    for sibling in siblings:
        if sibling.tablature.name == piece.tablature.name or not _may_be(shapes, sibling):
            continue
        beside = beside_each_other(piece, sibling)
        if not _is_same_music(beside):
            continue
        for stop, other in _differing(piece, beside):
            row = rows.get(id(stop))
            if row is not None and row not in told:
                told.add(row)
                yield OtherPrint(row, other, sibling.tablature.name)


def _shape(bar: SoundingBar) -> tuple[Ticks, ...]:
    return tuple(event.onset - bar.onset for event in bar.events if event.stops)


def _may_be(shapes: frozenset[tuple[Ticks, ...]], sibling: SoundingPiece) -> bool:
    """A quick look at the rhythms, so that not every piece of a folder is laid beside every other."""
    theirs = frozenset(map(_shape, sibling.bars))
    return len(shapes & theirs) >= SHARE * min(len(shapes), len(theirs))


def _is_same_music(beside: Beside) -> bool:
    same = sum(
        1
        for one, two in beside.pairs
        if one is not None and two is not None and beside.one[one] and _classes(beside, one, two)
    )
    return same >= max(BARS, SHARE * min(len(beside.one), len(beside.two)))


def _classes(beside: Beside, one: int, two: int) -> bool:
    """Whether two bars are the same but for octaves."""
    left, right = moved_bar(beside.one[one], beside.move), beside.two[two]
    return _by_class(left) == _by_class(right)


def _by_class(bar: HeardBar) -> list[tuple[Ticks, list[int]]]:
    return [(onset, sorted(pitch % 12 for pitch in pitches)) for onset, pitches in bar]


def _differing(piece: SoundingPiece, beside: Beside) -> Iterator[tuple[SoundingStop, Lookalike]]:
    for one, two in beside.pairs:
        if one is None or two is None:
            continue
        there = moved_bar(beside.two[two], -beside.move)
        places = _other_notes(beside.one[one], there)
        for place in places if len(places) <= NOTES else ():
            yield from _as_stop(piece.bars[one], *place)


def _other_notes(here: HeardBar, there: HeardBar) -> list[tuple[Ticks, Semitones, Semitones]]:
    """Moment, pitch and the other's pitch; none where the bars differ in more than single notes in the place of others.
    Octaves apart is no difference: other instruments have other octaves."""
    after = dict(there)
    if [onset for onset, _ in here] != [onset for onset, _ in there]:
        return []
    found = []
    for onset, pitches in here:
        lost = [pitch for pitch in pitches if pitch % 12 not in {each % 12 for each in after[onset]}]
        gained = [pitch for pitch in after[onset] if pitch % 12 not in {each % 12 for each in pitches}]
        if not len(lost) == len(gained) <= 1:
            return []
        found += [(onset, pitch, other) for pitch, other in zip(lost, gained, strict=True)]
    return found


def _as_stop(
    bar: SoundingBar, onset: Ticks, pitch: Semitones, wanted: Semitones
) -> Iterator[tuple[SoundingStop, Lookalike]]:
    event = next(each for each in bar.events if each.onset - bar.onset == onset and each.stops)
    stop = next((each for each in event.stops if each.pitch == pitch and not each.held), None)
    if stop is None or event.repeated or not as_printed(stop):
        return
    taken = {each.course for each in event.stops}
    place = _place(bar.instrument, stop, wanted, taken)
    if place is not None:
        yield stop, Lookalike(Slip.PRINTS_DIFFER, *place)


def _place(instrument: Instrument, stop: SoundingStop, wanted: Semitones, taken: set[int]) -> tuple[int, int] | None:
    """Where the instrument has the other note: on the same course, or the nearest that is free; in its own octave or,
    where there is none, in that nearest to the stop."""
    steps = wanted - stop.pitch
    nearest = min((steps + 12 * octave for octave in (-3, -2, -1, 0, 1, 2, 3)), key=lambda by: (abs(by), by))
    for by in dict.fromkeys((steps, nearest)):
        courses = [stop.course, *sorted(range(1, len(instrument.courses) + 1), key=lambda c: abs(c - stop.course))]
        for course in courses:
            if course != stop.course and course in taken:
                continue
            fret = stop.pitch + by - instrument.sounding(course, 0)[0]
            if 0 <= fret <= (0 if instrument.is_diapason(course) else instrument.highest_fret):
                return course, fret
    return None
