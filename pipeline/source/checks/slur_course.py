"""A left-hand slur that leaves its course.

Only the first note of a slur is plucked, the left hand sounds the rest, so all lie on one course (common practice, no
source). The course must stand in the event before, also over a bar line or the turn of a system.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.findings.codes.hand import SLUR_LEAVES_COURSE
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.signs import Body, Event, Slur, Stop
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece
from pipeline.model.tablature import DirectiveKind
from pipeline.source.checks.words import bar_name
from pipeline.source.measuring.damage import damaged

#: Places where the event before is not the one typed before.
_BREAKS = frozenset({DirectiveKind.GAP, DirectiveKind.ENDING})


@dataclass(frozen=True, slots=True)
class _Before:
    """What the event before has: its courses, None where that cannot be told."""

    courses: frozenset[int] | None
    event: Event | None


_UNKNOWN = _Before(None, None)
_NOTHING = _Before(frozenset(), None)


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Every slurred stop whose course the event before does not have."""
    before: _Before | Event = _NOTHING
    for bar in piece.bars:
        if any(directive.kind in _BREAKS for directive in bar.directives):
            before = _UNKNOWN
        spoilt = damaged(bar.bar.items)
        for event in bar.events:
            if spoilt:
                before = _UNKNOWN
            elif bar.bar.ditto is None and any(stop.slur is not None for stop in event.event.stops):
                yield from _leaving(bar, event, _courses(before))
            before = before if event.event.body is Body.AS_BEFORE else event.event
        if spoilt:
            before = _UNKNOWN


def _courses(before: _Before | Event) -> _Before:
    """What an event has, looked at only where a slur leads on from it."""
    if isinstance(before, _Before):
        return before
    found: set[int] = set()
    for stop in before.stops:
        sign = stop.sign or stop.reading.source
        if sign is None or sign.course is None:
            return _UNKNOWN
        if stop.sign is not None:
            found.add(sign.course)
    return _Before(frozenset(found), before)


def _leaving(bar: SoundingBar, event: SoundingEvent, before: _Before) -> Iterator[Diagnostic]:
    for stop in event.event.stops:
        course = _slurred_course(stop)
        if course is None or before.courses is None or course in before.courses:
            continue
        if any(_is_on(other, course) for other in event.event.stops if other is not stop):
            continue
        place = f"the event before has nothing on course {course}" if before.event else "nothing stands before"
        yield Diagnostic(
            SLUR_LEAVES_COURSE,
            stop.span,
            f"{bar_name(bar)}: a slur leads to course {course}, but {place}.",
            "Correct the course, or remove the slur (!_ keeps it as the source's reading).",
            (Related(before.event.span, "the event before"),) if before.event else (),
            bar.label,
        )


def _slurred_course(stop: Stop) -> int | None:
    if stop.slur is None or stop.slur is Slur.REMOVED or stop.sign is None:
        return None
    return stop.sign.course


def _is_on(stop: Stop, course: int) -> bool:
    return stop.sign is not None and stop.sign.course == course
