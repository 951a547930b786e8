"""When each string of a chord is struck: spread in its order, strummed in its direction, or all at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pipeline.model.arpeggio import Spread, spread
from pipeline.model.heading import ArpeggioOrder
from pipeline.model.sounding import SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.time import WHOLE, Ticks

#: From one string to the next, in milliseconds. Source: none, a setting for practice.
_SPREAD_MS, _STRUM_MS = 60, 15
_DOWN, _UP = "d", "u"


def delays(piece: SoundingPiece, pace: Callable[[Ticks], int]) -> dict[str, Ticks]:
    """Stop id → how long after its written onset it is struck, for the stops of spread and strummed chords. ``pace``
    tells the crotchets a minute at a written moment.

    The first string is struck on the beat, the last before half of the event is over. Stops that the source sets one
    after another have their own written onsets and are left alone. A downward strum goes from the lowest course to
    the first, an upward one back. Source: common practice.
    """
    found: dict[str, Ticks] = {}
    for bar in piece.bars:
        for event in bar.events:
            if len(event.stops) < 2:
                continue
            order, milliseconds = _order(event, piece.heading.arpeggio, spread(event, bar.instrument))
            if order:
                step = min(WHOLE * pace(event.onset) * milliseconds // 240_000, event.length // (2 * len(order)))
                found.update((stop.id, place * step) for place, stop in enumerate(order))
    return found


def _order(event: SoundingEvent, rule: ArpeggioOrder, found: Spread | None) -> tuple[Sequence[SoundingStop], int]:
    if found is not None:
        return ((), 0) if found.typed else (found.chosen(rule), _SPREAD_MS)
    seen = event.event.marks
    if not seen & {_DOWN, _UP}:
        return (), 0
    struck = [stop for stop in event.stops if not stop.held]
    return sorted(struck, key=lambda stop: stop.course, reverse=_DOWN in seen), _STRUM_MS
