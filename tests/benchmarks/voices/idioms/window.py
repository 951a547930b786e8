"""An arranger that settles where the hand lies first and only then who goes where. Kept out for judging.

It shares no rule of choice with ``easiest``: the hand's places are chosen for the whole piece at once, by how many
notes lie under it; within a place each sound takes the first free course in its own order of liking, and others
move over for it. Whether a voice goes an octave low is carried on from note to note, voice by voice.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.voices.idioms.model import Place, Sound, Strung, Texture, sounds_by_onset

#: Frets under the hand: four, from 1, 2, … 8; and the open courses.
POSITIONS, SPREAD = 8, 4


@dataclass(frozen=True, slots=True)
class _Way:
    """``shift``: cost of a fret's move in lost notes; ``stay``: chance that a voice keeps its octave; ``low``: chance
    that one that changes goes low; ``open_first``: whether open courses are liked."""

    habit: str
    shift: float
    stay: float
    low: float
    open_first: bool
    thumb: bool


def place(texture: Texture, strung: Strung, habit: str, chance: random.Random) -> dict[int, Place]:
    """Where each sound is played, by its index; what cannot be played is not in it."""
    way = _Way(
        habit,
        chance.choice((0.05, 0.15, 0.4)),
        chance.choice((0.85, 0.95, 0.99)),
        chance.choice((0.3, 0.5, 0.7)),
        chance.random() < 0.6,
        chance.random() < 0.7,
    )
    events = sounds_by_onset(texture)
    neck = _Neck(strung, way)
    hands = _hands(events, texture, neck)
    placed: dict[int, Place] = {}
    lines = _Lines(way, chance)
    for (_, indices), hand in zip(events, hands, strict=True):
        order = sorted(indices, key=lambda index: -texture.sounds[index].weight)
        wanted = [(index, _liked(texture.sounds[index], hand, neck, lines)) for index in order]
        found = _matched(wanted)
        _spare_fingers(found, texture)
        placed.update(found)
        for index, spot in found.items():
            lines.played(texture.sounds[index], spot)
    return placed


class _Neck:
    """Where pitches lie, in each position of the hand (0: nothing but open courses is needed)."""

    def __init__(self, strung: Strung, way: _Way) -> None:
        self.strung, self.way = strung, way
        self.known: dict[tuple[int, int], list[Place]] = {}

    def spots(self, pitch: int, hand: int) -> list[Place]:
        """Every place of ``pitch`` with the first finger at fret ``hand``, from the first course."""
        if (pitch, hand) not in self.known:
            found = []
            for course, open_pitch in enumerate(self.strung.courses, start=1):
                for sounding in self._heard(course, pitch):
                    fret = sounding - open_pitch
                    held = course <= self.strung.stopped and hand <= fret < hand + SPREAD
                    if fret == 0 or held:
                        found.append(Place(course, fret, sounding))
            self.known[pitch, hand] = found
        return self.known[pitch, hand]

    def _heard(self, course: int, pitch: int) -> tuple[int, ...]:
        if course not in self.strung.tuned_down:
            return (pitch,)
        return {"literal": (pitch,), "lute": (pitch - 12,)}.get(self.way.habit, (pitch, pitch - 12))


def _hands(events: list[tuple[int, list[int]]], texture: Texture, neck: _Neck) -> list[int]:
    """The fret of the first finger at each event: the path that loses least and moves least."""
    lost = np.zeros((len(events), POSITIONS))
    for row, (_, indices) in enumerate(events):
        for index in indices:
            sound = texture.sounds[index]
            for hand in range(POSITIONS):
                if not neck.spots(sound.pitch, hand + 1):
                    lost[row, hand] += sound.weight
    lost += 0.02 * np.arange(POSITIONS)
    move = neck.way.shift * np.abs(np.subtract.outer(np.arange(POSITIONS), np.arange(POSITIONS)))
    total = lost[0]
    came = np.zeros((len(events), POSITIONS), dtype=np.int64)
    for row in range(1, len(events)):
        ways = total[:, None] + move
        came[row] = ways.argmin(axis=0)
        total = ways.min(axis=0) + lost[row]
    path = [int(total.argmin())]
    for row in range(len(events) - 1, 0, -1):
        path.append(int(came[row, path[-1]]))
    return [hand + 1 for hand in reversed(path)]


class _Lines:
    """What each voice last did."""

    def __init__(self, way: _Way, chance: random.Random) -> None:
        self.way, self.chance = way, chance
        self.low: dict[int, bool] = {}
        self.course: dict[int, int] = {}

    def wants_low(self, sound: Sound) -> bool:
        voice = sound.voices[0] if sound.voices else -1
        if voice not in self.low or self.chance.random() > self.way.stay:
            self.low[voice] = self.chance.random() < self.way.low
        return self.low[voice]

    def played(self, sound: Sound, spot: Place) -> None:
        for voice in sound.voices:
            self.course[voice] = spot.course


def _liked(sound: Sound, hand: int, neck: _Neck, lines: _Lines) -> list[Place]:
    """The places of a sound, the best first."""
    low = lines.wants_low(sound)
    before = lines.course.get(sound.voices[0], 0) if sound.voices else 0

    def dislike(spot: Place) -> tuple[bool, bool, int, int]:
        wrong = (spot.sounding < sound.pitch) != low and spot.course in neck.strung.tuned_down
        if sound.role == "bass" and neck.way.thumb:
            return (wrong, False, -spot.course, 0)
        away = abs(spot.course - before)
        if sound.ring > max(sound.lengths):
            away = 99 if away == 0 else away
        return (wrong, neck.way.open_first and spot.fret > 0, away, spot.course)

    return sorted(neck.spots(sound.pitch, hand), key=dislike)


def _matched(wanted: list[tuple[int, list[Place]]]) -> dict[int, Place]:
    """Each sound in turn takes its best course; who has it moves over if there is room (augmenting paths)."""
    holder: dict[int, int] = {}
    spot_of: dict[int, Place] = {}
    liked = dict(wanted)

    def take(index: int, tried: set[int]) -> bool:
        for spot in liked[index]:
            if spot.course not in tried:
                tried.add(spot.course)
                if spot.course not in holder or take(holder[spot.course], tried):
                    holder[spot.course], spot_of[index] = index, spot
                    return True
        return False

    for index, _ in wanted:
        take(index, set())
    return spot_of


def _spare_fingers(found: dict[int, Place], texture: Texture) -> None:
    """Four fingers, of which the first may lie across its fret: else the least weighty stops are left out."""
    while True:
        stopped = [index for index, spot in found.items() if spot.fret]
        lowest = min((found[index].fret for index in stopped), default=0)
        if len(stopped) <= 4 or sum(found[index].fret > lowest for index in stopped) <= 3:
            return
        del found[min(stopped, key=lambda index: (texture.sounds[index].weight, -found[index].fret))]
