"""The ways to play one chord alone, the cheapest first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count

from pipeline.desk.move.record import Chord, Place, Tone
from pipeline.desk.move.search.costs import (
    BEYOND_TIED,
    DOUBLED_LEFT_OUT,
    LEFT_OUT,
    NOT_KEPT,
    UNREACHABLE,
    Costs,
)
from pipeline.desk.move.search.neck import HAND, Neck

#: Ways that are looked at for a chord, and unfinished ones before the search gives up on better ones.
MOST_WAYS = 24
MOST_STEPS = 700
#: Ways dearer than the cheapest by more than this are not looked at, but for a few.
_MARGIN = 25.0
_OCTAVES = (-12, 12, -24, 24)
_LOWER = 3


@dataclass(frozen=True, slots=True)
class Way:
    """One way to play a chord: a place for each tone (None: left out), what it costs by itself, and the lowest and the
    highest fret that it stops (0: none)."""

    places: tuple[Place | None, ...]
    cost: float
    low: int
    high: int


#: A place with its cost, for one tone.
_Spot = tuple[float, Place | None]


def ways(chord: Chord, neck: Neck, costs: Costs) -> tuple[Way, ...]:
    """The cheapest ways, in order of cost; never none. Ties are broken by the courses."""
    spots = [_spots(tone, chord, neck, costs) for tone in chord.tones]
    rest = [0.0] * (len(spots) + 1)
    for place in range(len(spots) - 1, -1, -1):
        rest[place] = rest[place + 1] + spots[place][0][0]
    ticket = count()
    heap: list[tuple[float, int, int, tuple[Place | None, ...], float, int, int, bool]] = []
    heappush(heap, (rest[0], 0, next(ticket), (), 0.0, 0, 0, False))
    found: list[Way] = []
    steps = 0
    while heap and len(found) < MOST_WAYS:
        bound, _, _, taken, cost, low, high, done = heappop(heap)
        if found and bound > found[0].cost + _MARGIN:
            break
        depth = len(taken)
        if done:
            found.append(Way(taken, cost, low, high))
            continue
        if depth == len(spots):
            whole = cost + _as_a_whole(chord, taken, low, high, neck, costs)
            heappush(heap, (whole, -depth - 1, next(ticket), taken, whole, low, high, True))
            continue
        steps += 1
        if steps > MOST_STEPS and (found or depth):
            # Far into a hard chord: only the unfinished ways that are furthest on are finished.
            heap = [entry for entry in heap if len(entry[3]) >= depth] or heap
            steps = MOST_STEPS // 2
            heap.sort()
            del heap[MOST_WAYS:]
        for spot_cost, spot in spots[depth]:
            extra = _beside(chord, taken, spot, costs)
            if extra is None:
                continue
            new_low, new_high, over = low, high, 0.0
            if spot is not None and spot[1]:
                new_low = min(low, spot[1]) if low else spot[1]
                new_high = max(high, spot[1])
                if not neck.reaches(new_low, new_high) and (not low or neck.reaches(low, high)):
                    over = UNREACHABLE
            new = cost + spot_cost + extra + over
            heappush(
                heap,
                (new + rest[depth + 1], -depth - 1, next(ticket), (*taken, spot), new, new_low, new_high, False),
            )
    return tuple(found)


def _spots(tone: Tone, chord: Chord, neck: Neck, costs: Costs) -> list[_Spot]:
    """Where a tone can go, the cheapest first; leaving it out last."""
    missing = DOUBLED_LEFT_OUT if _doubled(tone, chord) else LEFT_OUT
    if tone.kept is not None:
        return [(0.0, tone.kept), (NOT_KEPT, None)]
    found: dict[Place, float] = {}
    for pitch, octaves in _octaves(tone):
        for place in neck.places.get(pitch, ()):
            course, fret = place
            cost = costs.octave * octaves + costs.fret * fret
            if pitch == tone.sounds - 12 and course in neck.re_entrant:
                cost += costs.low_octave - costs.octave
            if pitch == tone.sounds != tone.meant and course not in neck.re_entrant:
                cost += costs.octave / 2
            if fret > neck.tied and not tone.beyond:
                cost += BEYOND_TIED
            if tone.open_bass and course <= neck.stopped and fret:
                cost += costs.stopped_bass
            found[place] = min(cost, found.get(place, cost))
    spots: list[_Spot] = sorted((cost, place) for place, cost in found.items())
    return [*spots, (missing, None)]


def _octaves(tone: Tone) -> Iterator[tuple[int, int]]:
    """The pitches that a tone may be given, each with the octaves that it is moved by. Where its line is meant in
    another octave than it sounds, either will do: the low one on a course tuned down, which is why it was low."""
    yield tone.sounds, 0
    if tone.meant != tone.sounds:
        yield tone.meant, 0
    for octaves in _OCTAVES:
        if tone.sounds + octaves != tone.meant:
            yield tone.sounds + octaves, abs(octaves) // 12


def _doubled(tone: Tone, chord: Chord) -> bool:
    return any(other is not tone and other.sounds == tone.sounds for other in chord.tones)


def _beside(chord: Chord, taken: tuple[Place | None, ...], spot: Place | None, costs: Costs) -> float | None:
    """What it costs to put the next tone there beside those that have a place; None where that cannot be: the course
    is taken."""
    if spot is None:
        return 0.0
    course = spot[0]
    tone = chord.tones[len(taken)]
    cost = 0.0
    for other, place in zip(chord.tones, taken, strict=False):
        if place is None:
            continue
        if place[0] == course:
            if other.order == tone.order or other.course != tone.course:
                return None
            continue
        if (place[0] > course) != (other.course > tone.course):
            cost += costs.bass_up if other.bass or tone.bass else costs.crossed
    return cost


def _as_a_whole(chord: Chord, taken: tuple[Place | None, ...], low: int, high: int, neck: Neck, costs: Costs) -> float:
    """What only the whole chord tells: the span, the fingers, the block of a strum, the end of a spread."""
    places = tuple(place for place in taken if place is not None)
    cost = costs.span * max(0, high - low - HAND + 1) if low else 0.0
    if not neck.enough_fingers(places, barre=chord.barre):
        cost += UNREACHABLE
    if chord.strum and len(places) > 2:
        block = sorted(course for course, _ in places if course <= neck.stopped)
        if block:
            cost += costs.gap * (block[-1] - block[0] + 1 - len(block))
    if chord.spread_up and len(places) > 1 and not any(tone.order for tone in chord.tones):
        cost += 0.0 if _ends_high(places, neck) else costs.spread
    return cost


def _ends_high(places: tuple[Place, ...], neck: Neck) -> bool:
    """Whether a chord spread by the fingers ends with its highest note: from the lowest course up, the third course
    last where those above it are tuned down, as in ``model.arpeggio``."""
    down = any(course in neck.re_entrant for course, _ in places)
    last = max(places, key=lambda place: (down and place[0] == _LOWER, -place[0]))
    return neck.at(last) == max(neck.at(place) for place in places)
