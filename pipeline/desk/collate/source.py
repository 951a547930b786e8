"""A text as its source has it: what the editor added taken away, what the editor changed or left out put back.

A rhythm sign that the editor supplied stays, marked as supplied: without it nothing after it could be put in time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TypeVar

from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, Event, Head, MarkGroup, Reading, Slur, Stop, printed
from pipeline.model.tablature import Bar, BarItem, Barline, BarlineAct, SourceBreak, Tablature
from pipeline.model.time import Value

T = TypeVar("T")
_UNREADABLE = {Act.SUPPLIED_ILLEGIBLE: Act.ILLEGIBLE, Act.SUPPLIED_LOST: Act.LOST}


def as_source(tablature: Tablature) -> Tablature:
    """Every bar as the source has it, without notes and lines beside the tablature."""
    body = tuple(source_bar(item) if isinstance(item, Bar) else item for item in tablature.body)
    return replace(tablature, body=body)


def source_bar(bar: Bar) -> Bar:
    """One bar. A line at its end that the editor added stays, as added: the bar after it is one in the edition."""
    whole = next((variant for variant in bar.variants if not variant.witness), None)
    items = tuple(source_items(bar.items if whole is None else whole.items))
    closing = replace(bar.closing, labels=())
    if closing.act is BarlineAct.DOUBTFUL:
        closing = replace(closing, act=BarlineAct.PRINTED)
    if whole is not None:
        items, closing = closed(items, closing)
    ditto = bar.ditto if whole is None else None
    return replace(bar, items=items, closing=closing, ditto=ditto, layers=(), variants=(), notes=())


def closed(items: tuple[BarItem, ...], closing: Barline) -> tuple[tuple[BarItem, ...], Barline]:
    """The items of a whole bar as a source has it, and the line at its end: the last one typed, or else that of the
    bar above."""
    last = items[-1] if items else None
    return (items[:-1], last) if isinstance(last, Barline) else (items, closing)


def source_items(items: Iterable[BarItem]) -> Iterator[BarItem]:
    """Events and bar lines of the source."""
    for item in items:
        match item:
            case Event():
                event = source_event(item)
                if event is not None:
                    yield event
            case Barline() if item.act is not BarlineAct.ADDED:
                yield Barline(item.kind, item.span)
            case Barline() | SourceBreak():
                pass
            case _:
                yield item


def source_event(event: Event) -> Event | None:
    """An event of the source; None for one that the editor added."""
    head = source_head(event.head)
    stops = source_stops(event.stops)
    if event.stops and not stops:
        if head is None or (not head.marks and not head.beamed and _supplied(head.value)):
            return None
        return Event(event.span, head, Body.NOTHING)
    return Event(event.span, head, event.body, stops)


def source_stops(stops: Iterable[Stop]) -> tuple[Stop, ...]:
    """The stops of the source, without their labels."""
    found: list[Stop] = []
    for stop in stops:
        reading = source_reading(stop.reading)
        if reading is not None:
            slur = None if stop.slur is Slur.ADDED else Slur.PRINTED if stop.slur is Slur.REMOVED else stop.slur
            found.append(Stop(reading, stop.span, slur, stop.after and bool(found), (), source_marks(stop.marks)))
    return tuple(found)


def source_head(head: Head | None) -> Head | None:
    """What stands over an event in the source; None for nothing."""
    if head is None:
        return None
    value = head.value
    if value is not None and value.act in (Act.EMENDED, Act.REMOVED) and value.source is not None:
        value = printed(value.source, doubtful=value.source_doubtful)
    made = replace(head, value=value, opening_labels=(), labels=(), marks=source_marks(head.marks))
    return None if is_bare(made) else made


def is_bare(head: Head) -> bool:
    """Whether nothing stands there."""
    return head.value is None and head.group is None and not (head.beamed or head.marks)


def source_marks(groups: Iterable[MarkGroup]) -> tuple[MarkGroup, ...]:
    """The marks of the source, without their labels."""
    found = []
    for group in groups:
        marks = tuple(mark for reading in group.marks if (mark := source_reading(reading)) is not None)
        if marks:
            found.append(MarkGroup(marks, (), group.span))
    return tuple(found)


def source_reading(reading: Reading[T]) -> Reading[T] | None:
    """What the source has of a sign; None for nothing."""
    if reading.act is Act.ADDED:
        return None
    if reading.act in _UNREADABLE:
        return Reading(_UNREADABLE[reading.act], None, None)
    if reading.act in (Act.EMENDED, Act.REMOVED) and reading.source is not None:
        return printed(reading.source, doubtful=reading.source_doubtful)
    return reading


def _supplied(value: Reading[Value] | None) -> bool:
    return value is None or value.act is Act.ADDED
