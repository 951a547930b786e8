"""What the voice-leading stage starts from: every stroke in order, with the editor's pins and the hold lines."""

from __future__ import annotations

from pipeline.model.record import Record
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.tablature import BarlineKind, DirectiveKind, NoteKind, Pin
from pipeline.model.time import Ticks

#: Marks of the hand over an event: down and up.
_STRUMMING = frozenset("du")


class Struck(Record, frozen=True):
    """One struck or slurred stop. ``held_to`` is the end of the last event that its hold line reaches (0: none);
    ``pinned_to`` the moment to which the editor pins it by ``lasts`` or ``lasts to`` (0: not)."""

    stop: SoundingStop
    event: SoundingEvent
    bar: SoundingBar
    pin: Pin | None
    held_to: Ticks = 0
    pinned_to: Ticks = 0


def strokes_of(piece: SoundingPiece) -> list[Struck]:
    """Every stroke in order of time, within an event from the last course to the first. The pins of a bar hold where
    it is typed as the same again."""
    held = held_to(piece)
    found: list[Struck] = []
    for bar in piece.bars:
        pins = {note.label: note.pin for note in _typed(bar, piece).bar.notes if note.kind is NoteKind.PIN}
        moments = _label_onsets(bar) if any(pin is not None and pin.lasts_to for pin in pins.values()) else {}
        for event in bar.events:
            struck = [stop for stop in event.stops if not stop.held]
            if len(struck) > 1:
                struck.sort(key=lambda stop: -stop.course)
            for stop in struck:
                pin = _pin(stop, pins) if pins and stop.stop.labels else None
                pinned_to = 0 if pin is None else _pinned_to(pin, event.onset, moments, piece)
                found.append(Struck(stop, event, bar, pin, held.get(stop.id, 0), pinned_to))
    return found


def strummed(event: SoundingEvent) -> bool:
    """True where a mark says that the hand strikes the chord, down or up."""
    return bool(event.event.marks & _STRUMMING)


def held_to(piece: SoundingPiece) -> dict[str, Ticks]:
    """Stop id → end of the last event that a hold line for it reaches; under a star that says to hold, the next stroke
    on its course or the end of its bar, whichever comes first (this project's own rule, no source)."""
    found: dict[str, Ticks] = {}
    last: dict[int, str] = {}
    for bar in piece.bars:
        starred: dict[int, str] = {}
        for event in bar.events:
            for stop in event.stops:
                if not stop.held:
                    last[stop.course] = stop.id
                    if (before := starred.pop(stop.course, "")) and found[before] > event.onset:
                        found[before] = event.onset
                    if stop.stop.starred:
                        starred[stop.course] = stop.id
                        found[stop.id] = bar.end
                elif stop.course in last:
                    found[last[stop.course]] = event.onset + event.length
    return found


def closed(bar: SoundingBar, after: SoundingBar) -> bool:
    """True where nothing rings on: at a double bar or repeat, a new section, a gap, another ending."""
    return (
        bar.bar.closing.kind not in (BarlineKind.SINGLE, BarlineKind.DASHED)
        or after.opening is not None
        or bar.ending != after.ending
        or any(line.kind in (DirectiveKind.SECTION, DirectiveKind.GAP) for line in after.directives)
    )


def closing_walls(piece: SoundingPiece) -> list[Ticks]:
    """For each bar the end of the strain that it stands in, past which nothing rings."""
    bars = piece.bars
    walls = [0] * len(bars)
    for bar in reversed(bars):
        last = bar.index + 1 == len(bars)
        walls[bar.index] = bar.end if last or closed(bar, bars[bar.index + 1]) else walls[bar.index + 1]
    return walls


def silences(piece: SoundingPiece) -> list[Ticks]:
    """Where nothing with a value rings on: the onsets of printed rests, and of events without a value after one that
    has one."""
    found: list[Ticks] = []
    valued = False
    for bar in piece.bars:
        for event in bar.events:
            if event.rest or (valued and event.sign is None):
                found.append(event.onset)
            valued = event.sign is not None
    return found


def _typed(bar: SoundingBar, piece: SoundingPiece) -> SoundingBar:
    """The bar that is written out."""
    while bar.repeats is not None:
        bar = piece.bars[bar.repeats]
    return bar


def _label_onsets(bar: SoundingBar) -> dict[str, Ticks]:
    return {label.letter: event.onset for event in bar.events for stop in event.stops for label in stop.stop.labels}


def _pinned_to(pin: Pin, onset: Ticks, moments: dict[str, Ticks], piece: SoundingPiece) -> Ticks:
    if pin.lasts is not None:
        ratio = piece.heading.values
        return onset + pin.lasts.ticks * ratio.numerator // ratio.denominator
    end = moments.get(pin.lasts_to, 0) if pin.lasts_to else 0
    return end if end > onset else 0


def _pin(stop: SoundingStop, pins: dict[str, Pin | None]) -> Pin | None:
    return next((pins[label.letter] for label in stop.stop.labels if label.letter in pins), None)
