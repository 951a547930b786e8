"""Scales that run across the courses, each note ringing on into the next like bells."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.model.voiced import LedNote

#: Fewer notes than this are no scale worth a bracket.
_FEWEST = 5
#: A scale of open diapasons is a run of the thumb, no bells.
_STOPPED = 6


def bells(notes: Sequence[LedNote]) -> tuple[tuple[str, str], ...]:
    """First and last note id of every bell-like scale, given the notes in order of time.

    A bell-like scale moves by step in one direction, each note on another course than the one before.
    Source: common practice, no source for the count of notes.
    """
    by_voice: dict[int, list[LedNote]] = {}
    for note in notes:
        by_voice.setdefault(note.voice, []).append(note)
    found = [run for voice in sorted(by_voice) for run in _runs(by_voice[voice])]
    return tuple((first.id, last.id) for first, last in sorted(found, key=lambda run: run[0].onset))


def _runs(line: Sequence[LedNote]) -> list[tuple[LedNote, LedNote]]:
    runs: list[tuple[LedNote, LedNote]] = []
    start = 0
    for at in range(1, len(line) + 1):
        if at < len(line) and _goes_on(line[at - 1], line[at], _direction(line, start)):
            continue
        if at - start >= _FEWEST:
            runs.append((line[start], line[at - 1]))
        start = at - 1 if at < len(line) and _goes_on(line[at - 1], line[at], 0) else at
    return runs


def _direction(line: Sequence[LedNote], start: int) -> int:
    if start + 1 >= len(line):
        return 0
    step = line[start + 1].stop.pitch - line[start].stop.pitch
    return (step > 0) - (step < 0)


def _goes_on(before: LedNote, after: LedNote, direction: int) -> bool:
    step = after.stop.pitch - before.stop.pitch
    return (
        0 < abs(step) <= 2
        and (direction == 0 or step * direction > 0)
        and after.stop.course != before.stop.course
        and not after.stop.slurred
        and max(before.stop.course, after.stop.course) <= _STOPPED
        and before.onset < after.onset <= before.onset + before.length
    )
