"""The readings of a source written under a bar: at single signs or events where little differs, else the whole bar."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from pipeline.desk.collate.force import forced
from pipeline.desk.collate.hands import Hand
from pipeline.desk.collate.noted import letters_of
from pipeline.desk.collate.record import Level
from pipeline.desk.collate.views import Naming, Told, View, closing_key, events_key, stop_keys, told_key
from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, Event, Head, Label, Sign, Stop
from pipeline.model.tablature import (
    OMITS,
    Bar,
    BarItem,
    Barline,
    BarlineAct,
    BarlineKind,
    NoteKind,
    NoteLine,
    SourceBar,
)
from pipeline.model.text import Span
from pipeline.model.time import Value
from pipeline.source import encoded

#: Where more events of a bar differ than this, and more than half of them, the whole bar is given; so it is always
#: where more than the second do.
FEW, MOST = 2, 4
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Place(NamedTuple):
    """A bar of the text, as the edition and as its source have it, and what the other source has against it.
    ``force`` is the value in force before it."""

    bar: Bar
    edition: View
    source: View
    other: View
    force: Value | None


class Writer:
    """Writes the readings of one source at one level. ``one`` and ``two`` name the marks of the text and of the other
    source."""

    def __init__(self, siglum: str, level: Level, hand: Hand, one: Naming, two: Naming) -> None:
        self._siglum = siglum
        self._level = level
        self._hand = hand
        self._one = one
        self._two = two

    def _beside(self, one: Told, naming: Naming) -> object:
        """What stands over an event, as far as the level sees it."""
        key = told_key(one, self._level, naming)
        return () if self._level is Level.SOUND else (key[0], *key[2:])

    def differs(self, place: Place) -> bool:
        """Whether the other source has anything else than the edition, or than the source that it follows. Bar lines
        are compared with that source alone: those of the editor are none of its readings."""
        return self._closes_otherwise(place) or self._reads_otherwise(place)

    def _closes_otherwise(self, place: Place) -> bool:
        return closing_key(place.other, self._level) != closing_key(place.source, self._level)

    def _reads_otherwise(self, place: Place) -> bool:
        level, other = self._level, events_key(place.other, self._level, self._two)
        inside = _inside(place.other, level)
        return (
            other != events_key(place.edition, level, self._one)
            or other != events_key(place.source, level, self._one)
            or inside != _inside(place.source, level)
            or place.other.length not in {place.source.length, place.edition.length}
        )

    def omitted(self, bar: Bar) -> Bar:
        """The bar, which the other source lacks."""
        return replace(bar, variants=(*bar.variants, self._line(bar, ())))

    def written(self, place: Place, *, labels: bool = True) -> Bar:
        """The bar with the readings under it. ``labels``: at single places, where that can be said."""
        changed = self._changed(place) if labels else None
        letters = _Letters(place.bar, self._siglum)
        if changed is not None and len(letters) > len(changed):
            bar = place.bar
            for number in changed:
                bar = self._at_event(bar, number, place, letters)
            return self._closing(bar, place, letters) if self._closes_otherwise(place) else bar
        line = self._line(place.bar, tuple(self._items(place)))
        bar = replace(place.bar, variants=(*place.bar.variants, line))
        lacks = place.other.closing is None and place.bar.closing.act is not BarlineAct.ADDED
        return self._closing(bar, place, letters) if lacks else bar

    # --- the whole bar ------------------------------------------------------------------------------------

    def _line(self, bar: Bar, items: tuple[BarItem, ...]) -> SourceBar:
        signs = self._hand.target.signs
        typed = " ".join(encoded.event(item, signs) for item in items if isinstance(item, Event)) or OMITS
        return SourceBar(self._siglum, items, bar.span, "", OMITS if not items else typed)

    def _items(self, place: Place) -> Iterator[BarItem]:
        """All that the other source has: its events and bar lines, that at the end only where it is another."""
        other, bar = place.other, place.bar
        force = None if _lone(place) else place.force
        events = list(forced([(self._hand.event(one.event), one.force) for one in other.told], force))
        lines = list(other.lines)
        for number, event in enumerate(events):
            yield from (Barline(kind, bar.span) for at, kind in lines if at == number)
            yield event
        if not events:
            yield Event(bar.span, None, Body.NOTHING)
        yield from (Barline(kind, bar.span) for at, kind in lines if at >= len(events))
        closing = other.closing
        shown = closing is not place.source.closing or any(at >= len(events) for at, _ in lines)
        if closing is not None and shown:
            yield Barline(closing, bar.span)

    # --- single places --------------------------------------------------------------------------------------

    def _changed(self, place: Place) -> list[int] | None:
        """The events that differ, by their number from 0; None where the whole bar must be given."""
        bar, (edition, source, other) = place.bar, place[1:4]
        events = bar.events
        plain = bar.ditto is None and not any(not variant.witness for variant in bar.variants)
        times = [[(one.onset, one.length) for one in view.told] for view in (edition, source, other)]
        if not plain or len(events) != len(edition.told) or not times[0] == times[1] == times[2]:
            return None
        if _inside(other, self._level) != _inside(source, self._level):
            return None
        changed = [number for number in range(len(events)) if self._event_differs(number, place)]
        few = max(FEW, min(MOST, len(events) // 2))
        if len(changed) > few or any(other.told[number].event.body is Body.AS_BEFORE for number in changed):
            return None
        return changed

    def _event_differs(self, number: int, place: Place) -> bool:
        level, other = self._level, told_key(place.other.told[number], self._level, self._two)
        return any(other != told_key(view.told[number], level, self._one) for view in (place.edition, place.source))

    def _at_event(self, bar: Bar, number: int, place: Place, letters: _Letters) -> Bar:
        event, here, there = bar.events[number], place.source.told[number], place.other.told[number]
        made = self._hand.event(there.event)
        single = self._one_stop(event, here, there)
        if single is not None:
            at, reading = single
            stop = event.stops[at]
            letter = letters.at(stop.labels)
            marked = replace(stop, labels=_with(stop.labels, letter, event.span))
            stops = tuple(marked if place == at else each for place, each in enumerate(event.stops))
            text = encoded.sign(reading, self._hand.target.signs)
            return self._noted(_put(bar, event, replace(event, stops=stops)), letter, text)
        head = event.head or Head(None, event.span)
        if head.value is not None and self._lacks_sign(here, there):
            letter = letters.at(head.labels)
            head = replace(head, labels=_with(head.labels, letter, event.span))
            return self._noted(_put(bar, event, replace(event, head=head)), letter, OMITS)
        letter = letters.at(head.opening_labels)
        head = replace(head, opening_labels=_with(head.opening_labels, letter, event.span))
        text = encoded.event(self._unsigned(made, here, there), self._hand.target.signs)
        return self._noted(_put(bar, event, replace(event, head=head)), letter, text)

    def _lacks_sign(self, here: Told, there: Told) -> bool:
        """Whether all that differs is a rhythm sign, which the other source does not print again."""
        keys = told_key(here, self._level, self._one), told_key(there, self._level, self._two)
        silent = self._level is Level.EVERYTHING and here.force == there.force
        return silent and keys[0][:-3] == keys[1][:-3] and keys[1][-3:] == ("", "", False)

    def _unsigned(self, event: Event, here: Told, there: Told) -> Event:
        """The other source's event; its rhythm sign goes without saying where that value is in force anyway."""
        head = event.head
        if here.force != there.force:
            return next(forced([(event, there.force)], here.force))
        value = head.value if head is not None else None
        silent = self._level is not Level.EVERYTHING or (value is not None and value.act is Act.ADDED)
        if head is None or value is None or not silent or head.group is not None or head.second is not None:
            return event
        bare = replace(head, value=None, beamed=False)
        return replace(event, head=bare if bare.marks else None)

    def _one_stop(self, event: Event, here: Told, there: Told) -> tuple[int, Sign] | None:
        """The one stop that differs, by its place in the event as typed, and what the other source has in its stead."""
        mine, other = here.event.stops, there.event.stops
        if not len(event.stops) == len(mine) == len(other) or self._beside(here, self._one) != self._beside(
            there, self._two
        ):
            return None
        keys = [sorted(stop_keys(stops, naming)) for stops, naming in ((mine, self._one), (other, self._two))]
        if self._level is Level.SOUND:
            keys = [[(turn, line, what, 0, False, ()) for turn, line, what, *_ in side] for side in keys]
        left = [key for key in keys[0] if key not in keys[1]]
        right = [key for key in keys[1] if key not in keys[0]]
        if len(left) != 1 or len(right) != 1 or left[0][0] != right[0][0] or left[0][4:] != right[0][4:]:
            return None
        at = self._stop_on(event.stops, left[0][1])
        stop = next((stop for stop in self._hand.event(there.event).stops if _line(stop) == right[0][1]), None)
        if at is None or stop is None or stop.reading.source is None:
            return None
        return at, stop.reading.source

    def _stop_on(self, stops: tuple[Stop, ...], line: str) -> int | None:
        found = [at for at, stop in enumerate(stops) if _line(stop) == line]
        return found[0] if len(found) == 1 else None

    # --- bar lines, notes -------------------------------------------------------------------------------------

    def _closing(self, bar: Bar, place: Place, letters: _Letters) -> Bar:
        line = bar.closing
        letter = letters.at(line.labels)
        kind = place.other.closing
        labelled = replace(line, labels=_with(line.labels, letter, line.span), typed=True)
        return self._noted(replace(bar, closing=labelled), letter, OMITS if kind is None else kind.value)

    def _noted(self, bar: Bar, letter: str, text: str) -> Bar:
        note = NoteLine(NoteKind.WITNESS, letter, bar.span, self._siglum, text)
        return replace(bar, notes=(*bar.notes, note))


