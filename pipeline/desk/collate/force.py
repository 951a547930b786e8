"""The value in force: a rhythm sign holds until the next."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pipeline.model.record import replace
from pipeline.model.signs import Act, Event, Head, Reading
from pipeline.model.time import Value
from pipeline.source.resolve.clock import NO_VALUE_MARK


def after(value: Value | None, event: Event) -> Value | None:
    """What is in force after an event; ``value`` is what was before it."""
    head = event.head
    if head is None:
        return value
    if head.second is not None:
        return head.second
    return at(value, event)


def at(value: Value | None, event: Event) -> Value | None:
    """What is in force at an event; ``value`` is what was before it."""
    head = event.head
    if head is None:
        return value
    if NO_VALUE_MARK in event.marks:
        return None
    return head.value.edition if head.value is not None and head.value.edition is not None else value


def forced(events: Iterable[tuple[Event, Value | None]], running: Value | None) -> Iterator[Event]:
    """Events, each with the value that must be in force at it: one that prints no sign, and stands after another value
    than its own, gets its sign as supplied. ``running`` is in force before the first."""
    for event, value in events:
        needed = at(running, event) != value and value is not None
        made = supplied(event, value) if needed and value is not None else event
        running = after(running, made)
        yield made


def supplied(event: Event, value: Value) -> Event:
    """An event with a sign over it that its source does not print."""
    reading = Reading(Act.ADDED, value, None)
    head = Head(reading, event.span) if event.head is None else replace(event.head, value=reading)
    return replace(event, head=head)
