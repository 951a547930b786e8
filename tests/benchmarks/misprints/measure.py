"""How many of the seeded misprints are found, how often the right mend is proposed, and how many alarms are false.

Found: something is proposed in the bar of a rhythm error (sign or bar line), or for the very stop that is wrong. Right
mend: the proposal written into the text gives back the music of the bar. False alarm: a suspicious place in a bar
without a seeded error.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, takewhile

from pipeline.desk.misprints.proposal import OF_TIME, Slip, Suspicion
from pipeline.desk.misprints.search import emended, misprints
from pipeline.desk.misprints.search.lookalikes import lookalikes
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.text import SourceText
from pipeline.source.measuring.bar_lines import bar_line_mends
from pipeline.source.measuring.mending import Carry, Rhythms, Way, mends, single_changes
from pipeline.source.measuring.strains import divided
from pipeline.source.measuring.stretches import Stretch, stretches
from tests.benchmarks.misprints.seeding import Seed, Seeded, firsts, music, read

FIRST, AMONG = "first", "among three"


@dataclass
class Counts:
    """Of one piece: (kind, what) → how often, what being ``seeds``, ``found``, ``first`` and ``among three``; bars
    without a seed, and false alarms among them of rhythm and of stops."""

    kind: str
    seeds: Counter[tuple[Slip, str]] = field(default_factory=Counter)
    clean: int = 0
    false_time: int = 0
    false_stops: int = 0


@dataclass(frozen=True)
class Alarm:
    """A suspicious place: the events of the bar it lies in, and for a stop the event and course; ``mends`` in order
    say whether they are right for a seed."""

    of_time: bool
    first: int
    end: int
    event: int
    course: int
    rights: tuple[Callable[[Seed], bool], ...]


def count(kind: str, seeded: Seeded, alarms: Sequence[Alarm]) -> Counts:
    """Set alarms against seeds."""
    counts = Counts(kind)
    starts = firsts(seeded.piece)
    for seed in seeded.seeds:
        counts.seeds[seed.slip, "seeds"] += 1
        hits = [alarm for alarm in alarms if _meant(alarm, seed)]
        if hits:
            counts.seeds[seed.slip, "found"] += 1
            ways = hits[0].rights
            counts.seeds[seed.slip, FIRST] += any(hit.rights[0](seed) for hit in hits[:1] if hit.rights)
            counts.seeds[seed.slip, AMONG] += any(right(seed) for right in ways[:3])
    spoilt = [(seed.first, seed.end) for seed in seeded.seeds]
    for first, end in pairwise(starts):
        counts.clean += not any(a < end and first < b for a, b in spoilt)
    for alarm in alarms:
        if not any(a < alarm.end and alarm.first < b for a, b in spoilt):
            counts.false_time += alarm.of_time
            counts.false_stops += not alarm.of_time
    return counts


def _meant(alarm: Alarm, seed: Seed) -> bool:
    if seed.slip in OF_TIME:
        return alarm.of_time and alarm.first < seed.end and seed.first < alarm.end
    return not alarm.of_time and alarm.event == seed.event and alarm.course == seed.printed[0]


# --- this program ----------------------------------------------------------------------------------------


def proposed(
    seeded: Seeded, inherited: tuple[SourceText, ...] = (), siblings: Sequence[SoundingPiece] = ()
) -> list[Alarm]:
    """What the search for misprints says."""
    ways: dict[int, list[Suspicion]] = {}
    for suspicion in misprints(seeded.piece, siblings):
        ways.setdefault(suspicion.place, []).append(suspicion)
    return [_alarm(seeded, inherited, group) for group in ways.values()]


def _alarm(seeded: Seeded, inherited: tuple[SourceText, ...], ways: list[Suspicion]) -> Alarm:
    starts = firsts(seeded.piece)
    first = ways[0]
    bar = seeded.piece.bars[first.bar]
    number = next(n for n, event in enumerate(bar.events) if event.id == first.event)
    course = int(first.stop.rpartition("c")[2]) if first.stop else 0
    rights = tuple(_right_in_text(seeded, inherited, way) for way in ways)
    return Alarm(
        first.slip in OF_TIME, starts[bar.index], starts[bar.index + 1], starts[bar.index] + number, course, rights
    )


def _right_in_text(seeded: Seeded, inherited: tuple[SourceText, ...], way: Suspicion) -> Callable[[Seed], bool]:
    """Writes the mend into the text, reads that again and compares the bar with the right piece."""

    def right(seed: Seed) -> bool:
        if way.by_hand or not way.edits:
            return False
        text = SourceText.of(seeded.text.name, emended(seeded.text.text, way.edits))
        return _same(music(read(text, inherited)), music(seeded.right), seed)

    return right


def _same(found: list[tuple[object, ...]], wanted: list[tuple[object, ...]], seed: Seed) -> bool:
    bar_begins = [row[2] for row in found[seed.end : seed.end + 1]] == [
        row[2] for row in wanted[seed.end : seed.end + 1]
    ]
    return found[seed.first : seed.end] == wanted[seed.first : seed.end] and bar_begins


# --- baselines -------------------------------------------------------------------------------------------


def bar_sums(seeded: Seeded) -> list[Alarm]:
    """Bars that do not add up, with the mends that the check of bar lengths ranks (it looks at the next bar too)."""
    piece = seeded.piece
    starts = firsts(piece)
    rhythms = Rhythms.of(bar for bar in piece.bars if bar.expected and bar.length == bar.expected)
    found = []
    excused = divided(piece.bars)
    for stretch in stretches(piece.bars):
        if len(stretch.bars) == 1 and stretch.bars[0].index in excused:
            continue
        first, last = stretch.bars[0].index, stretch.bars[-1].index
        after = piece.bars[last + 1] if last + 1 < len(piece.bars) else None
        ways = [*mends(stretch.events, stretch.expected, _carry(after), rhythms), *bar_line_mends(stretch, after)]
        ways.sort(key=lambda mend: mend.cost)
        rights = tuple(_right_by_sum(seeded, stretch, starts[first], way.way, way.event, way.value) for way in ways[:3])
        found.append(Alarm(True, starts[first], starts[last + 1], starts[first], 0, rights))
    return found


def _carry(after: SoundingBar | None) -> Carry | None:
    """What of the next bar still stands under a sign of this one."""
    if after is None or after.bar.ditto is not None:
        return None
    under = takewhile(lambda event: not event.drawn, after.events)
    return Carry(sum(event.length for event in under), after.length, after.expected)


def _right_by_sum(
    seeded: Seeded, stretch: Stretch, first: int, way: Way, event: int, value: object
) -> Callable[[Seed], bool]:
    def right(seed: Seed) -> bool:
        truth = music(seeded.right)
        if way is Way.BAR_LINE:
            split = bool(event < len(stretch.events)) and stretch.length > stretch.expected
            if seed.slip is Slip.BAR_LINE_MISSING:
                return split and bool(truth[first + event - 1][2])
            return seed.slip is Slip.BAR_LINE_EXTRA and not split
        if seed.slip in (Slip.BAR_LINE_EXTRA, Slip.BAR_LINE_MISSING):
            return False
        for change in single_changes(stretch.events, stretch.expected):
            if (change.mend.way, change.mend.event, change.mend.value) == (way, event, value):
                lengths = [row[0] for row in truth[first : first + len(change.lengths)]]
                return list(change.lengths) == lengths
        return False

    return right


def random_stops(seeded: Seeded, alarms: int, chance: random.Random) -> list[Alarm]:
    """So many stops drawn evenly, what they may be misprints of in any order."""
    piece = seeded.piece
    starts = firsts(piece)
    places = [
        (bar, starts[bar.index] + number, stop)
        for bar in piece.bars
        for number, event in enumerate(bar.events)
        for stop in event.stops
    ]
    found = []
    for bar, event, stop in chance.sample(places, min(alarms, len(places))):
        ways = list(lookalikes(stop.course, stop.fret, bar.instrument, piece.tablature.signs))
        chance.shuffle(ways)
        rights = tuple(_is((way.course, way.fret)) for way in ways)
        found.append(Alarm(False, starts[bar.index], starts[bar.index + 1], event, stop.course, rights))
    return found


def _is(reading: tuple[int, int]) -> Callable[[Seed], bool]:
    return lambda seed: seed.right == reading
