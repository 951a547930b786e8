"""Bars that do not add up, alone or joined by added bar lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from pipeline.model.signs import Body
from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.tablature import BarKind
from pipeline.model.time import Ticks
from pipeline.source.measuring.damage import damaged


@dataclass(frozen=True, slots=True)
class Stretch:
    """Bars that the source writes as one, with what they hold and should hold."""

    bars: tuple[SoundingBar, ...]
    length: Ticks
    expected: Ticks

    @property
    def events(self) -> tuple[SoundingEvent, ...]:
        return tuple(event for bar in self.bars for event in bar.events)


def stretches(bars: tuple[SoundingBar, ...]) -> Iterator[Stretch]:
    """What does not add up: single bars, or bars joined by added lines from the first to the last faulty one.

    ``bars`` may be a part of a piece, if it does not end between joined bars."""
    joined: list[SoundingBar] = []
    for place, bar in enumerate(bars, start=1):
        joined.append(bar)
        if bar.joins_next and place < len(bars):
            continue
        faulty = [number for number, member in enumerate(joined) if is_off(member)]
        if faulty:
            yield from _together(tuple(joined[faulty[0] : faulty[-1] + 1]))
        joined = []


def is_off(bar: SoundingBar) -> bool:
    """Whether the bar is to be measured, and does not add up."""
    asked = _asked(bar)
    if not asked or bar.bar.kind is BarKind.FREE or bar.bar.ditto is not None or damaged(bar.bar.items):
        return False
    if not bar.events or any(event.sign is None for event in bar.events) or _is_empty(bar):
        return False
    return bar.length > asked if bar.bar.kind is BarKind.SHORT else bar.length != asked


def _together(bars: tuple[SoundingBar, ...]) -> Iterator[Stretch]:
    asked = {bar.expected for bar in bars}
    if len(bars) == 1 or len(asked) > 1 or any(damaged(bar.bar.items) for bar in bars):
        yield from (Stretch((bar,), bar.length, _asked(bar)) for bar in bars if is_off(bar))
        return
    (one,) = asked
    total = sum(bar.length for bar in bars)
    # An added line may divide one bar of the source or stand inside one; notes across it are tied.
    times = min(max(round(Fraction(total, one)), 1), len(bars))
    if total != times * one:
        yield Stretch(bars, total, times * one)


def _asked(bar: SoundingBar) -> Ticks:
    """What the bar may hold at most."""
    return bar.expected or (bar.metre.ticks if bar.metre is not None else 0)


def _is_empty(bar: SoundingBar) -> bool:
    """``| -``: a bar that the source leaves blank."""
    return len(bar.events) == 1 and bar.events[0].event.body is Body.NOTHING and bar.events[0].event.head is None
