"""One bar moved: its events, the lines of other sources, what is sung, and the notes under it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.desk.move.rewrite.fingers import with_fingers
from pipeline.desk.move.rewrite.losses import NOT_CARRIED_OVER, Losses
from pipeline.desk.move.rewrite.stops import Mover
from pipeline.desk.move.rewrite.strings import Strings, hold_at
from pipeline.desk.move.rewrite.sung import Sung
from pipeline.model.record import replace
from pipeline.model.signs import Body, Event, FretState, Label, Reading, Sign, Stop
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import Bar, BarItem, NoteKind, NoteLine, Pin, SourceBar
from pipeline.model.text import SourceText
from pipeline.source import encoded
from pipeline.source.parse import parse


@dataclass(slots=True)
class Bars:
    """Moves the bars of a piece, in order."""

    piece: SoundingPiece
    mover: Mover
    sung: Sung
    losses: Losses

    def bar(self, bar: Bar, sounding: Sequence[SoundingBar], strings: Strings) -> Bar:
        """A typed bar; ``sounding`` is what it stands for."""
        self.mover.here = {}
        if bar.ditto is not None:
            if sounding[-1].events:
                self.mover.repeated([stop.stop for stop in sounding[-1].events[-1].stops])
            return replace(bar, layers=self.sung.layers(bar.layers))
        items = tuple(self._items(bar.items, strings))
        self.losses.event = 0
        new = replace(bar, items=items, layers=self.sung.layers(bar.layers))
        variants = tuple(self._variant(variant, strings) for variant in bar.variants)
        return replace(new, variants=variants, notes=tuple(self._notes(bar, new, strings)))

    # --- events -----------------------------------------------------------------------------------------

    def _items(self, items: tuple[BarItem, ...], strings: Strings) -> Iterator[BarItem]:
        self.losses.event = 0
        for item in items:
            if not isinstance(item, Event):
                yield item
                continue
            self.losses.event += 1
            yield self._event(item, strings) if item.body is Body.STOPS else item

    def _event(self, event: Event, strings: Strings) -> Event:
        self.mover.choices(event, strings)
        stops = self.mover.stops(event, strings)
        if not stops:
            return replace(event, body=Body.NOTHING, stops=())
        new = replace(event, stops=stops)
        left = iter(event.stops)
        frets: dict[int, int] = {}
        for number, stop in enumerate(stops):
            old = next(one for one in left if one.span == stop.span)
            frets[number] = (old.sign.fret or 0) if old.sign is not None else 0
        return with_fingers(event, new, frets, self.losses)

    # --- other sources ----------------------------------------------------------------------------------

    def _variant(self, variant: SourceBar, strings: Strings) -> SourceBar:
        items = tuple(
            self._other(item, strings) if isinstance(item, Event) and item.body is Body.STOPS else item
            for item in variant.items
        )
        return replace(variant, items=items)

    def _other(self, event: Event, strings: Strings) -> Event:
        """An event of another source: signs go where the same ones of the bar went, else where they lie lowest."""
        taken: set[int] = set()
        stops: list[Stop] = []
        for stop in event.stops:
            moved = self._other_stop(stop, strings, taken)
            if moved is None:
                what = f"a sign of another source on course {_course(stop)} has no place and is left out"
                self.losses.say(NOT_CARRIED_OVER, stop.span, what)
            else:
                stops.append(replace(moved, after=stop.after and bool(stops)))
        return replace(event, stops=tuple(stops)) if stops else replace(event, body=Body.NOTHING, stops=())

    def _other_stop(self, stop: Stop, strings: Strings, taken: set[int]) -> Stop | None:
        reading = stop.reading
        edition = self._other_sign(reading.edition, strings, taken) if reading.edition is not None else None
        if reading.source is reading.edition:
            source = edition
        else:
            source = self._other_sign(reading.source, strings, set()) if reading.source is not None else None
        if (edition is None) != (reading.edition is None) or (source is None) != (reading.source is None):
            return None
        return replace(stop, reading=Reading(reading.act, edition, source, reading.doubtful, reading.source_doubtful))

    def _other_sign(self, sign: Sign, strings: Strings, taken: set[int]) -> Sign | None:
        if sign.state is FretState.HOLD and sign.course is not None:
            held = self.mover.last.get(sign.course)
            return hold_at(held[0], strings.signs) if held is not None and held[0] not in taken else None
        if sign.state is not FretState.READ or sign.course is None or sign.fret is None:
            return strings.unplaced(sign)
        place = self.mover.elsewhere((sign.course, sign.fret), sign.course, strings, taken)
        if place is None:
            return None
        taken.add(place[0])
        return strings.typed(sign, place)

    # --- notes ------------------------------------------------------------------------------------------

    def _notes(self, old: Bar, new: Bar, strings: Strings) -> Iterator[NoteLine]:
        """The note lines. One whose sign is gone speaks of the whole bar; pins follow the octave."""
        before, after = _letters(old), _letters(new)
        for note in old.notes:
            gone = bool(note.label) and note.label in before and note.label not in after
            match note.kind:
                case NoteKind.PIN:
                    pinned = None if gone else self._pinned(note, old, after, strings)
                    if pinned is None:
                        self.losses.say(NOT_CARRIED_OVER, note.span, f"the pin “{note.text}” is left out")
                    else:
                        yield pinned
                case NoteKind.WITNESS:
                    of_stop = not note.label or note.label in _letters_at_stops(old)
                    text = self._witness(note.text, strings) if of_stop else note.text
                    yield replace(note, text=text, label="" if gone else note.label)
                case _:
                    yield replace(note, label="" if gone else note.label)

    def _pinned(self, note: NoteLine, bar: Bar, left: frozenset[str], strings: Strings) -> NoteLine | None:
        """A pin after the move: the octave that a line is meant in counts from where its note sounds now."""
        pin = note.pin
        if pin is None or (pin.lasts_to and pin.lasts_to not in left):
            return None
        if pin.octave is None:
            return note
        shifts = set()
        for event in bar.events:
            for stop in event.stops:
                place = self.mover.places.get(id(stop))
                if place is not None and any(label.letter == note.label for label in stop.labels):
                    shifts.add(strings.sounding(place) - self.mover.tones[id(stop)].sounds)
        octave = pin.octave - min(shifts, default=0) // 12
        if len(shifts) > 1 or abs(octave) > 1:
            rest = Pin(pin.voice, None, pin.lasts, pin.lasts_to)
            return replace(note, pin=rest) if rest != Pin() else None
        return replace(note, pin=replace(pin, octave=octave))

    def _witness(self, text: str, strings: Strings) -> str:
        """What another source has, where it is typed as events; else as typed."""
        heading = self.piece.heading
        trial = f"longneck 1\nsigns {heading.signs.value}\nmetre none\n\n| {text}\n"
        read = parse(SourceText.of("", trial))
        if read.diagnostics or len(read.value.bars) != 1:
            return text
        items = read.value.bars[0].items
        signs = [stop.sign for item in items if isinstance(item, Event) for stop in item.stops]
        if not all(sign is not None and strings.before.course(sign.course or 0) for sign in signs):
            return text
        moved = [
            self._other(item, strings) if isinstance(item, Event) and item.body is Body.STOPS else item
            for item in items
        ]
        return " ".join(encoded.event(item, strings.signs) for item in moved if isinstance(item, Event))


def _course(stop: Stop) -> str:
    sign = stop.reading.edition or stop.reading.source
    return str(sign.course or "?") if sign is not None else "?"


def _letters(bar: Bar) -> frozenset[str]:
    """Labels of the events of a bar."""
    found: list[Label] = []
    for head in (event.head for event in bar.events):
        if head is not None:
            found += [*head.opening_labels, *head.labels, *(label for group in head.marks for label in group.labels)]
    return _letters_at_stops(bar) | {label.letter for label in found}


def _letters_at_stops(bar: Bar) -> frozenset[str]:
    """Labels of the stops of a bar and of the marks at them."""
    stops = [stop for event in bar.events for stop in event.stops]
    found = [label for stop in stops for label in stop.labels]
    found += [label for stop in stops for group in stop.marks for label in group.labels]
    return frozenset(label.letter for label in found)
