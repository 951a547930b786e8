"""What is heard of each bar, for listening to it alone."""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Callable, Iterator
from operator import attrgetter

from pipeline.desk.proof.record import HeardBar, Tone
from pipeline.model.performance import Passage, Performance, PlayedNote, PlayedPart
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.time import WHOLE, Ticks

_onset: Callable[[PlayedNote], Ticks] = attrgetter("onset")
_start: Callable[[Passage], Ticks] = attrgetter("start")


def heard_bars(piece: SoundingPiece, performance: Performance) -> tuple[HeardBar, ...]:
    """The notes that are struck in each bar, as it is played the first time; beside ``piece.bars``. Linear time."""
    return tuple(_heard(bar, performance) for bar in _bars_with_passages(piece, performance))


def _bars_with_passages(piece: SoundingPiece, performance: Performance) -> Iterator[tuple[SoundingBar, list[Passage]]]:
    """Each bar with the stretches of the piece that hold it, or its parts, for the first time."""
    first: list[Passage] = []
    for passage in performance.passages:
        for part in _unheard(passage, first):
            insort(first, part, key=_start)
    place = 0
    for bar in piece.bars:
        while place < len(first) and first[place].end <= bar.onset:
            place += 1
        here = place
        found = []
        while here < len(first) and first[here].start < bar.end:
            found.append(first[here])
            here += 1
        yield bar, found


def _unheard(passage: Passage, heard: list[Passage]) -> list[Passage]:
    """What of a passage is not part of those heard before, which do not overlap and stand in order."""
    left = []
    start = passage.start
    place = max(0, bisect_right(heard, start, key=_start) - 1)
    while place < len(heard) and heard[place].start < passage.end:
        if heard[place].start > start:
            left.append(Passage(start, heard[place].start, passage.at + start - passage.start))
        start = max(start, heard[place].end)
        place += 1
    if start < passage.end:
        left.append(Passage(start, passage.end, passage.at + start - passage.start))
    return left


def _heard(found: tuple[SoundingBar, list[Passage]], performance: Performance) -> HeardBar:
    bar, passages = found
    tones = [
        tone for part in performance.parts for passage in passages for tone in _tones(part, bar, passage)
    ]  # part by part: a voice is heard against the lute, not lost among its notes
    tones.sort(key=lambda tone: tone.onset)
    return HeardBar(_short(bar.length), tuple(tones), tuple(_short(event.onset - bar.onset) for event in bar.events))


def _tones(part: PlayedPart, bar: SoundingBar, passage: Passage) -> Iterator[Tone]:
    start, end = max(bar.onset, passage.start) + passage.shift, min(bar.end, passage.end) + passage.shift
    notes = part.notes
    shift = bar.onset + passage.shift
    for note in notes[bisect_left(notes, start, key=_onset) : bisect_left(notes, end, key=_onset)]:
        yield Tone(_short(note.onset - shift), _short(note.length), note.pitch, part.sounder)


def _short(ticks: Ticks) -> int:
    """Ticks as thousandths of a crotchet: 0.8 ms at 72 a minute."""
    return round(ticks * 4000 / WHOLE)
