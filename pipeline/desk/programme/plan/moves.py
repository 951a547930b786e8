"""What moves between two tunings of one instrument."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from pipeline.desk.programme.sheet import Move, ProgrammePiece, TunedCourse, TunedString
from pipeline.model.pitch import CONCERT_A

#: In a cost, one string outweighs any way that strings could go.
_STRING = 10**9


def moves(before: Sequence[TunedCourse], after: Sequence[TunedCourse], a4: tuple[float, float]) -> Iterator[Move]:
    """Every string that changes its pitch, course by course; ``a4`` are the pitch standards before and after."""
    shift = _tenths(a4[1]) - _tenths(a4[0])
    for old, new in zip(before, after, strict=False):
        for place, (one, other) in enumerate(zip(old.strings, new.strings, strict=False)):
            semitones = other.pitch.semitones - one.pitch.semitones
            tenths = 1000 * semitones + shift
            if tenths:
                yield Move(new.number, place, len(new.strings), one, other, semitones, tenths, new.struck)


def between(piece: ProgrammePiece, after: ProgrammePiece) -> tuple[Move, ...]:
    """What moves from the end of one piece to the beginning of another on the same instrument."""
    return tuple(moves(piece.after, after.courses, (piece.a4, after.a4)))


def cost(piece: ProgrammePiece, after: ProgrammePiece) -> int:
    """Strings that move, then, among equals, how far they go: one number that orders both."""
    moved = between(piece, after)
    return len(moved) * _STRING + sum(abs(move.tenths) for move in moved)


def position(string: TunedString, a4: float) -> int:
    """Where a string stands, in tenths of a cent: two strings of one position sound alike."""
    return 1000 * string.pitch.semitones + _tenths(a4)


def _tenths(a4: float) -> int:
    """A pitch standard as its distance from 440 Hz; rounded here, once, so that ways add up."""
    return round(12000 * math.log2(a4 / CONCERT_A))
