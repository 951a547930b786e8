"""What stands at a place of the text: which bar, event and stop, which label, which part of which line."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.model.layers import LayerLine
from pipeline.model.record import Record
from pipeline.model.signs import Event, Label, Stop
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.tablature import Bar, BodyItem, Directive, NoteLine
from pipeline.model.text import Span
from pipeline.source.parse.references import labels_of


class Here(Record, frozen=True):
    """An event at a place, its bar, and the stop, where the place is on one: ``typed`` as it stands there, ``stop`` as
    it sounds, None where it does not."""

    bar: SoundingBar
    event: SoundingEvent
    typed: Stop | None
    stop: SoundingStop | None


def within(span: Span, line: int, column: int) -> bool:
    """Whether a place lies in a stretch, or directly behind it."""
    return span.line == line and span.start <= column <= span.end


def here(piece: SoundingPiece, line: int, column: int) -> Here | None:
    """The event typed at a place. Where two meet, the one that begins there."""
    found: Here | None = None
    for bar in piece.bars:
        if bar.bar.ditto is not None or bar.bar.span.line > line:
            continue
        for event in bar.events:
            if within(event.event.span, line, column):
                found = _stop_at(bar, event, line, column)
    return found


def _stop_at(bar: SoundingBar, event: SoundingEvent, line: int, column: int) -> Here:
    typed = [stop for stop in event.event.stops if within(stop.span, line, column)]
    if not typed:
        return Here(bar, event, None, None)
    stop = typed[-1]
    sounding = next((one for one in event.stops if one.stop is stop), None)
    return Here(bar, event, stop, sounding)


def dittos_at(piece: SoundingPiece, line: int, column: int) -> tuple[SoundingBar, ...]:
    """The bars that a printed ditto at a place stands for."""
    return tuple(
        bar
        for bar in piece.bars
        if bar.bar.ditto is not None and bar.repeats is not None and within(bar.bar.ditto.span, line, column)
    )


def written_out(piece: SoundingPiece, bar: SoundingBar) -> SoundingBar:
    """The bar that a ditto stands for in the end: one that is typed in full."""
    while bar.repeats is not None and bar.repeats != bar.index:
        bar = piece.bars[bar.repeats]
    return bar


def owners(piece: SoundingPiece) -> Iterator[Bar | Directive]:
    """Everything in the body that note lines may stand under."""
    return (item for item in piece.tablature.body if isinstance(item, Bar | Directive))


def owner_at(piece: SoundingPiece, line: int) -> Bar | Directive | None:
    """The bar or directive that a line belongs to: the last that begins on it or before."""
    found = None
    for owner in owners(piece):
        if owner.span.line > line:
            break
        found = owner
    return found


def label_at(piece: SoundingPiece, line: int, column: int) -> tuple[Bar | Directive, Label] | None:
    """The label of a sign at a place, and the bar or directive it stands in."""
    owner = owner_at(piece, line)
    if owner is None:
        return None
    found = next((label for label in labels_of(owner) if within(label.span, line, column)), None)
    return None if found is None else (owner, found)


def note_at(piece: SoundingPiece, line: int) -> tuple[Bar | Directive, NoteLine] | None:
    """The note line that stands on a line of the text, and what it stands under."""
    owner = owner_at(piece, line)
    found = next((note for note in owner.notes if note.span.line == line), None) if owner is not None else None
    return None if owner is None or found is None else (owner, found)


def layer_at(piece: SoundingPiece, line: int) -> LayerLine | None:
    """The other line of a bar that stands on a line of the text."""
    owner = owner_at(piece, line)
    layers = owner.layers if isinstance(owner, Bar) else ()
    return next((layer for layer in layers if layer.span.line == line), None)


def item_at(piece: SoundingPiece, line: int) -> BodyItem | None:
    """The line between bars, or the bar, that begins on a line of the text."""
    return next((item for item in piece.tablature.body if item.span.line == line), None)


def head_at(event: Event, line: int, column: int) -> bool:
    """Whether a place is on what stands over an event."""
    return event.head is not None and within(event.head.span, line, column)
