"""What every layer of one measure must know of its bar, found once."""

from __future__ import annotations

from pipeline.edition.notate.values import Grid, grid_of
from pipeline.model.notes import Tuplet
from pipeline.model.record import Record
from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.time import WHOLE, Ticks


class GroupSpan(Record, frozen=True):
    """Where a group of the tablature stands in the measure."""

    start: Ticks
    end: Ticks
    notes: int
    time: int

    @property
    def full(self) -> bool:
        """False where a bar line or a fault cut the group short, so that no plain value fills it."""
        return (self.end - self.start) % (WHOLE // 1024) == 0


class Frame(Record, frozen=True):
    """A bar with its metric grid, its groups, and the moments (from its start) of events that have no value.

    ``shift`` is where its first event stands in a full bar; ``two_dots`` says that the source uses double dots here.
    """

    bar: SoundingBar
    grid: Grid
    shift: Ticks
    spans: tuple[GroupSpan, ...]
    loose: frozenset[Ticks]
    two_dots: bool

    @property
    def free(self) -> bool:
        """True where some event has no value: unmeasured."""
        return bool(self.loose)


def frame_of(bar: SoundingBar) -> Frame:
    """The frame of a bar."""
    shift = upbeat_shift(bar)
    signs = {event.sign for event in bar.events}
    loose = frozenset(e.onset - bar.onset for e in bar.events if e.sign is None) if None in signs else frozenset()
    two_dots = any(sign is not None and sign.dots > 1 for sign in signs)
    return Frame(bar, grid_of(bar.metre, shift), shift, _spans(bar), loose, two_dots)


def upbeat_shift(bar: SoundingBar) -> Ticks:
    """Where the first event of a bar stands in a full one: an unnumbered bar stands at its end."""
    if bar.label or bar.metre is None or bar.metre.ticks <= bar.length:
        return 0
    return bar.metre.ticks - bar.length


def tuplet_of(event: SoundingEvent) -> Tuplet | None:
    """The group that a tablature event stands in."""
    place = event.tuplet
    return None if place is None else Tuplet(place.notes, place.time, place.starts, place.ends, place.added)


def _spans(bar: SoundingBar) -> tuple[GroupSpan, ...]:
    """The groups of a measure; empty for nearly all."""
    spans: list[GroupSpan] = []
    start = 0
    for event in bar.events:
        place = event.tuplet
        if place is None:
            continue
        if place.starts:
            start = event.onset - bar.onset
        if place.ends:
            spans.append(GroupSpan(start, event.onset + event.length - bar.onset, place.notes, place.time))
    return tuple(spans)
