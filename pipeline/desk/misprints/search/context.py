"""What stands around each stop, as arrays: the chord, what still rings, the notes before and after, the key, the
hand, and the same passage elsewhere."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from pipeline.desk.misprints.search.habits import Figure, figure_of, level
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.time import WHOLE

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float32]
Bits = npt.NDArray[np.bool_]

#: Pitches are kept as places of a table so wide; intervals of two octaves around any of them stay inside.
PITCHES, EDGE = 192, 32
#: The same for courses: places beside the first and behind the last stay silent.
COURSES, ASIDE = 128, 1
#: Half the time in which what was heard fades from the ear, and for how long a string rings at most (own, no source).
FADING, RINGING = WHOLE, WHOLE
_ONE = (0.0,) * 12


@dataclass(slots=True)
class Passages:
    """What is struck where the same stands around it: counts over a piece, or over a folder."""

    among: Counter[tuple[Figure, Figure, Figure, tuple[int, int]]] = field(default_factory=Counter)
    chords: Counter[tuple[Figure, tuple[int, int]]] = field(default_factory=Counter)
    between: Counter[tuple[Figure, Figure, tuple[int, int]]] = field(default_factory=Counter)

    def add(self, figures: Sequence[Figure]) -> None:
        """Take in the figures of one piece, in order."""
        for place, figure in enumerate(figures):
            before = figures[place - 1] if place else ()
            after = figures[place + 1] if place + 1 < len(figures) else ()
            for stop in figure:
                others = tuple(other for other in figure if other != stop)
                self.among[before, others, after, stop] += 1
                if others:
                    self.chords[others, stop] += 1
                else:
                    self.between[before, after, stop] += 1

    def counts(self, before: Figure, others: Figure, after: Figure, stop: tuple[int, int]) -> tuple[int, int, int]:
        """How often ``stop`` stands among these; in this chord anywhere; alone between these."""
        chord = self.chords[others, stop] if others else 0
        line = 0 if others else self.between[before, after, stop]
        return self.among[before, others, after, stop], chord, line


@dataclass(frozen=True, slots=True)
class Context:
    """A piece as the judge of its stops sees it.

    Per event: ``struck`` (events, 12) pitch classes, ``ringing`` the same still sounding from before, ``around``
    (events, 12) what was heard about this time, fading; ``present`` (events + 4, PITCHES) exact pitches, two silent
    events at both ends; ``level`` of the beat, ``frets`` (events, 2) the sum and number of the frets stopped nearby.
    ``whole`` (12,) is the use of each class in the piece. ``on`` (events + 2, COURSES) is the fret on each course plus
    1 (0: silent), with a silent event at both ends; ``lengths`` of the events in 32nds.

    Per stop: ``event``, ``pitch``, ``course``, ``fret``; of the others in its event ``under`` the lowest course (0:
    none) and ``under_pitch`` its pitch, ``low`` and ``high`` the frets stopped (99 and 0: none). ``stops`` are the
    records, ``events`` and ``bars`` those of the events, ``figures`` what each event strikes.
    """

    struck: Floats
    ringing: Floats
    around: Floats
    present: Bits
    level: Ints
    frets: Floats
    whole: Floats
    event: Ints
    pitch: Ints
    course: Ints
    fret: Ints
    under: Ints
    under_pitch: Ints
    low: Ints
    high: Ints
    on: Ints
    lengths: Ints
    stops: tuple[SoundingStop, ...]
    events: tuple[SoundingEvent, ...]
    bars: tuple[SoundingBar, ...]
    figures: tuple[Figure, ...]


def context_of(piece: SoundingPiece) -> Context | None:
    """The arrays of a piece; None if nothing is struck. Linear."""
    found = [
        (bar, event, [stop for stop in event.stops if not stop.held])
        for bar in piece.bars
        for event in bar.events
        if any(not stop.held for stop in event.stops)
    ]
    if not found:
        return None
    flat = [(number, stop) for number, (_, _, stops) in enumerate(found) for stop in stops]
    event = np.array([number for number, _ in flat], dtype=np.int64)
    pitch = np.array([stop.pitch for _, stop in flat], dtype=np.int64)
    course = np.array([stop.course for _, stop in flat], dtype=np.int64)
    fret = np.array([stop.fret for _, stop in flat], dtype=np.int64)
    onset = np.array([event.onset for _, event, _ in found], dtype=np.int64)
    count = len(found)
    struck = np.zeros((count, 12), dtype=np.float32)
    np.add.at(struck, (event, pitch % 12), 1)
    present = np.zeros((count + 4, PITCHES), dtype=np.bool_)
    present[event + 2, np.clip(pitch + EDGE, 0, PITCHES - 1)] = True
    under, under_pitch, low, high = _others(found)
    on = np.zeros((count + 2, COURSES), dtype=np.int64)
    on[event + 1, np.clip(course + ASIDE, 0, COURSES - 2)] = fret + 1
    return Context(
        struck,
        _ringing(found),
        _around(struck, onset),
        present,
        np.array([level(event.onset - bar.onset) for bar, event, _ in found], dtype=np.int64),
        _hand(event, fret, count),
        struck.sum(axis=0),
        event,
        pitch,
        course,
        fret,
        under,
        under_pitch,
        low,
        high,
        on,
        np.array([event.length * 32 // WHOLE for _, event, _ in found], dtype=np.int64),
        tuple(stop for _, stop in flat),
        tuple(event for _, event, _ in found),
        tuple(bar for bar, _, _ in found),
        tuple(figure_of(event) for _, event, _ in found),
    )


def passages_of(pieces: Iterable[Context]) -> Passages:
    """The passages of several pieces together."""
    passages = Passages()
    for context in pieces:
        passages.add(context.figures)
    return passages


_Found = list[tuple[SoundingBar, SoundingEvent, list[SoundingStop]]]


def _others(found: _Found) -> tuple[Ints, Ints, Ints, Ints]:
    """For each stop of the others in its event: the lowest course and its pitch, the lowest and highest fret."""
    rows: list[tuple[int, int, int, int]] = []
    for _, _, stops in found:
        for stop in stops:
            others = [other for other in stops if other is not stop]
            under = max(((other.course, other.pitch) for other in others), default=(0, 0))
            frets = [other.fret for other in others if other.fret]
            rows.append((*under, min(frets, default=99), max(frets, default=0)))
    columns = np.array(rows, dtype=np.int64)
    return columns[:, 0], columns[:, 1], columns[:, 2], columns[:, 3]


def _ringing(found: _Found) -> Floats:
    """Pitch classes still sounding from earlier events, fading over ``RINGING``."""
    rings: dict[int, tuple[int, int]] = {}
    table: list[list[float]] = []
    for _, event, stops in found:
        for stop in stops:
            rings.pop(stop.course, None)
        row = list(_ONE)
        over = []
        for course, (onset, pitch) in rings.items():
            left = 1 - (event.onset - onset) / RINGING
            if left > 0:
                row[pitch % 12] += left
            else:
                over.append(course)
        for course in over:
            del rings[course]
        table.append(row)
        for stop in stops:
            rings[stop.course] = (event.onset, stop.pitch)
    return np.array(table, dtype=np.float32)


def _around(struck: Floats, onset: Ints) -> Floats:
    """What is heard about the time of each event: everything, weighed by how far away it is."""
    gaps = np.exp2(-np.minimum(np.diff(onset), 64 * WHOLE) / FADING).astype(np.float32)
    forward, backward = struck.copy(), struck.copy()
    for place in range(1, len(struck)):
        forward[place] += forward[place - 1] * gaps[place - 1]
    for place in range(len(struck) - 2, -1, -1):
        backward[place] += backward[place + 1] * gaps[place]
    summed: Floats = forward + backward - struck
    return summed


def _hand(event: Ints, fret: Ints, count: int) -> Floats:
    """Sum of the stopped frets, and their number, of an event and its two neighbours to each side; (events, 2)."""
    stopped = fret > 0
    sums = np.zeros((count + 4, 2), dtype=np.float32)
    np.add.at(sums, event[stopped] + 2, np.stack([fret[stopped], np.ones(stopped.sum())], axis=1).astype(np.float32))
    near: Floats = sums[:-4] + sums[1:-3] + sums[2:-2] + sums[3:-1] + sums[4:]
    return near


def gathered(table: npt.NDArray[Any], rows: Ints, starts: Ints, width: int) -> npt.NDArray[Any]:
    """``width`` columns of each row, from its own start on."""
    found: npt.NDArray[Any] = table[rows[:, None], starts[:, None] + np.arange(width)]
    return found
