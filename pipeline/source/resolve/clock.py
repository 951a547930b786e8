"""The rhythm signs turned into lengths: a sign holds until the next, a group lapses when full."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from pipeline.findings.codes import music
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.record import replace
from pipeline.model.signs import Body, Event, Group
from pipeline.model.sounding import TupletPlace
from pipeline.model.time import WHOLE, Ticks, Value

#: Where no value is in force (unmeasured music, or a fault) an event takes this long, in the edition.
NOMINAL: Ticks = WHOLE // 4
NO_VALUE_MARK = "n"


@dataclass(frozen=True, slots=True)
class Beat:
    """The time one event takes. ``sign`` as in :class:`pipeline.model.sounding.SoundingEvent`."""

    length: Ticks
    sign: Value | None
    drawn: bool
    tuplet: TupletPlace | None


#: The value in force, and whether a missing one has been reported.
ClockState = tuple[Value | None, bool]


@dataclass(slots=True)
class _Running:
    """A group being filled: how much of it is left, in undivided ticks."""

    group: Group
    left: Ticks
    event: Event


class Clock:
    """Walks through the events of a piece in order. One for each piece; ``measured`` follows the metre."""

    def __init__(self, ratio: Fraction) -> None:
        self._ratio = ratio
        self._value: Value | None = None
        self._running: _Running | None = None
        self._complained = False
        self.diagnostics: list[Diagnostic] = []

    @property
    def value(self) -> Value | None:
        """The value in force."""
        return self._value

    @property
    def state(self) -> ClockState:
        """What it knows between two bars."""
        return self._value, self._complained

    def resume(self, state: ClockState) -> None:
        """Go on as after a bar that ended so."""
        self._value, self._complained = state

    def next(self, event: Event, measured: bool, *, left_out: bool = False, alone: bool = False) -> Beat:
        """The length of the next event, in the edition's values: nothing if the edition leaves it out. ``alone``: a
        sign lengthens only its own event."""
        head = event.head
        drawn = False
        group: Group | None = None
        if alone:
            self._value = None
        if head is not None:
            if head.value is not None and head.value.edition is not None:
                self._value = head.value.edition
                drawn = True
            group = head.group
            if any(reading.edition == NO_VALUE_MARK for mark in head.marks for reading in mark.marks):
                self._value, self._complained = None, True  # said in the source: no fault
        value = self._value
        if left_out:
            return Beat(0, value, drawn, None)
        if value is None:
            self._no_value(event, measured)
            return Beat(NOMINAL, None, drawn, None)
        if head is not None and head.second is not None:
            self._value, value = head.second, _together(value, head.second)
        length, tuplet = self._grouped(event, group, value.ticks)
        return Beat(self._in_edition(length), value, drawn, tuplet)

    def end_bar(self) -> None:
        """A group must be full by the end of its bar."""
        self._lapse()

    def _in_edition(self, length: Ticks) -> Ticks:
        ratio = self._ratio
        return length if ratio == 1 else length * ratio.numerator // ratio.denominator

    def _grouped(self, event: Event, group: Group | None, plain: Ticks) -> tuple[Ticks, TupletPlace | None]:
        starts = group is not None
        if group is not None:
            self._lapse()
            self._running = _Running(group, group.notes * plain, event)
        running = self._running
        if running is None:
            return plain, None
        if plain > running.left:
            self._lapse()
            return plain, None
        running.left -= plain
        ends = running.left == 0
        if ends:
            self._running = None
        notes, time = running.group.notes, running.group.time
        return plain * time // notes, TupletPlace(notes, time, starts, ends, running.group.added)

    def _lapse(self) -> None:
        running = self._running
        self._running = None
        if running is None or running.left == 0:
            return
        head = running.event.head
        span = head.span if head is not None else running.event.span
        self.diagnostics.append(
            Diagnostic(
                music.GROUP_INCOMPLETE,
                span,
                f"This group of {running.group.notes} is broken off by a new sign or the bar line before it is full.",
                "Add the missing values, or remove the group from the sign.",
            )
        )

    def _no_value(self, event: Event, measured: bool) -> None:
        if not measured or self._complained or event.body is Body.NOTHING:
            return
        self._complained = True
        self.diagnostics.append(
            Diagnostic(
                music.NO_SIGN_IN_FORCE,
                event.span,
                "No rhythm sign is in force here; the event is counted as a crotchet.",
                "Type the sign over the first event, e.g. 4=, or metre none for unmeasured music.",
            )
        )


def _together(one: Value, other: Value) -> Value:
    """The value of two signs over one event."""
    return _VALUES[one.ticks + other.ticks]


_VALUES = {value.ticks: value for unit in (0, 1, 2, 4, 8, 16, 32) for value in (Value(unit, 1), Value(unit))}


def enclosed(beats: list[Beat]) -> list[Beat]:
    """Open and close every group within its bar, also one that a bar line or a new sign cuts short. What is left out
    breaks no group."""
    kept = [at for at, beat in enumerate(beats) if beat.length]
    for number, at in enumerate(kept):
        beat = beats[at]
        place = beat.tuplet
        if place is None:
            continue
        before = beats[kept[number - 1]].tuplet if number else None
        after = beats[kept[number + 1]].tuplet if number + 1 < len(kept) else None
        starts = place.starts or before is None or before.ends
        ends = place.ends or after is None or after.starts
        if starts is not place.starts or ends is not place.ends:
            beats[at] = replace(beat, tuplet=replace(place, starts=starts, ends=ends))
    return beats
