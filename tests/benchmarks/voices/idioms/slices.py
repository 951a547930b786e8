"""What sounds at a moment, and the steps of the scale, which several idioms need."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator

from pipeline.model.time import WHOLE
from tests.benchmarks.voices.idioms.model import Source, Tone


def beats(source: Source, step: int) -> Iterator[tuple[int, int]]:
    """(onset, length) of steps of ``step`` ticks that begin anew with each bar; the last of a bar may be shorter."""
    for onset, length in source.bars:
        for at in range(onset, onset + length, step):
            yield at, min(step, onset + length - at)


class Sounding:
    """Which tone each voice has at a moment."""

    def __init__(self, source: Source) -> None:
        self.lines = [source.line(voice) for voice in range(source.voices)]
        self.onsets = [[tone.onset for tone in line] for line in self.lines]

    def at(self, moment: int) -> list[Tone]:
        """Tones that sound at ``moment``, the first voice first."""
        found = []
        for line, onsets in zip(self.lines, self.onsets, strict=True):
            place = bisect_left(onsets, moment + 1) - 1
            if place >= 0 and line[place].end > moment:
                found.append(line[place])
        return found


def pulse(source: Source, long: bool) -> int:
    """A half or a quarter of a whole note, or in bars of dotted beats three eighths."""
    beats_, unit = source.metre[0][1:]
    if unit >= 8 and beats_ % 3 == 0:
        return 3 * WHOLE // 8
    if beats_ % 2 == 0 and long:
        return WHOLE // 2
    return WHOLE // 4


def scale(fifths: int) -> list[int]:
    """The pitches of the scale of a signature."""
    classes = {7 * place % 12 for place in range(fifths - 1, fifths + 6)}
    return [pitch for pitch in range(12, 120) if pitch % 12 in classes]


def walk(start: int, goal: int, count: int, steps: list[int], up_first: bool) -> list[int]:
    """``count`` pitches by step from ``start`` so that the next step is ``goal``, as nearly as steps allow.

    The way first turns one way and then the other; where the distance is odd for the number of steps, the first is
    a third.
    """
    here, there = bisect_left(steps, start), bisect_left(steps, goal)
    distance = there - here
    moves = count
    if (distance - moves) % 2:
        distance += -1 if up_first else 1  # made good by a third below, in the last move
    up = max(0, min(moves, (moves + distance) // 2))
    path = [1] * up + [-1] * (moves - up)
    if not up_first:
        path.reverse()
    found, place = [start], here
    for move in path[: count - 1]:
        place += move
        found.append(steps[place])
    return found
