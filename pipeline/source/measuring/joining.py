"""A comma forgotten: two words that are one chord."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from pipeline.model.signs import Event, Signs
from pipeline.model.sounding import SoundingEvent
from pipeline.source import encoded
from pipeline.source.measuring.mending import Mend, Way
from pipeline.source.measuring.stretches import Stretch

#: A bass that stands alone before a stop is the usual slip; two stops in a row more often follow one another.
BASS, OTHERS = 0.45, 1.3


def join_mends(stretch: Stretch, signs: Signs) -> Iterator[Mend]:
    """Two neighbours, the second without a sign, that struck together make the bar add up: courses apart, the lower
    strings first, as chords are typed."""
    missing = stretch.length - stretch.expected
    events = [event for event in stretch.events if event.length]
    for number, (one, two) in enumerate(pairwise(events), start=1):
        if two.length != missing or two.event.head is not None or not _lower(one, two):
            continue
        bass = len(one.event.stops) == 1 and one.event.stops[0].sign is not None and one.event.stops[0].sign.bare
        yield Mend(
            BASS if bass else OTHERS,
            number,
            Way.JOIN,
            None,
            one.event.span,
            f"a comma is missing between events {number} and {number + 1}, which are struck together",
            f"{encoded.event(one.event, signs)},{encoded.event(two.event, signs)}",
        )


def _lower(one: SoundingEvent, two: SoundingEvent) -> bool:
    first, second = _courses(one.event), _courses(two.event)
    return bool(first and second) and min(first) > max(second)


def _courses(event: Event) -> list[int]:
    signs = [stop.sign for stop in event.stops]
    return [sign.course for sign in signs if sign is not None and sign.course is not None and sign.fret is not None]
