"""Events that need not be worked out again while a text is typed: those of bars that are the same, at the same time and
under the same tuning, metre and rhythm sign."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.model.instrument import Instrument
from pipeline.model.signs import Body
from pipeline.model.sounding import SoundingEvent, SoundingStop
from pipeline.model.tablature import Bar, BarItem, BarKind
from pipeline.source.resolve.clock import ClockState


@dataclass(frozen=True, slots=True)
class KnownBar:
    """One bar as it was worked out: what it was typed as, ``state`` all that was in force before it, and what came of
    it: its events, the clock behind it, what each course sounded last in it."""

    items: tuple[BarItem, ...]
    kind: BarKind
    state: tuple[object, ...]
    events: tuple[SoundingEvent, ...]
    clock: ClockState
    last: tuple[SoundingStop, ...]


class KnownEvents:
    """The bars of one piece as they were worked out last, by their indices. Holds no more than the piece does."""

    __slots__ = ("_before", "_instruments", "_now")

    def __init__(self) -> None:
        self._before: dict[int, KnownBar] = {}
        self._now: dict[int, KnownBar] = {}
        self._instruments: dict[Instrument, Instrument] = {}

    def begin(self) -> None:
        """The piece is worked out once more."""
        self._before, self._now = self._now, {}
        if len(self._instruments) > _MOST:
            self._instruments.clear()

    def same(self, instrument: Instrument) -> Instrument:
        """The one object that stands for all equal instruments, so that two are quickly compared."""
        return self._instruments.setdefault(instrument, instrument)

    def find(self, index: int, bar: Bar, state: tuple[object, ...]) -> KnownBar | None:
        """The bar as it was worked out, if nothing that it depends on has changed."""
        found = self._before.get(index)
        if found is None or found.items is not bar.items or found.kind is not bar.kind or found.state != state:
            return None
        self._now[index] = found
        return found

    def keep(
        self, index: int, bar: Bar, state: tuple[object, ...], events: tuple[SoundingEvent, ...], clock: ClockState
    ) -> None:
        """Keep a bar of which there was nothing to report, unless it depends on what sounded before it."""
        stops = tuple(stop for event in events for stop in event.stops)
        if any(stop.held for stop in stops) or any(event.event.body is Body.AS_BEFORE for event in events):
            return
        last = {stop.course: stop for stop in stops}
        self._now[index] = KnownBar(bar.items, bar.kind, state, events, clock, tuple(last.values()))


#: Tunings that are kept in mind.
_MOST = 64