def _inside(view: View, level: Level) -> tuple[tuple[int, BarlineKind], ...]:
    """The bar lines inside, as far as the level sees them."""
    return tuple((at, kind) for at, kind in view.lines if closing_key(replace(view, closing=kind), level) is not None)


def _lone(place: Place) -> bool:
    """Whether signs hold for their own event only."""
    return any(one.force is None for one in place.source.told)


def _line(stop: Stop) -> str:
    sign = stop.reading.source or stop.reading.edition
    return "" if sign is None else sign.course_sign or str(sign.course)


def _put(bar: Bar, old: Event, new: Event) -> Bar:
    return replace(bar, items=tuple(new if item is old else item for item in bar.items))


def _with(labels: tuple[Label, ...], letter: str, span: Span) -> tuple[Label, ...]:
    return labels if any(label.letter == letter for label in labels) else (*labels, Label(letter, span))


class _Letters:
    """Letters for the labels of a bar: that of the sign, if it stands nowhere else, or else the next one."""

    def __init__(self, bar: Bar, siglum: str) -> None:
        used = letters_of(bar)
        said = {note.label for note in bar.notes if note.kind is NoteKind.WITNESS and note.who == siglum}
        self._once = {letter for letter in used if used.count(letter) == 1} - said
        last = max(used, default="")
        self._free = [letter for letter in _LETTERS if letter not in used]
        self._free.sort(key=lambda letter: letter < last)

    def __len__(self) -> int:
        return len(self._free)

    def at(self, labels: tuple[Label, ...]) -> str:
        """A letter for a sign that has these labels."""
        own = next((label.letter for label in labels if label.letter in self._once), "")
        return own or self._free.pop(0)
