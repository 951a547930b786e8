"""An arranger that looks for the easiest way through the whole piece: a beam over the ways to take each event."""

from __future__ import annotations

import random
from dataclasses import dataclass

from tests.benchmarks.voices.idioms.model import INFINITE, Place, Sound, Strung, Texture, sounds_by_onset
from tests.benchmarks.voices.idioms.tastes import Octaves, Taste

#: Partial ways kept while an event is put together, whole ways kept of an event, and hands kept between events.
PARTIAL, WAYS, HANDS = 14, 6, 5
LEFT_OUT = 9.0

_Way = tuple[float, tuple[Place | None, ...]]


@dataclass(slots=True)
class _Hand:
    """Where the hand is after an event, what rings until when, and how it got there."""

    cost: float
    position: int
    rings: tuple[int, ...]
    way: tuple[Place | None, ...]
    before: _Hand | None


def place(
    texture: Texture, strung: Strung, taste: Taste, octaves: list[Octaves], chance: random.Random
) -> dict[int, Place]:
    """Where each sound is played, by its index; what cannot be played is not in it."""
    events = sounds_by_onset(texture)
    ways = _Ways(strung, taste)
    hands = [_Hand(0.0, 2, (0,) * (len(strung.courses) + 1), (), None)]
    for onset, indices in events:
        found = ways.of(tuple((texture.sounds[index], octaves[index]) for index in indices))
        whims = [chance.random() * taste.whim for _ in strung.courses] if taste.whim else [0.0] * len(strung.courses)
        held = [texture.sounds[index].held for index in indices]
        hands = _moved(hands, found, onset, held, whims, taste)
    return _chosen(hands[0], events)


def _moved(
    hands: list[_Hand], ways: list[_Way], onset: int, held: list[int], whims: list[float], taste: Taste
) -> list[_Hand]:
    reached: list[tuple[float, int, _Hand, tuple[Place | None, ...]]] = []
    for cost, way in ways:
        frets = [place.fret for place in way if place and place.fret]
        at = min(frets) if frets else 0
        courses = [place.course for place in way if place]
        local = cost + sum(whims[course - 1] for course in courses)
        for hand in hands:
            total = hand.cost + local
            for course in courses:
                if hand.rings[course] > onset:
                    total += taste.cut
            if at:
                total += taste.shift * abs(at - hand.position)
            reached.append((total, at or hand.position, hand, way))
    reached.sort(key=lambda item: (item[0], item[1]))
    kept = []
    for total, position, hand, way in reached[:HANDS]:
        rings = list(hand.rings)
        for place, length in zip(way, held, strict=True):
            if place:
                rings[place.course] = onset + length
        kept.append(_Hand(total, position, tuple(rings), way, hand))
    return kept


def _chosen(hand: _Hand, events: list[tuple[int, list[int]]]) -> dict[int, Place]:
    chosen: dict[int, Place] = {}
    back: _Hand | None = hand
    for _, indices in reversed(events):
        assert back is not None
        chosen.update({index: place for index, place in zip(indices, back.way, strict=True) if place})
        back = back.before
    return chosen


class _Ways:
    """The ways to take what is struck together, kept, since chords come again."""

    def __init__(self, strung: Strung, taste: Taste) -> None:
        self.strung, self.taste = strung, taste
        self.known: dict[tuple[tuple[int, float, Octaves], ...], list[_Way]] = {}
        self.known_places: dict[tuple[int, Octaves], list[tuple[float, Place]]] = {}

    def of(self, wanted: tuple[tuple[Sound, Octaves], ...]) -> list[_Way]:
        key = tuple((sound.pitch, sound.weight, octaves) for sound, octaves in wanted)
        if key not in self.known:
            self.known[key] = self._ways(key)
        return self.known[key]

    def _ways(self, key: tuple[tuple[int, float, Octaves], ...]) -> list[_Way]:
        order = sorted(range(len(key)), key=lambda number: -key[number][1])
        partial: list[_Way] = [(0.0, ())]
        for number in order:
            pitch, weight, octaves = key[number]
            grown: list[_Way] = [(cost + LEFT_OUT * weight, (*way, None)) for cost, way in partial]
            for extra, place in self._places(pitch, octaves):
                grown += [(cost + extra, (*way, place)) for cost, way in partial if self._fits(place, way)]
            grown.sort(key=lambda item: item[0])
            partial = grown[:PARTIAL]
        ways = sorted(((cost + self._spread(way), way) for cost, way in partial), key=lambda item: item[0])[:WAYS]
        back = sorted(range(len(order)), key=lambda number: order[number])
        return [(cost, tuple(way[number] for number in back)) for cost, way in ways]

    def _places(self, pitch: int, octaves: Octaves) -> list[tuple[float, Place]]:
        """Every place of a pitch with what it costs, easiest first."""
        if (pitch, octaves) in self.known_places:
            return self.known_places[pitch, octaves]
        found = []
        for course, open_pitch in enumerate(self.strung.courses, start=1):
            for sounding, extra in self._octaves(course, pitch, octaves):
                fret = sounding - open_pitch
                highest = self.taste.highest if course <= self.strung.stopped else 0
                if 0 <= fret <= highest and extra < INFINITE:
                    cost = extra + self.taste.low_course * course
                    cost += self.taste.stopping + self.taste.fret * fret if fret else 0.0
                    found.append((cost, Place(course, fret, sounding)))
        found.sort(key=lambda item: item[0])
        self.known_places[pitch, octaves] = found
        return found

    def _octaves(self, course: int, pitch: int, octaves: Octaves) -> list[tuple[int, float]]:
        if course not in self.strung.tuned_down:
            return [(pitch, 0.0)]
        return [(pitch, octaves[0]), (pitch - 12, octaves[self.strung.tuned_down.index(course) + 1])]

    def _fits(self, place: Place, way: tuple[Place | None, ...]) -> bool:
        fret, fingers, lowest = place.fret, 1, place.fret
        for other in way:
            if other is None:
                continue
            if other.course == place.course or (fret and other.fret and abs(fret - other.fret) > self.taste.reach):
                return False
            if other.fret:
                fingers += 1
                lowest = min(lowest, other.fret) if lowest else other.fret
        if not fret or fingers <= 4:
            return True
        above = sum(1 for other in (*way, place) if other and other.fret > lowest)
        return above <= 3  # the first finger lies across the lowest fret

    def _spread(self, way: tuple[Place | None, ...]) -> float:
        frets = [place.fret for place in way if place and place.fret]
        return self.taste.span * (max(frets) - min(frets)) if frets else 0.0
