"""What another source has, in the signs of the text that it is put into."""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.desk.move.rewrite.strings import fret_sign, hold_at, sign_at
from pipeline.model.heading import Heading
from pipeline.model.record import replace
from pipeline.model.signs import Event, FretState, MarkGroup, Reading, Sign, Stop
from pipeline.model.text import Span


@dataclass(slots=True)
class Hand:
    """Types events of one heading under another. ``unknown`` are printed marks that the other does not declare, with
    the place of the first of each."""

    heading: Heading
    target: Heading
    unknown: dict[str, Span] = field(default_factory=dict)

    def event(self, event: Event) -> Event:
        """The event as it is typed there; its place stays that of the other source."""
        head = event.head
        if head is not None and head.marks:
            head = replace(head, marks=self._marks(head.marks))
        return replace(event, head=head, stops=tuple(map(self._stop, event.stops)))

    def _stop(self, stop: Stop) -> Stop:
        reading = stop.reading
        source = reading.source if reading.source is not None else reading.edition
        if source is not None:
            sign = self._sign(source)
            reading = Reading(reading.act, sign, sign, reading.doubtful, reading.source_doubtful)
        return replace(stop, reading=reading, marks=self._marks(stop.marks))

    def _sign(self, sign: Sign) -> Sign:
        signs = self.target.signs
        if signs is self.heading.signs:
            return replace(sign, shorthand=False)
        if sign.state is FretState.HOLD and sign.course is not None:
            return hold_at(sign.course, signs)
        if sign.state is not FretState.READ or sign.fret is None:
            return replace(sign, typed="", bare=False, shorthand=False)
        if sign.course is None:
            return replace(sign, typed=fret_sign(sign.fret, signs), bare=False, shorthand=False)
        return sign_at((sign.course, sign.fret), signs, sign.dots)

    def _marks(self, groups: tuple[MarkGroup, ...]) -> tuple[MarkGroup, ...]:
        return tuple(
            replace(group, marks=tuple(self._mark(each, group.span) for each in group.marks)) for group in groups
        )

    def _mark(self, reading: Reading[str], place: Span) -> Reading[str]:
        letter = reading.edition
        declared = self.heading.mark(letter) if letter is not None else None
        if declared is None:
            return reading
        same = next((mark.letter for mark in self.target.marks if mark.printed == declared.printed), None)
        if same is None:
            self.unknown.setdefault(declared.printed, place)
            return reading
        return Reading(reading.act, same, same, reading.doubtful, reading.source_doubtful)
