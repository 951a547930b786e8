"""A source taken out of a collated text: its readings where it has any, and the text of the edition's source
elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from pipeline.desk.collate.force import after, at, forced
from pipeline.desk.collate.noted import readings_of, without
from pipeline.desk.collate.source import (
    as_source,
    closed,
    is_bare,
    source_bar,
    source_event,
    source_items,
    source_stops,
)
from pipeline.desk.collate.views import View, view_of
from pipeline.model.heading import Heading
from pipeline.model.record import replace
from pipeline.model.signs import Body, Event, Label, Signs, Stop, printed
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import (
    OMITS,
    Bar,
    BarItem,
    Barline,
    BarlineAct,
    BarlineKind,
    BodyItem,
    SourceBar,
    Tablature,
)
from pipeline.model.text import Span
from pipeline.model.time import Value
from pipeline.source.parse.quoted import quoted_barline, quoted_events, quoted_value
from pipeline.source.resolve import resolve
from pipeline.source.resolve.unmeasured import lone_signs

#: An event or bar line, and the value that is in force at it.
_Put = tuple[BarItem, Value | None]


def taken(tablature: Tablature, heading: Heading, siglum: str) -> Tablature:
    """What a source has, as far as its readings say: a text without notes, every bar written out. A sign that must
    stand where the source prints none is marked as supplied."""
    body = tuple(item for part in _parts(tablature, heading, siglum) for item in part)
    return replace(as_source(tablature), body=body)


def taken_views(tablature: Tablature, heading: Heading, siglum: str) -> list[list[View]]:
    """The same as the levels of difference see it: for each bar typed, the bars that the source has for it."""
    parts = _parts(tablature, heading, siglum)
    whole = replace(as_source(tablature), body=tuple(item for part in parts for item in part))
    bars = {id(bar.bar): view_of(bar) for bar in resolve(whole, heading).value.bars}
    return [
        [bars[id(item)] for item in part if id(item) in bars]
        for part, item in zip(parts, tablature.body, strict=True)
        if isinstance(item, Bar)
    ]


def by_typed(piece: SoundingPiece) -> list[list[SoundingBar]]:
    """The bars of a piece, for each that is typed: several where the source says to repeat so many."""
    return [list(group) for _, group in groupby(piece.bars, key=lambda bar: id(bar.bar))]


def _parts(tablature: Tablature, heading: Heading, siglum: str) -> list[list[BodyItem]]:
    """What a source has for each line of the body."""
    plain = as_source(tablature)
    groups = iter(by_typed(resolve(plain, heading).value))
    walk = _Walk(siglum, tablature.signs, {*lone_signs(plain.body, heading)})
    parts: list[list[BodyItem]] = []
    for item in tablature.body:
        parts.append([*walk.bar(item, next(groups, []))] if isinstance(item, Bar) else [item])
    return parts


def edition_of(tablature: Tablature, siglum: str) -> Tablature:
    """The text without any reading of a source."""
    body = tuple(
        without(item, siglum, tablature.signs, words=True) if isinstance(item, Bar) else item for item in tablature.body
    )
    return replace(tablature, body=body)


@dataclass(slots=True)
class _Walk:
    """What is in force while walking: ``here`` in the text, ``there`` in what is taken. In the bars ``alone`` a sign
    holds for its own event only."""

    siglum: str
    signs: Signs
    alone: set[Span]
    here: Value | None = None
    there: Value | None = None

    def bar(self, bar: Bar, sounding: Sequence[SoundingBar]) -> list[Bar]:
        """What the source has for a bar as typed."""
        readings = readings_of(bar, self.siglum)
        variant = next((each for each in bar.variants if each.witness == self.siglum), None)
        before = self.here
        parts: list[list[_Put]]
        if source_bar(bar).ditto is None:
            parts = [list(self._events(bar, readings))]
        else:
            parts = [[(event.event, event.sign) for event in one.events] for one in sounding]
        closing = _ends(bar, readings)
        if (variant is not None and variant.omits) or readings.get("") == OMITS:
            return []
        if variant is not None:
            parts, closing = self._whole(variant, closing, None if bar.span in self.alone else before)
        last = len(parts) - 1
        plain = Barline(BarlineKind.SINGLE, bar.span, typed=False)
        return [self._made(bar, items, closing if number == last else plain) for number, items in enumerate(parts)]

    def _made(self, bar: Bar, items: list[_Put], closing: Barline) -> Bar:
        events = [(item, force) for item, force in items if isinstance(item, Event)]
        made = iter(list(forced(events, None if bar.span in self.alone else self.there)))
        typed = tuple(next(made) if isinstance(item, Event) else item for item, _ in items)
        for event in typed:
            if isinstance(event, Event):
                self.there = after(self.there, event)
        return Bar(bar.kind, bar.span, typed, closing)

    def _whole(self, variant: SourceBar, closing: Barline, force: Value | None) -> tuple[list[list[_Put]], Barline]:
        """The bars that a whole line has, parted at its plain bar lines, and the line at their end."""
        items, ends = closed(tuple(source_items(variant.items)), closing)
        parts: list[list[_Put]] = [[]]
        for item in items:
            if isinstance(item, Barline) and item.kind is BarlineKind.SINGLE:
                parts.append([])
            elif isinstance(item, Event):
                parts[-1].append((item, at(force, item)))
                force = after(force, item)
            else:
                parts[-1].append((item, None))
        return parts, ends

    # --- readings at labels -----------------------------------------------------------------------------

    def _events(self, bar: Bar, readings: Mapping[str, str]) -> Iterator[_Put]:
        alone = bar.span in self.alone
        whole = next((variant for variant in bar.variants if not variant.witness), None)
        for item in (bar if whole is None else whole).items:
            if not isinstance(item, Event):
                yield from ((line, None) for line in source_items([item]))
                continue
            own = source_event(item)
            before = None if alone else self.here
            force = at(before, own) if own is not None else before
            if own is not None:
                self.here = after(before, own)
            yield from self._event(item, own, force, readings)

    def _event(
        self, event: Event, own: Event | None, force: Value | None, readings: Mapping[str, str]
    ) -> Iterator[_Put]:
        head = event.head
        over = () if head is None else (*head.opening_labels, *head.labels)
        text = _reading(over, readings)
        if text == OMITS and head is not None and _reading(head.opening_labels, readings):
            return
        if text == OMITS and own is not None and own.head is not None:
            bare = replace(own.head, value=None, second=None, beamed=False)
            own = replace(own, head=None if is_bare(bare) else bare)
        value = quoted_value(text) if text else None
        if value is not None and own is not None and own.head is not None:
            own, force = replace(own, head=replace(own.head, value=printed(value))), value
        others = quoted_events(text, self.signs) if text and value is None else None
        for other in others or ():
            force = at(force, other)
            yield other, force
        if others:
            return
        made = self._stops(event, own, readings)
        if made is not None:
            yield made, force

    def _stops(self, event: Event, own: Event | None, readings: Mapping[str, str]) -> Event | None:
        """The event with its stops as the source has them."""
        if not any(_reading(stop.labels, readings) for stop in event.stops):
            return own
        stops: list[Stop] = []
        for stop in event.stops:
            text = _reading(stop.labels, readings)
            others = quoted_events(text, self.signs) if text and text != OMITS else None
            if others is not None and len(others) == 1 and others[0].head is None and others[0].stops:
                first, *more = others[0].stops
                stops += [replace(first, after=stop.after and bool(stops)), *more]
            elif text != OMITS:
                stops += [replace(each, after=each.after and bool(stops)) for each in source_stops([stop])]
        head = own.head if own is not None else None
        if not stops and head is None:
            return None
        return Event(event.span, head, Body.STOPS if stops else Body.NOTHING, tuple(stops))


def _reading(labels: Iterable[Label], readings: Mapping[str, str]) -> str:
    return next((readings[label.letter] for label in labels if label.letter in readings), "")


def _ends(bar: Bar, readings: Mapping[str, str]) -> Barline:
    """The line at the end of the bar, as added where the source has none."""
    text = _reading(bar.closing.labels, readings)
    if text == OMITS:
        return Barline(BarlineKind.SINGLE, bar.closing.span, BarlineAct.ADDED)
    kind = quoted_barline(text) if text else None
    return source_bar(bar).closing if kind is None else Barline(kind, bar.closing.span)
