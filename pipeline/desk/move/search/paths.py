"""The cheapest path through a piece: a beam over its chords, each path with where its hand lies and what it holds.

Linear in events: at each chord ``WIDTH`` paths meet ``MOST_WAYS`` ways. What went before is a chain of steps, so
nothing is copied; two paths that end in the same way with the hand in the same place are one, the cheaper.
"""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.desk.move.record import Chord, Place, Placed
from pipeline.desk.move.search.costs import BELL_BROKEN, COSTS, HOLD_BROKEN, SLUR_BROKEN, Costs
from pipeline.desk.move.search.neck import HAND, Neck
from pipeline.desk.move.search.ways import Way, ways
from pipeline.model.time import Ticks

WIDTH = 10
#: Ways are as good as each other if less than a fret of one note is between them; only those are tried that are no
#: dearer by themselves than this.
_AS_GOOD = 0.1
_NEAR = 2.0
#: A note that rings: until when, where, and on which course of the source.
_Ring = tuple[Ticks, Place, int]


class _Path:
    """The end of a path. ``hand`` is the fret of the first finger; ``before`` says on which course each course of the
    source was in the event before; ``last`` where each was struck last, for hold lines."""

    __slots__ = ("before", "cost", "hand", "last", "parent", "rings", "way")

    def __init__(self, cost: float, parent: _Path | None, way: Way | None, hand: int) -> None:
        self.cost, self.parent, self.way, self.hand = cost, parent, way, hand
        self.before: dict[int, int] = {}
        self.last: dict[int, Place] = {}
        self.rings: tuple[_Ring, ...] = ()


def placed(chords: Sequence[Chord], necks: Sequence[Neck], costs: Costs = COSTS, width: int = WIDTH) -> Placed:
    """A place for every tone of the chords; ``necks`` are those of the stretches between two retunings."""
    places: dict[int, Place | None] = {}
    others: dict[int, tuple[tuple[Place | None, ...], ...]] = {}
    known: dict[object, tuple[Way, ...]] = {}
    paths = [_Path(0.0, None, None, 1)]
    walked: list[Chord] = []
    for chord in chords:
        if chord.again is not None:
            others |= _others(walked, paths[0], necks, costs, known)
            paths = [_settled(walked, paths[0], places)]
            walked = []
            _repeat(paths[0], chord, places)
        if not chord.tones:
            continue
        found = _ways(chord, necks[chord.tuning], costs, known)
        paths = _onward(chord, paths, found, necks[chord.tuning], costs, width)
        walked.append(chord)
    others |= _others(walked, paths[0], necks, costs, known)
    _settled(walked, paths[0], places)
    return Placed(places, others)


def _ways(chord: Chord, neck: Neck, costs: Costs, known: dict[object, tuple[Way, ...]]) -> tuple[Way, ...]:
    """The ways of a chord, remembered for chords that ask the same."""
    key = (
        chord.tuning, chord.strum, chord.spread_up, chord.barre,
        tuple((t.sounds, t.meant, t.course, t.order, t.bass, t.open_bass, t.beyond, t.kept) for t in chord.tones),
    )  # fmt: skip
    if key not in known:
        known[key] = ways(chord, neck, costs)
    return known[key]


def _onward(
    chord: Chord, paths: list[_Path], found: tuple[Way, ...], neck: Neck, costs: Costs, width: int
) -> list[_Path]:
    """Every path led on by every way; the cheapest of them."""
    best: dict[tuple[int, int], tuple[float, _Path, Way, int]] = {}
    for path in paths:
        rings = [ring for ring in path.rings if ring[0] > chord.onset]
        for number, way in enumerate(found):
            cost, hand = _led_on(chord, path, way, rings, neck, costs)
            known = best.get((number, hand))
            if known is None or cost < known[0]:
                best[number, hand] = (cost, path, way, hand)
    ranked = sorted(best.items(), key=lambda item: (item[1][0], item[0]))[:width]
    return [_step(chord, *step) for _, step in ranked]


def _led_on(chord: Chord, path: _Path, way: Way, rings: Sequence[_Ring], neck: Neck, costs: Costs) -> tuple[float, int]:
    """What a path costs that goes on by this way, and where the hand lies then."""
    hand, shift = _hand(path.hand, way)
    cost = path.cost + way.cost + costs.shift * shift + _joined(chord, way, path, neck, costs)
    if rings:
        cost += costs.cut * _cut(chord, way, rings, neck)
    return cost, hand


def _hand(hand: int, way: Way) -> tuple[int, int]:
    """Where the first finger lies then, and by how many frets it moved."""
    if not way.high:
        return hand, 0
    if way.low < hand:
        return way.low, hand - way.low
    if way.high > hand + HAND - 1:
        new = min(way.low, way.high - HAND + 1)
        return new, abs(new - hand)
    return hand, 0


