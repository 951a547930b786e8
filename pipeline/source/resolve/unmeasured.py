"""Music without a metre: whether its few rhythm signs hold on, or lengthen only what they stand over.

In measured tablature a sign holds until the next (PS: MEI Guidelines, tablature chapter). Unmeasured preludes print a
sign here and there, for one event (common practice, no source). What tells them apart, in this order: an editor who
says where values end (``'n``) means signs that hold; so do bars that then come out equal, and signs over a third of the
events or more. The rule and its figures are this project's own, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from pipeline.model.heading import Heading
from pipeline.model.signs import Event
from pipeline.model.tablature import Bar, BodyItem, Directive, DirectiveKind
from pipeline.model.text import Span
from pipeline.source.resolve.clock import NO_VALUE_MARK, Clock

#: Signs hold where at least one event in so many has one.
ONE_IN = 3


def lone_signs(body: Iterable[BodyItem], heading: Heading) -> dict[Span, Event | None]:
    """The bars in which a sign lengthens only its own event, by their places, each with the first such event of its
    stretch (None but for the bar that holds it)."""
    found: dict[Span, Event | None] = {}
    stretch: list[Bar] = []
    free = heading.metre is not None and heading.metre.sign == "none" and not heading.metre.beats
    for item in body:
        if isinstance(item, Directive) and item.kind is DirectiveKind.METRE:
            found |= _of(stretch, heading)
            stretch, free = [], item.text == "none"
        elif isinstance(item, Bar) and free and item.ditto is None:
            stretch.append(item)
    return found | _of(stretch, heading)


def _of(stretch: list[Bar], heading: Heading) -> dict[Span, Event | None]:
    events = [event for bar in stretch for event in bar.events]
    signed = [event for event in events if event.head is not None and event.head.value is not None]
    if not signed or _hold(stretch, events, len(signed), heading):
        return {}
    return {bar.span: next((event for event in bar.events if event is signed[0]), None) for bar in stretch}


def _hold(stretch: list[Bar], events: list[Event], signed: int, heading: Heading) -> bool:
    if any(NO_VALUE_MARK in event.marks for event in events) or signed * ONE_IN >= len(events):
        return True
    clock = Clock(heading.values)
    lengths: Counter[int] = Counter()
    for bar in stretch:
        beats = [clock.next(event, measured=False) for event in bar.events]
        clock.end_bar()
        if all(beat.sign is not None for beat in beats):
            lengths[sum(beat.length for beat in beats)] += 1
    return bool(lengths) and max(lengths.values()) > max(1, len(stretch) // 2)
