"""Scales that run across the courses, each note ringing on into the next like bells."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.stages.lead.parts import Stroke

#: Fewer notes than this are no scale worth a bracket.
_FEWEST = 5


def bells(found: Sequence[Stroke]) -> tuple[tuple[str, str], ...]:
    """First and last note id of every bell-like scale.

    A bell-like scale moves by step in one direction, each note on another course than the one before.
    Source: common practice, no source for the count of notes.
    """
    runs: list[tuple[str, str]] = []
    line = [stroke for stroke in found if _alone_on_top(stroke)]
    start = 0
    for at in range(1, len(line) + 1):
        if at < len(line) and _goes_on(line[at - 1], line[at], _direction(line, start)):
            continue
        if at - start >= _FEWEST:
            runs.append((line[start].stop.id, line[at - 1].stop.id))
        start = at - 1 if at < len(line) and _goes_on(line[at - 1], line[at], 0) else at
    return tuple(runs)


def _alone_on_top(stroke: Stroke) -> bool:
    return not stroke.stop.slurred and not stroke.stop.held and stroke.part.value == "upper"


def _direction(line: Sequence[Stroke], start: int) -> int:
    if start + 1 >= len(line):
        return 0
    step = line[start + 1].stop.pitch - line[start].stop.pitch
    return (step > 0) - (step < 0)


def _goes_on(before: Stroke, after: Stroke, direction: int) -> bool:
    step = after.stop.pitch - before.stop.pitch
    return (
        0 < abs(step) <= 2
        and (direction == 0 or step * direction > 0)
        and after.stop.course != before.stop.course
        and after.onset == before.onset + before.event.length
    )
