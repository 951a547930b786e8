"""From written to played time, passage by passage."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from operator import attrgetter

from pipeline.model.performance import Passage, PlayedNote
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.time import Ticks

_onset: Callable[[PlayedNote], Ticks] = attrgetter("onset")


def played(notes: Sequence[PlayedNote], plan: Sequence[Passage]) -> tuple[PlayedNote, ...]:
    """Notes in written time, passage by passage; a note is cut where the music jumps away."""
    made: list[PlayedNote] = []
    for number, passage in enumerate(plan):
        jumps = number + 1 < len(plan)
        for note in notes[bisect_left(notes, passage.start, key=_onset) : bisect_left(notes, passage.end, key=_onset)]:
            length = min(note.length, passage.end - note.onset) if jumps else note.length
            made.append(PlayedNote(note.onset + passage.shift, length, note.pitch))
    return tuple(made)


def bars_played(piece: SoundingPiece, plan: Sequence[Passage]) -> Iterator[tuple[Passage, SoundingBar]]:
    """The bars that lie in each passage, wholly or in part, in the order of playing."""
    ends = [bar.end for bar in piece.bars]
    for passage in plan:
        for bar in piece.bars[bisect_left(ends, passage.start + 1) :]:
            if bar.onset >= passage.end:
                break
            yield passage, bar
