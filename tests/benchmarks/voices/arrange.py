"""Arrange a score for the theorbo, as a player's hand would, and keep the truth beside it.

This module knows nothing of how the pipeline reads a tablature: it shares no cost, weight or helper with it.
Physical limits: one note a course, a hand's span, diapasons open only, their scale chosen per piece. The habit
says which octave a note of courses 1 and 2 may come out in:

* literal: its true pitch wherever that can be played; else an octave low; else it is left out;
* lute: fingered as on a lute, so on the re-entrant courses always an octave low;
* mixed: either, whichever lies easier under the hand.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

from tests.benchmarks.voices.corpus import PartScore

Ints = npt.NDArray[np.int64]


class Habit(Enum):
    LITERAL = "literal"
    LUTE = "lute"
    MIXED = "mixed"


@dataclass(frozen=True, slots=True)
class Neck:
    """Open pitches of the stopped courses from the first, and of the diapasons as usually tuned."""

    name: str
    stopped: tuple[int, ...]
    diapasons: tuple[int, ...]
    re_entrant: int


#: A3 E3 B3 G3 D3 A2, G2 … G1 (published: R. Spencer, Early Music 4/4, 1976; course list common practice)
IN_A = Neck("theorbo in A", (57, 52, 59, 55, 50, 45), (43, 41, 40, 38, 36, 35, 33, 31), 2)
#: The same a tone lower, basses in its own scale (common practice, no source).
IN_G = Neck("theorbo in G", (55, 50, 57, 53, 48, 43), (41, 39, 38, 36, 34, 33, 31, 29), 2)


@dataclass(frozen=True, slots=True)
class Manner:
    """What a player finds hard; larger is harder. Units are arbitrary, one fret of shift = 1.

    ``low_octave`` is what the mixed habit pays for a note an octave low (negative: likes it), ``fickle`` how
    much a change of octave inside a voice costs it, ``whim`` how large the chance part of each choice is.
    """

    fret: float = 0.35
    stopping: float = 0.6
    shift: float = 0.5
    span: float = 0.5
    cut: float = 1.5
    high: float = 1.0
    low_octave: float = -0.7
    fickle: float = 0.3
    whim: float = 0.3
    reach: int = 4


def manner_of(chance: random.Random, wide: bool) -> Manner:
    """A player: near the usual one, or (``wide``, for training) anything between careful and wild."""

    def about(value: float) -> float:
        return value * (chance.uniform(0.2, 2.5) if wide else chance.uniform(0.8, 1.25))

    return Manner(
        about(0.35),
        about(0.6),
        about(0.5),
        about(0.5),
        about(1.5),
        about(1.0),
        chance.uniform(-2.0, 2.0) if wide else chance.uniform(-1.0, -0.4),
        chance.choice((0.0, 0.0, 0.3, 1.0, 2.0)) if wide else 0.3,
        chance.choice((0.1, 0.3, 1.0, 3.0)) if wide else 0.3,
        chance.choice((3, 4, 5)) if wide else 4,
    )


@dataclass(frozen=True, slots=True)
class Arranged:
    """A tablature with its truth, one row per stop, sorted by onset and then from the last course to the first.

    Tablature: ``onset``, ``course``, ``fret``, ``sounding``. Truth: ``pitch`` as the score has it, ``length`` as
    notated but cut at the next stroke on the course, ``fifths`` in the transposed score, ``voices`` the parts (from
    0 = top) that share the stop, and ``following`` for each of them the row of its next note (-1: none) and whether a
    rest lies between. ``open_pitches`` is the tuning, diapasons as chosen; ``signature`` and ``bars`` as in the
    score.
    """

    name: str
    habit: Habit
    neck: Neck
    open_pitches: Ints
    onset: Ints
    course: Ints
    fret: Ints
    sounding: Ints
    pitch: Ints
    length: Ints
    fifths: Ints
    voices: tuple[tuple[int, ...], ...]
    following: tuple[tuple[tuple[int, bool], ...], ...]
    parts: int
    signature: int
    bars: Ints
    dropped: float


@dataclass(slots=True)
class _Want:
    """One sound to be played: pitch, end, and the notes of the score that it stands for."""

    pitch: int
    end: int
    rows: list[int]
    weight: float


def arrange(score: PartScore, habit: Habit, seed: int, wide: bool = False) -> Arranged:
    """Arrange ``score``; the same seed gives the same tablature."""
    chance = random.Random(f"{score.name} {habit.value} {seed}")
    neck = IN_G if chance.random() < (0.4 if wide else 0.2) else IN_A
    manner = manner_of(chance, wide)
    move = _transposition(score, habit, neck, chance, wide)
    pitch = score.pitch + move
    diapasons = _scale(pitch, neck)
    hand = _Hand(neck, diapasons, habit, manner, chance)
    chosen: dict[int, tuple[int, int, int]] = {}
    for onset, wants in _events(score, pitch):
        for want, (course, fret, sounding) in hand.play(onset, wants):
            for row in want.rows:
                chosen[row] = (course, fret, sounding)
    return _truth(
        score,
        pitch,
        move,
        chosen,
        habit=habit,
        neck=neck,
        tuning=np.array([*neck.stopped, *diapasons], dtype=np.int64),
    )


def _transposition(score: PartScore, habit: Habit, neck: Neck, chance: random.Random, wide: bool) -> int:
    """So that the parts lie on the instrument, near few sharps and flats."""
    top = neck.stopped[2] + 11 if habit is Habit.LITERAL else neck.stopped[0] + 12 + 7
    if habit is Habit.MIXED:
        top = neck.stopped[0] + 12 + 4
    low = neck.diapasons[-1]
    centre = neck.stopped[3] + {Habit.LITERAL: 0, Habit.LUTE: 5, Habit.MIXED: 2}[habit]
    best: list[tuple[float, int]] = []
    for move in range(-20, 8):
        above, below = int((score.pitch + move > top).sum()), int((score.pitch + move < low).sum())
        signature = (score.key + 7 * move + 5) % 12 - 5
        middle = abs(float(np.median(score.pitch)) + move - centre) * 0.03
        best.append(((above + below) / len(score.pitch) * 20 + 0.05 * abs(signature) + middle, move))
    best.sort()
    return best[chance.randrange(4 if wide else 2)][1]


#: Each diapason keeps its letter, natural or altered as theorbists had it (common practice): pitch classes.
_LETTERS = ((0, 1), (2,), (4, 3), (5, 6), (7, 8), (9, 8), (11, 10))


def _scale(pitch: Ints, neck: Neck) -> tuple[int, ...]:
    """Tune each diapason natural or altered, by what the piece has most of: first in the bass, else anywhere."""
    classes = np.bincount(pitch % 12, minlength=12)
    tuned: list[int] = []
    for usual in neck.diapasons:
        letter = next(classes for classes in _LETTERS if usual % 12 in classes)
        candidates = [usual + (kind - usual + 6) % 12 - 6 for kind in letter]
        tuned.append(max(candidates, key=lambda p: ((pitch == p).sum(), classes[p % 12], p == usual)))
    return tuple(tuned)


def _events(score: PartScore, pitch: Ints) -> list[tuple[int, list[_Want]]]:
    """What begins together, unisons merged, the outer parts weighing most."""
    events: dict[int, list[_Want]] = {}
    last_part = score.parts - 1
    for row in range(len(pitch)):
        onset, end = int(score.onset[row]), int(score.onset[row] + score.length[row])
        wants = events.setdefault(onset, [])
        same = next((want for want in wants if want.pitch == pitch[row]), None)
        weight = {0: 3.0, last_part: 4.0}.get(int(score.part[row]), 2.0)
        if same is None:
            wants.append(_Want(int(pitch[row]), end, [row], weight))
        else:
            same.rows.append(row)
            same.end, same.weight = max(same.end, end), same.weight + weight
    return sorted(events.items())


_Place = tuple[int, int, int]  # course, fret, sounding pitch


class _Hand:
    """The hand on the neck: where it is and what still rings."""

    def __init__(
        self, neck: Neck, diapasons: tuple[int, ...], habit: Habit, manner: Manner, chance: random.Random
    ) -> None:
        self.neck, self.diapasons, self.habit, self.manner, self.chance = neck, diapasons, habit, manner, chance
        self.position = 2.0
        self.rings: dict[int, int] = {}
        self.low: dict[int, bool] = {}

    def play(self, onset: int, wants: list[_Want]) -> list[tuple[_Want, _Place]]:
        """The easiest way to play as much of ``wants`` as can be played."""
        wants = sorted(wants, key=lambda want: -want.weight)
        options = [self._options(onset, want) for want in wants]
        best: tuple[float, list[_Place | None]] = (1e18, [])
        stack: list[tuple[int, float, list[_Place | None]]] = [(0, 0.0, [])]
        while stack:
            depth, cost, places = stack.pop()
            if cost >= best[0]:
                continue
            if depth == len(wants):
                cost += self._hand_cost(places)
                if cost < best[0]:
                    best = (cost, places)
                continue
            stack.append((depth + 1, cost + 12.0 * wants[depth].weight, [*places, None]))
            for extra, place in reversed(options[depth]):
                if self._fits(place, places):
                    stack.append((depth + 1, cost + extra, [*places, place]))
        played = [(want, place) for want, place in zip(wants, best[1], strict=True) if place is not None]
        self._settle(onset, played)
        return played

    def _options(self, onset: int, want: _Want) -> list[tuple[float, _Place]]:
        """Every place where the pitch lies, easiest first."""
        found: list[tuple[float, _Place]] = []
        for course, open_pitch in enumerate(self.neck.stopped, start=1):
            for sounding, extra in self._octaves(course, want):
                fret = sounding - open_pitch
                if 0 <= fret <= 12:
                    found.append((extra + self._cost(onset, course, fret), (course, fret, sounding)))
        for number, open_pitch in enumerate(self.diapasons, start=7):
            if open_pitch == want.pitch:
                found.append((self._cost(onset, number, 0), (number, 0, open_pitch)))
        found.sort()
        return found

    def _octaves(self, course: int, want: _Want) -> list[tuple[int, float]]:
        """The sounding pitches that the habit admits on this course, and what each costs."""
        if course > self.neck.re_entrant:
            return [(want.pitch, 0.0)]
        low = want.pitch - 12
        if self.habit is Habit.LUTE:
            return [(low, 0.0)]
        if self.habit is Habit.LITERAL:
            return [(want.pitch, 0.0), (low, 10.0)]
        was_low = self.low.get(want.pitch // 4)
        change = self.manner.fickle
        return [
            (want.pitch, change if was_low is True else 0.0),
            (low, self.manner.low_octave + (change if was_low is False else 0.0)),
        ]

    def _cost(self, onset: int, course: int, fret: int) -> float:
        manner = self.manner
        cost = self.chance.random() * manner.whim + (manner.cut if self.rings.get(course, 0) > onset else 0.0)
        if fret:
            cost += manner.stopping + manner.fret * fret + manner.high * max(0, fret - 7)
        return cost

    def _fits(self, place: _Place, places: list[_Place | None]) -> bool:
        course, fret, _ = place
        for other in places:
            if other is None:
                continue
            if other[0] == course:
                return False
            if fret and other[1] and abs(fret - other[1]) > self.manner.reach:
                return False
        return True

    def _hand_cost(self, places: list[_Place | None]) -> float:
        frets = [place[1] for place in places if place and place[1]]
        if not frets:
            return 0.0
        if len(frets) > 4 and len(set(frets)) == len(frets):
            return 50.0  # four fingers; more need a barre
        return self.manner.span * (max(frets) - min(frets)) + self.manner.shift * abs(min(frets) - self.position)

    def _settle(self, onset: int, played: list[tuple[_Want, _Place]]) -> None:
        frets = [place[1] for _, place in played if place[1]]
        if frets:
            self.position = float(min(frets))
        for want, (course, _, sounding) in played:
            self.rings[course] = want.end
            self.low[want.pitch // 4] = sounding < want.pitch


def _truth(
    score: PartScore, pitch: Ints, move: int, chosen: dict[int, _Place], *, habit: Habit, neck: Neck, tuning: Ints
) -> Arranged:
    stops: dict[tuple[int, int], list[int]] = {}
    for row, (course, _, _) in chosen.items():
        stops.setdefault((int(score.onset[row]), course), []).append(row)
    order = sorted(stops, key=lambda stop: (stop[0], -stop[1]))
    index_of = {row: index for index, stop in enumerate(order) for row in stops[stop]}
    heads = [stops[stop][0] for stop in order]
    onset = np.array([stop[0] for stop in order], dtype=np.int64)
    course = np.array([stop[1] for stop in order], dtype=np.int64)
    ends = np.array([max(int(score.onset[row] + score.length[row]) for row in stops[stop]) for stop in order])
    later: dict[int, int] = {}
    for index in range(len(order) - 1, -1, -1):
        ends[index] = min(ends[index], later.get(int(course[index]), int(ends[index])))
        later[int(course[index])] = int(onset[index])
    following: list[list[tuple[int, bool]]] = [[] for _ in order]
    for part in range(score.parts):
        rows = np.flatnonzero(score.part == part).tolist()
        broken, before = False, -1
        for place, row in enumerate(rows):
            if row not in index_of:
                broken = True
                continue
            if before >= 0:
                joined = int(score.onset[before] + score.length[before]) >= int(score.onset[row])
                following[index_of[before]].append((index_of[row], broken or not joined))
            elif place:
                broken = False
            broken, before = False, row
    signature = (score.key + 7 * move + 5) % 12 - 5
    change = (7 * move) % 12
    change = min((change - 12, change, change - 24), key=lambda by: abs(score.key + by - signature))
    return Arranged(
        score.name,
        habit,
        neck,
        tuning,
        onset,
        course,
        np.array([chosen[row][1] for row in heads], dtype=np.int64),
        np.array([chosen[row][2] for row in heads], dtype=np.int64),
        pitch[heads],
        ends - onset,
        score.fifths[heads] + change,
        tuple(tuple(sorted({int(score.part[row]) for row in stops[stop]})) for stop in order),
        tuple(tuple(nexts) for nexts in following),
        score.parts,
        signature,
        score.bars,
        1.0 - len(chosen) / max(1, len(pitch)),
    )