def _joined(chord: Chord, way: Way, path: _Path, neck: Neck, costs: Costs) -> float:
    """What changes between this chord and what went before: courses kept or left, slurs, holds."""
    cost = 0.0
    before = path.before
    taken = before.values()
    rejoined = costs.rejoined if len(chord.tones) == 1 else costs.rejoined * costs.in_chord
    for tone, place in zip(chord.tones, way.places, strict=True):
        if place is None:
            continue
        same = before.get(tone.course)
        if same is not None:
            if same != place[0]:
                cost += SLUR_BROKEN if tone.slurred else rejoined
        elif place[0] in taken:
            cost += BELL_BROKEN if tone.bell else rejoined
    for course in chord.held:
        held = path.last.get(course)
        if held is None or not neck.holds(held, [place for place in way.places if place is not None]):
            cost += HOLD_BROKEN
    return cost


def _cut(chord: Chord, way: Way, rings: Sequence[_Ring], neck: Neck) -> float:
    """How many notes are cut that should ring on; half, where the finger could leave a little early."""
    count = 0.0
    own = {tone.course for tone in chord.tones}
    for _, (course, fret), source in rings:
        if source in own:
            continue
        if any(place is not None and place[0] == course for place in way.places):
            count += 1
        elif fret and way.high and not neck.reaches(min(fret, way.low), max(fret, way.high)):
            count += 0.5
    return count


def _step(chord: Chord, cost: float, parent: _Path, way: Way, hand: int) -> _Path:
    path = _Path(cost, parent, way, hand)
    path.last = dict(parent.last)
    courses = set()
    rings = []
    for tone, place in zip(chord.tones, way.places, strict=True):
        if place is not None:
            path.before[tone.course] = place[0]
            path.last[tone.course] = place
            courses.add(place[0])
            rings.append((tone.until, place, tone.course))
    for course in chord.held:
        if course in parent.last:
            path.before[course] = parent.last[course][0]
    rings += [ring for ring in parent.rings if ring[0] > chord.onset and ring[1][0] not in courses]
    path.rings = tuple(rings)
    return path


def _settled(walked: Sequence[Chord], best: _Path, places: dict[int, Place | None]) -> _Path:
    """The best path written down; where it ends, without what leads there."""
    path: _Path | None = best
    for chord in reversed(walked):
        assert path is not None and path.way is not None
        for tone, place in zip(chord.tones, path.way.places, strict=True):
            places[id(tone.stop)] = place
        path = path.parent
    end = _Path(0.0, None, best.way, best.hand)
    end.before, end.last, end.rings = best.before, best.last, best.rings
    return end


def _repeat(path: _Path, chord: Chord, places: dict[int, Place | None]) -> None:
    """Bars that are not written out have been played: the event before is the last of them."""
    path.before, path.rings = {}, ()
    for stop in chord.again or ():
        place = places.get(id(stop))
        course = stop.sign.course if stop.sign is not None else None
        if place is not None and course is not None:
            path.before[course] = place[0]
            path.last[course] = place


# --- what would be as good --------------------------------------------------------------------------------------


def _others(
    walked: Sequence[Chord], best: _Path, necks: Sequence[Neck], costs: Costs, known: dict[object, tuple[Way, ...]]
) -> dict[int, tuple[tuple[Place | None, ...], ...]]:
    """For each chord, by the ``id()`` of its first stop, the other ways to play the same notes that cost no more, what
    goes before and comes after being as it is."""
    found: dict[int, tuple[tuple[Place | None, ...], ...]] = {}
    after: tuple[Chord, _Path] | None = None
    path = best
    for chord in reversed(walked):
        before, chosen = path.parent, path.way
        if before is None or chosen is None:
            break
        neck = necks[chord.tuning]
        limit = (after[1].cost if after is not None else path.cost) + _AS_GOOD
        ways_there = [
            way
            for way in _ways(chord, neck, costs, known)
            if way.places != chosen.places and way.cost < chosen.cost + _NEAR and _same(way, chosen, neck)
        ]
        good = [way.places for way in ways_there if _whole_cost(chord, before, way, after, necks, costs) <= limit]
        if good:
            found[id(chord.tones[0].stop)] = tuple(good)
        after, path = (chord, path), before
    return found


def _same(one: Way, two: Way, neck: Neck) -> bool:
    """Whether two ways sound the same notes from other places."""
    pairs = list(zip(one.places, two.places, strict=True))
    alike = all(a is not None and b is not None and neck.at(a) == neck.at(b) for a, b in pairs)
    return alike and set(one.places) != set(two.places)


def _whole_cost(
    chord: Chord, before: _Path, way: Way, after: tuple[Chord, _Path] | None, necks: Sequence[Neck], costs: Costs
) -> float:
    """What the path costs with this way, up to the chord after it."""
    rings = [ring for ring in before.rings if ring[0] > chord.onset]
    cost, hand = _led_on(chord, before, way, rings, necks[chord.tuning], costs)
    if after is None:
        return cost
    following, end = after
    assert end.way is not None
    here = _step(chord, cost, before, way, hand)
    rings = [ring for ring in here.rings if ring[0] > following.onset]
    whole, lies = _led_on(following, here, end.way, rings, necks[following.tuning], costs)
    return whole + costs.shift * abs(lies - end.hand)
