"""How much two bars, events or sung notes have in common, from 0 to 100."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable

from pipeline.model.content import BarContent, BarlineContent, EventContent, ItemContent, SungContent, UnreadContent

Features = frozenset[Hashable]


class BarLikeness:
    """Bars have in common what their events have in common. What is worked out for a bar is kept."""

    def __init__(self) -> None:
        self._known: dict[int, Features] = {}

    def __call__(self, one: BarContent, two: BarContent) -> int:
        return _shared(self._features(one), self._features(two))

    def _features(self, bar: BarContent) -> Features:
        found = self._known.get(id(bar))
        if found is None:
            counted = Counter(feature for item in (*bar.items, *bar.again) for feature in item_features(item))
            counted.update(("sung", name, note.pitch) for name, line in bar.sung for note in line)
            found = self._known[id(bar)] = frozenset(
                (feature, number) for feature, times in counted.items() for number in range(times)
            )
        return found


def item_likeness(one: ItemContent, two: ItemContent) -> int:
    """Of events: by their stops and their sign. An event and a bar line have nothing in common."""
    if type(one) is not type(two):
        return 0
    return _shared(frozenset(item_features(one)), frozenset(item_features(two)))


def item_features(item: ItemContent) -> Iterable[Hashable]:
    """What an event is recognised by."""
    match item:
        case EventContent():
            yield item.body, item.value.edition if item.value is not None else ""
            for stop in item.stops or item.again:
                sign = stop.reading.edition or stop.reading.source
                yield sign
                yield stop.course
        case BarlineContent():
            yield item.kind
        case UnreadContent():
            yield item.text


def sung_likeness(one: SungContent, two: SungContent) -> int:
    """Of sung notes: pitch, words and length."""
    words = [syllable.text for syllable in one.syllables] == [syllable.text for syllable in two.syllables]
    return 50 * (one.pitch == two.pitch) + 30 * words + 20 * (one.length == two.length)


def _shared(one: Features, two: Features) -> int:
    whole = len(one) + len(two)
    return 200 * len(one & two) // whole if whole else 100
