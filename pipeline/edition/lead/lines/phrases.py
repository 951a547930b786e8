"""How far a pin reaches: the reading with pins holds near them, the reading without them elsewhere."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pipeline.edition.lead.lines.arrays import FREE, Flags, LineArrays, StopArrays
from pipeline.edition.lead.lines.lengths import even, follows_of, moves_of

#: A pin changes the reading of its bar and of so many on each side, and nothing beyond.
PHRASE = 2
#: Which registers a piece is given first, where pins name more voices than it has.
_FIRST = (4, 0, 2, 1, 3)


def enough(lines: tuple[int, ...], voices: int) -> tuple[int, ...]:
    """The registers and as many more as it takes for so many ``voices``."""
    missing = [one for one in _FIRST if one not in lines]
    return tuple(sorted((*lines, *missing[: max(0, voices - len(lines))])))


def renumbered(read: LineArrays, lines: tuple[int, ...], more: tuple[int, ...]) -> LineArrays:
    """The reading with its voices counted among ``more`` registers."""
    number = np.searchsorted(np.array(more), np.array(lines)) + 1
    return replace(read, voice=number[read.voice - 1], voices=len(more))


def near_pins(stops: StopArrays) -> Flags:
    """The stops of the phrases that have pins."""
    pins = (stops.pin_voice != FREE) | (stops.pin_octave != FREE) | (stops.pin_length != FREE)
    pinned = np.unique(stops.bar[pins])
    found: Flags = np.isin(stops.bar, (pinned[:, None] + np.arange(-PHRASE, PHRASE + 1)).ravel())
    return found


def within(near: Flags, pinned: LineArrays, free: LineArrays, stops: StopArrays) -> LineArrays:
    """The reading with pins where they are ``near``, and without them elsewhere."""
    voice = np.where(near, pinned.voice, free.voice)
    follows = follows_of(voice - 1, stops.onset)
    end = np.minimum(moves_of(stops.onset, follows), stops.next_strike)
    length = np.minimum(np.where(near, pinned.length, free.length), np.maximum(end - stops.onset, 1))
    return LineArrays(
        voice,
        follows,
        even(length, voice - 1, stops),
        np.where(near, pinned.octave, free.octave),
        np.where(near, pinned.chance, free.chance),
        np.where(near, pinned.asked, free.asked),
        np.where(near, pinned.link, free.link),
        free.voices,
        free.habit,
        free.evidence,
    )
