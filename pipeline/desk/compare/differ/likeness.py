"""How much two bars, events or sung notes have in common, from 0 to 100."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable

from pipeline.desk.compare.content import (
    BarContent,
    BarlineContent,
    EventContent,
    ItemContent,
    SungContent,
    UnreadContent,
)


class Likeness:
    """Bars and events have in common what they are recognised by. What is worked out for one is kept, as numbers, so
    that asking again costs little; the bars and events must stay alive."""

    def __init__(self) -> None:
        self._known: dict[int, frozenset[int]] = {}
        self._numbers: dict[Hashable, int] = {}

    def of_bars(self, one: BarContent, two: BarContent) -> int:
        """Of bars: their events, each as often as it occurs, and what is sung."""
        return _shared(self._bar(one), self._bar(two))

    def of_items(self, one: ItemContent, two: ItemContent) -> int:
        """Of events: their stops and their sign. An event and a bar line have nothing in common."""
        if type(one) is not type(two):
            return 0
        return _shared(self._item(one), self._item(two))

    def _bar(self, bar: BarContent) -> frozenset[int]:
        found = self._known.get(id(bar))
        if found is None:
            counted = Counter(bar_features(bar)).items()
            every = ((feature, number) for feature, times in counted for number in range(times))
            found = self._known[id(bar)] = self._numbered(every)
        return found

    def _item(self, item: ItemContent) -> frozenset[int]:
        found = self._known.get(id(item))
        if found is None:
            found = self._known[id(item)] = self._numbered(item_features(item))
        return found

    def _numbered(self, features: Iterable[Hashable]) -> frozenset[int]:
        numbers = self._numbers
        return frozenset([numbers.setdefault(feature, len(numbers)) for feature in features])


def bar_features(bar: BarContent) -> Iterable[Hashable]:
    """What a bar is recognised by."""
    for item in (*bar.items, *bar.again):
        yield from item_features(item)
    for name, line in bar.sung:
        for note in line:
            yield "sung", name, note.pitch


def item_features(item: ItemContent) -> Iterable[Hashable]:
    """What an event is recognised by."""
    match item:
        case EventContent():
            yield item.body, item.value.edition if item.value is not None else ""
            for stop in item.stops or item.again:
                sign = stop.reading.edition or stop.reading.source
                if sign is not None:
                    yield sign.course
                    yield sign.course, sign.fret
        case BarlineContent():
            yield item.kind
        case UnreadContent():
            yield item.text


def sung_likeness(one: SungContent, two: SungContent) -> int:
    """Of sung notes: pitch, words and length."""
    words = [syllable.text for syllable in one.syllables] == [syllable.text for syllable in two.syllables]
    return 50 * (one.pitch == two.pitch) + 30 * words + 20 * (one.length == two.length)


def _shared(one: frozenset[int], two: frozenset[int]) -> int:
    whole = len(one) + len(two)
    return 200 * len(one & two) // whole if whole else 100
