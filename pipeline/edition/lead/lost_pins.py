"""Pins that reach no struck stop, or say nothing there: each is told, none is passed over."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes import reading
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.signs import Unread
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import NoteKind, NoteLine
from pipeline.model.time import Ticks
from pipeline.source.parse.references import labels_of

_ON_A_STOP = 'A pin belongs to a struck stop: 3:2"a, and under the bar "a > voice 2'
_ONE_LINE = 'Type them on one line: "a > voice 2, lasts 2'
_LATER = "Put the second label after a stop that is struck later in this bar, or type a length: lasts 2."


def lost_pins(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Every pin that the reading never sees, at its line, in order of bars: its label stands at no struck stop, its
    stop has another pin already, or its ``lasts to`` names no later stop. A bar that could not be read whole is left
    to what was said of it (this project's own rule, no source)."""
    for bar in piece.bars:
        for line in bar.directives:
            typed = {"", *(label.letter for label in labels_of(line))}
            for note in line.notes:
                if note.kind is NoteKind.PIN and note.label in typed:
                    yield _told(note, "it stands under no bar", _ON_A_STOP, bar.label)
        pins = [note for note in bar.bar.notes if note.kind is NoteKind.PIN]
        if pins and bar.repeats is None and not any(isinstance(item, Unread) for item in bar.bar.items):
            yield from _of_bar(bar, pins)


def _of_bar(bar: SoundingBar, pins: list[NoteLine]) -> Iterator[Diagnostic]:
    struck: dict[str, list[Ticks]] = {}
    named: dict[str, Ticks] = {}
    second: set[str] = set()
    pinned = {note.label for note in pins}
    typed = {"", *(label.letter for label in labels_of(bar.bar))}  # the parser has told of any other letter
    for event in bar.events:
        for stop in event.stops:
            letters = [label.letter for label in stop.stop.labels]
            named.update(dict.fromkeys(letters, event.onset))
            if not stop.held:
                for letter in letters:
                    struck.setdefault(letter, []).append(event.onset)
                second.update([letter for letter in letters if letter in pinned][1:])
    last = {note.label: note for note in pins}
    for note in pins:
        pin = note.pin
        ends = pin.lasts_to if pin is not None else ""
        if not {note.label, ends} <= typed:
            continue
        if note.label not in struck:
            yield _told(note, "its label stands at no struck stop of the bar", _ON_A_STOP, bar.label)
        elif last[note.label] is not note:
            yield _told(note, "a later line pins the same label", _ONE_LINE, bar.label)
        elif note.label in second:
            yield _told(note, "a stop that it labels has another pin before it", _ONE_LINE, bar.label)
        elif ends and named.get(ends, 0) <= max(struck[note.label]):
            yield _told(note, f"no stop after it has the label “{ends}”", _LATER, bar.label)


def _told(note: NoteLine, why: str, hint: str, bar: str) -> Diagnostic:
    return Diagnostic(reading.PIN_IMPOSSIBLE, note.span, f"This pin cannot be followed: {why}.", hint, bar=bar)
