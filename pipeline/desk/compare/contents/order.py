"""The order in which stops and marks stand in a content, whatever the order in which they are typed."""

from __future__ import annotations

from collections.abc import Iterable

from pipeline.desk.compare.content import MarkContent, Marks, StopContent


def in_order(stops: list[StopContent]) -> tuple[StopContent, ...]:
    """From the highest course number down, within what is struck together; what cannot be read comes last."""
    if len(stops) > 1:
        stops.sort(key=_place)
    return tuple(stops)


def _place(stop: StopContent) -> tuple[int, int]:
    course = stop.course
    return stop.order, -int(course) if course.isdecimal() else 1


def marks_in_order(marks: Iterable[MarkContent]) -> Marks:
    """Marks by their names: their order says nothing."""
    found = list(marks)
    if len(found) > 1:
        found.sort(key=_name)
    return tuple(found)


def _name(mark: MarkContent) -> tuple[str, str, str, bool]:
    reading = mark.reading
    return reading.edition or "", reading.source or "", reading.act.value, reading.doubtful
