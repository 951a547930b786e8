"""Events, bar lines and unread words of two bars, side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from pipeline.desk.compare.content import BarlineContent, EventContent, ItemContent, StopContent, UnreadContent
from pipeline.desk.compare.differ.align import aligned
from pipeline.desk.compare.differ.ledger import Ledger
from pipeline.desk.compare.differ.stops import compare_sounds, compare_stops
from pipeline.desk.compare.differ.words import Hand, barline_words, group_words, joined, value_name, value_words
from pipeline.desk.compare.difference import Kind

Items = Sequence[ItemContent]


def compare_items(ledger: Ledger, one: Items, two: Items) -> None:
    """Everything that stands in a bar."""
    if tuple(one) == tuple(two):
        compare_consequences(ledger, one, two)
        return
    numbers_one, numbers_two = _numbers(one), _numbers(two)
    quiet = False  # once a sign differs, the values that follow from it in this bar are not told one by one
    for left, right in aligned(one, two, ledger.likeness.of_items):
        before = one[left] if left is not None else None
        after = two[right] if right is not None else None
        ledger.in_event(numbers_one[left] if left is not None else 0, numbers_two[right] if right is not None else 0)
        if isinstance(before, EventContent) and isinstance(after, EventContent):
            if not quiet and before.value is None and after.value is None and before.sign != after.sign:
                _carried(ledger, before, after)
                quiet = True
            _events(ledger, before, after)
            quiet = quiet or before.value != after.value
        else:
            _others(ledger, before, after)
            quiet = True
    ledger.in_event(0, 0, "")


def compare_consequences(ledger: Ledger, one: Items, two: Items, *, alike: bool = True) -> None:
    """Items that are written alike: only what follows from elsewhere can differ. Those of bars that are not written
    out need not be ``alike``; what they repeat has been told then."""
    said = False
    number = 0
    for before, after in zip(one, two, strict=False):
        if not isinstance(before, EventContent) or not isinstance(after, EventContent):
            continue
        number += 1
        if not alike and before != after:
            continue
        ledger.in_event(number, number)
        if before.sign != after.sign and not said and before.value is None:
            _carried(ledger, before, after)
            said = True
        compare_sounds(ledger, before.stops, after.stops)
        compare_sounds(ledger, before.again, after.again)
    ledger.in_event(0, 0, "")


def _carried(ledger: Ledger, before: EventContent, after: EventContent) -> None:
    subject = "with no sign of its own, up to the next sign"
    spans = (before.span, after.span)
    ledger.say(Kind.CARRIED, subject, value_name(before.sign), value_name(after.sign), spans)


def _numbers(items: Items) -> list[int]:
    """The number of each event in its bar; of anything else, 0."""
    number, numbers = 0, []
    for item in items:
        number += isinstance(item, EventContent)
        numbers.append(number if isinstance(item, EventContent) else 0)
    return numbers


def _others(ledger: Ledger, before: ItemContent | None, after: ItemContent | None) -> None:
    """Where one side has no event."""
    if isinstance(before, BarlineContent) and isinstance(after, BarlineContent):
        ledger.in_event(0, 0, "")
        compare_barlines(ledger, "bar line inside the bar", before, after)
        return
    if isinstance(before, UnreadContent) and isinstance(after, UnreadContent):
        ledger.in_event(0, 0, "")
        ledger.say(Kind.UNREAD, "word that cannot be read", before.text, after.text, (before.span, after.span))
        return
    events = ledger.event_one, ledger.event_two
    if before is not None:
        ledger.in_event(events[0], 0, "event" if events[0] else "")
        ledger.say(_kind(before), _subject(before), ledger.hand_one.item(before), "", (before.span, None))
    if after is not None:
        ledger.in_event(0, events[1], "event" if events[1] else "")
        ledger.say(_kind(after), _subject(after), "", ledger.hand_two.item(after), (None, after.span))


def _kind(item: ItemContent) -> Kind:
    match item:
        case EventContent():
            return Kind.EVENT
        case BarlineContent():
            return Kind.BARLINE
        case UnreadContent():
            return Kind.UNREAD


def _subject(item: ItemContent) -> str:
    return "" if isinstance(item, EventContent) else "inside the bar"


def compare_barlines(ledger: Ledger, subject: str, one: BarlineContent, two: BarlineContent) -> None:
    """Two bar lines at one place."""
    spans = (one.span, two.span)
    if (one.kind, one.act) != (two.kind, two.act):
        ledger.say(Kind.BARLINE, subject, barline_words(one), barline_words(two), spans)
    ledger.notes(subject, one.notes, two.notes, spans)


def _events(ledger: Ledger, one: EventContent, two: EventContent) -> None:
    """Two events at one place."""
    spans = (one.span, two.span)
    if one == two:
        compare_sounds(ledger, one.stops, two.stops)
        compare_sounds(ledger, one.again, two.again)
        return
    if one.body is not two.body or _strangers(one, two):
        words = ledger.hand_one.event(one), ledger.hand_two.event(two)
        if words[0] != words[1]:
            ledger.say(Kind.EVENT, "", *words, spans)
            ledger.notes("", one.notes, two.notes, spans)
            return
    if one.value != two.value:
        words = (value_words(one.value) if one.value else "", value_words(two.value) if two.value else "")
        ledger.say(Kind.SIGN, "rhythm sign", *words, spans)
    if (one.beamed, one.group) != (two.beamed, two.group):
        ledger.say(Kind.SIGN, "beam and group", _grid(one), _grid(two), spans)
    if one.marks != two.marks:
        ledger.marks("", one.marks, two.marks, spans, over=True)
    ledger.notes("", one.notes, two.notes, spans)
    _order(ledger, one, two)
    compare_stops(ledger, one.stops, two.stops)
    compare_sounds(ledger, one.again, two.again)


def _strangers(one: EventContent, two: EventContent) -> bool:
    """True for chords with no course in common: they are told as a whole."""
    courses = {stop.course for stop in one.stops} & {stop.course for stop in two.stops}
    return not courses and len(one.stops) + len(two.stops) > 2


def _grid(event: EventContent) -> str:
    return joined(("beamed to the sign before" if event.beamed else "", group_words(event.group)))


def _order(ledger: Ledger, one: EventContent, two: EventContent) -> None:
    """Which stops are set together, and which after others."""
    first, second = _turns(one.stops), _turns(two.stops)
    if any(first.get(stop, order) != order for stop, order in second.items()):
        words = _in_turn(ledger.hand_one, one.stops), _in_turn(ledger.hand_two, two.stops)
        ledger.say(Kind.STOP, "order", *words, (one.span, two.span))


def _turns(stops: Sequence[StopContent]) -> dict[tuple[str, int], int]:
    """When each stop is set: by its course, and the how-manieth it is there in its event."""
    turns: dict[tuple[str, int], int] = {}
    struck: Counter[str] = Counter()
    for stop in stops:
        turns[stop.course, struck[stop.course]] = stop.order
        struck[stop.course] += 1
    return turns


def _in_turn(hand: Hand, stops: Sequence[StopContent]) -> str:
    if all(stop.order == stops[0].order for stop in stops):
        return "together"
    turns: dict[int, list[str]] = {}
    for stop in stops:
        turns.setdefault(stop.order, []).append(hand.course(stop.course))
    return ", then ".join(" with ".join(turn) for turn in turns.values())
