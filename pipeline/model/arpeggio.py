"""The order in which a spread chord is played, by either of the two rules that players dispute."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.model.heading import ArpeggioOrder
from pipeline.model.instrument import Instrument
from pipeline.model.sounding import SoundingEvent, SoundingStop

#: The course that sounds highest on a re-entrant instrument, and is taken last by the fingers.
_HIGHEST_COURSE = 3
#: Marks over an event that spread its chord: ÷ and lines through the chord.
_SPREADING = frozenset("rs")

Order = tuple[SoundingStop, ...]


@dataclass(frozen=True, slots=True)
class Spread:
    """A spread chord in both orders. ``typed`` is set where the stops stand one after another under one sign:
    the source then says the order itself, and neither rule is asked."""

    fingers: Order
    rising: Order
    typed: Order = ()

    def chosen(self, rule: ArpeggioOrder) -> Order:
        """The order that is played under the heading's rule."""
        if self.typed:
            return self.typed
        return self.fingers if rule is ArpeggioOrder.FINGERS else self.rising


def spread(event: SoundingEvent, instrument: Instrument) -> Spread | None:
    """How an event is spread; None where its stops are struck together, or fewer than two are struck."""
    in_turn = any(stop.order for stop in event.stops)
    if not in_turn and not event.event.marks & _SPREADING:
        return None
    struck = [stop for stop in event.stops if not stop.held]
    return played_orders(struck, instrument, in_turn=in_turn) if len(struck) > 1 else None


def played_orders(struck: Sequence[SoundingStop], instrument: Instrument, *, in_turn: bool = False) -> Spread:
    """Both orders of a chord.

    ``fingers``: from the lowest course up, with the third course last where the courses above it are tuned down, so
    that the highest string comes last. Source: common practice, disputed. ``rising``: by pitch of the naming
    strings; of two in unison the lower course first.
    """
    tuned_down = set(instrument.re_entrant)
    last_wanted = any(stop.course in tuned_down for stop in struck)
    fingers = sorted(struck, key=lambda stop: (last_wanted and stop.course == _HIGHEST_COURSE, -stop.course))
    rising = sorted(struck, key=lambda stop: (stop.pitch, -stop.course))
    typed = sorted(struck, key=lambda stop: stop.order) if in_turn else []
    return Spread(tuple(fingers), tuple(rising), tuple(typed))
