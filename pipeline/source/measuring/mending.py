"""The smallest single change to the rhythm signs that makes a bar add up.

Most misprints of old tablature are missing or misplaced rhythm signs (PS: errata of a modern edition naming prints
of 1603 and 1610). Three changes are tried at every event: another value for the sign that stands there, a sign where
none stands, and no sign where one stands. Each costs by how far it goes from what is typed (one hook or one dot is
nearest), by notes that come to lie off their beat, and by what it does to the next bar, into which the sign may hold;
a rhythm that other bars of the piece have is cheaper. The costs are this project's own, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from math import log2

from pipeline.model.record import replace
from pipeline.model.signs import Act, Reading
from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.text import Span
from pipeline.model.time import WHOLE, Ticks, Value

#: Longer bars get no suggestion: trying all places costs the square of their number.
MOST_EVENTS = 100

#: A change that costs more by itself is no slip of one sign.
FAR = 2.6

_UNITS = (0, 1, 2, 4, 8, 16, 32, 64)
_VALUES = {Value(unit, dots).ticks: Value(unit, dots) for dots in (2, 1, 0) for unit in _UNITS}
_UNREAD = {Act.ILLEGIBLE: "?", Act.LOST: "*"}


class Way(Enum):
    """What is done to the sign over an event, to a bar line, or to two events."""

    CHANGE = "change"
    INSERT = "insert"
    REMOVE = "remove"
    BAR_LINE = "bar line"
    JOIN = "join"


@dataclass(frozen=True, slots=True)
class Mend:
    """One change. ``event`` counts from 1 within the bar; ``value`` is the one to read (None at a bar line);
    ``reading`` and ``typing`` are words for a hint; ``mends_next`` says that the next bar, now wrong, will add up
    too."""

    cost: float
    event: int
    way: Way
    value: Value | None
    span: Span
    reading: str
    typing: str
    mends_next: bool = False


@dataclass(frozen=True, slots=True)
class Carry:
    """The next bar: how much of it stands under a sign of this one, its length, and what its metre asks."""

    carried: Ticks
    length: Ticks
    expected: Ticks


@dataclass(frozen=True, slots=True)
class Rhythms:
    """The rhythms of the bars that add up."""

    known: frozenset[tuple[Ticks, ...]]

    @classmethod
    def of(cls, bars: Iterable[SoundingBar]) -> Rhythms:
        return cls(frozenset(tuple(event.length for event in bar.events) for bar in bars))


@dataclass(frozen=True, slots=True)
class _Run:
    """Events under one sign: ``start`` to ``end`` (from 0, exclusive); ``before`` is the value in force earlier."""

    start: int
    end: int
    value: Value
    before: Value | None


def mends(events: Sequence[SoundingEvent], expected: Ticks, carry: Carry | None, rhythms: Rhythms) -> tuple[Mend, ...]:
    """Every such change, the most likely first; empty if none makes the bar add up."""
    if not events or len(events) > MOST_EVENTS or any(event.sign is None for event in events):
        return ()
    found: list[Mend] = []
    for change in single_changes(events, expected):
        if change.mend.cost > FAR:
            continue
        carry_cost, mends_next = _carry_cost(carry if change.reaches_on else None, change.ratio)
        cost = change.mend.cost + _rhythm_cost(events, list(change.lengths), rhythms) + carry_cost
        found.append(replace(change.mend, cost=cost, mends_next=mends_next))
    return tuple(sorted(found, key=lambda mend: mend.cost))


@dataclass(frozen=True, slots=True)
class Change:
    """A change to one sign, before anything but its distance is weighed: ``lengths`` are those of all events after
    it, ``ratio`` by what the events under the sign grow, ``reaches_on`` that the sign holds at the end of the bar."""

    mend: Mend
    lengths: tuple[Ticks, ...]
    ratio: float
    reaches_on: bool


def single_changes(events: Sequence[SoundingEvent], expected: Ticks) -> Iterator[Change]:
    """Every change to one sign after which the events add up to ``expected``, in order of place."""
    if any(event.event.head is not None and event.event.head.second is not None for event in events):
        return  # the sign that stands there is not the one that holds on
    lengths = [event.length for event in events]
    missing = expected - sum(lengths)
    for run in _runs(events):
        for mend, start, value in _of_run(events, run, lengths, missing):
            after = tuple(
                length * value.ticks // run.value.ticks if start <= place < run.end else length
                for place, length in enumerate(lengths)
            )
            yield Change(mend, after, value.ticks / run.value.ticks, run.end == len(events))


def _runs(events: Sequence[SoundingEvent]) -> Iterator[_Run]:
    start, before = 0, None
    for place in range(1, len(events) + 1):
        if place == len(events) or events[place].drawn:
            value = events[start].sign
            assert value is not None
            yield _Run(start, place, value, before)
            start, before = place, value


def _of_run(
    events: Sequence[SoundingEvent], run: _Run, lengths: list[Ticks], missing: Ticks
) -> Iterator[tuple[Mend, int, Value]]:
    """Every change inside one run that makes the bar add up, the event from which it counts, and the new value."""
    tail = sum(lengths[run.start : run.end])
    for place in range(run.start, run.end):
        event = events[place]
        inside_group = event.tuplet is not None and not event.tuplet.starts
        value = _value_for(run.value, tail, missing)
        if value is not None and not inside_group:
            if place > run.start or not event.drawn:
                yield _inserted(event, place + 1, run, value), place, value
            else:
                yield _changed(event, place + 1, run, value), place, value
        tail -= lengths[place]


def _value_for(value: Value, total: Ticks, missing: Ticks) -> Value | None:
    """The value that, in place of ``value``, brings ``total`` to ``total + missing``."""
    if not total:
        return None
    ticks, rest = divmod(value.ticks * (total + missing), total)
    return None if rest else _VALUES.get(ticks)


def _changed(event: SoundingEvent, number: int, run: _Run, value: Value) -> Mend:
    head = event.event.head
    span = head.span if head is not None else event.event.span
    source = run.value.name
    if value == run.before:
        return Mend(
            _distance(run.value, value) + 0.2,
            number,
            Way.REMOVE,
            value,
            span,
            f"the sign over event {number} should be {value.name}=, not {source}=",
            f"{value.name}!{source}= if the source has it so",
        )
    doubtful = head is not None and head.value is not None and head.value.doubtful
    return Mend(
        _distance(run.value, value) - 0.5 * doubtful + 0.5 * (event.tuplet is not None and value.dots > 0),
        number,
        Way.CHANGE,
        value,
        span,
        f"the sign over event {number} should be {value.name}=, not {source}=",
        f"{value.name}!{source}= if the source has it so",
    )


def _inserted(event: SoundingEvent, number: int, run: _Run, value: Value) -> Mend:
    head = event.event.head
    unread = _unread(head.value) if head is not None and head.value is not None else ""
    if unread:
        return Mend(
            0.0,
            number,
            Way.INSERT,
            value,
            head.span if head is not None else event.event.span,
            f"the sign over event {number} that cannot be read is {value.name}=",
            f"{value.name}!{unread}= says so",
        )
    rest_of_beat = run.value.dots == 1 and number == run.start + 2 and value.ticks * 3 == run.value.ticks
    return Mend(
        0.8 if rest_of_beat else _missing_sign(run.value, value, number == 1),
        number,
        Way.INSERT,
        value,
        event.event.span,
        f"a sign {value.name}= is missing over event {number}",
        f"{value.name}!= if the source lacks it",
    )


def _unread(reading: Reading[Value]) -> str:
    return _UNREAD.get(reading.act, "")


# --- costs ---------------------------------------------------------------------------------------------


def _distance(typed: Value, read: Value) -> float:
    """How far two signs lie apart: 1 for one hook or one dot."""
    hooks = abs(round(log2(Value(typed.unit).ticks / Value(read.unit).ticks)))
    dots = abs(typed.dots - read.dots)
    return 1.0 * hooks + (1.0 if not hooks else 0.8) * dots + (0.5 if read.dots > 1 else 0.0)


def _missing_sign(held: Value, read: Value, at_bar_line: bool) -> float:
    """How unlikely it is that a sign is missing: the value that happens to hold matters little, and a bar mostly
    begins with a sign."""
    hooks = abs(round(log2(Value(held.unit).ticks / Value(read.unit).ticks)))
    return (0.7 if at_bar_line else 1.0) + 0.2 * hooks + 0.3 * read.dots**2


def _rhythm_cost(events: Sequence[SoundingEvent], lengths: list[Ticks], rhythms: Rhythms) -> float:
    """A quarter for each plain note off the beats of its own size; less for a rhythm that other bars have."""
    cost = -0.8 if tuple(lengths) in rhythms.known else 0.0
    onset = 0
    for event, length in zip(events, lengths, strict=True):
        if not length:
            continue
        beat = length if WHOLE % length == 0 else length * 2 // 3
        if event.tuplet is None and beat and onset % beat:
            cost += 0.25
        onset += length
    return cost


def _carry_cost(carry: Carry | None, ratio: float) -> tuple[float, bool]:
    """What changing the sign in force does to the bar after; and whether that bar was wrong, and will be right."""
    if carry is None or not carry.carried or not carry.expected:
        return 0.0, False
    changed = carry.length + carry.carried * (ratio - 1)
    right_before, right_after = carry.length == carry.expected, abs(changed - carry.expected) < 1
    if right_before:
        return (0.0 if right_after else 2.5), False
    return (-1.5 if right_after else 0.0), right_after
