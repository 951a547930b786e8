"""What a reading says, bar by bar, so that two readings can be held side by side; and the changes to a piece under
which a reading should stay what it was: repeated, lowered, pinned, made longer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.edition.lead import NO_SONG, lead
from pipeline.model.heading import Heading, Key
from pipeline.model.instrument import Course, Instrument
from pipeline.model.pitch import SpelledPitch, from_fifths
from pipeline.model.record import replace
from pipeline.model.signs import Label
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import NoteKind, NoteLine, Pin
from pipeline.model.text import SourceText
from pipeline.model.time import Ticks
from pipeline.model.voiced import LedNote, Part

#: A label that no piece of the tests uses.
_LABEL = "z"


@dataclass(frozen=True)
class Reading:
    """What is read into one stop. ``offset`` after the beginning of its bar."""

    offset: Ticks
    course: int
    order: int
    voice: int
    part: str
    length: Ticks
    octaves: int
    asked: bool

    @property
    def name(self) -> str:
        """Tune, bass, or what lies between: voices are numbered anew when the piece has more of them or fewer."""
        return self.part if self.part in (Part.UPPER.value, Part.BASS.value) else "inner"

    @property
    def printed(self) -> tuple[str, Ticks, int, bool]:
        """All but the number of the voice."""
        return self.name, self.length, self.octaves, self.asked


Bars = tuple[tuple[Reading, ...], ...]


def read_bars(piece: SoundingPiece, song: Song = NO_SONG) -> Bars:
    """The reading of a piece, stop by stop within each bar."""
    found: dict[int, list[Reading]] = defaultdict(list)
    bars = {event.id: bar for bar in piece.bars for event in bar.events}
    for note in lead(piece, song).notes:
        bar = bars[note.id.partition("c")[0]]
        found[bar.index].append(_reading(note, note.onset - bar.onset))
    by_place = (sorted(found[bar.index], key=lambda one: (one.offset, one.course, one.order)) for bar in piece.bars)
    return tuple(tuple(bar) for bar in by_place)


def _reading(note: LedNote, offset: Ticks) -> Reading:
    restored = note.restored
    return Reading(
        offset,
        note.stop.course,
        note.stop.order,
        note.voice,
        note.part.value,
        note.length,
        restored.octaves if restored is not None and not restored.asked else 0,
        restored is not None and restored.asked,
    )


# --- the same bar ---


def printed(bar: SoundingBar) -> tuple[object, ...]:
    """All of a bar that a reading may go by: strings, frets, values, marks, its bar line, its tuning."""
    events = tuple(
        (
            event.onset - bar.onset,
            event.length,
            event.sign,
            event.rest,
            event.event.marks,
            tuple((stop.course, stop.fret, stop.strings, stop.held, stop.slurred) for stop in event.stops),
        )
        for event in bar.events
    )
    pins = tuple(note.pin for note in bar.bar.notes if note.pin is not None)
    ends = (bar.bar.closing.kind, bar.ending, tuple(line.kind for line in bar.directives))
    return bar.length, bar.metre, bar.key, bar.instrument, events, pins, ends


def twins(piece: SoundingPiece, neighbours: int) -> Iterator[list[int]]:
    """Groups of bars, by index, that are printed alike and stand between so many bars on each side that are too."""
    looks = [printed(bar) for bar in piece.bars]
    groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for at in range(neighbours, len(looks) - neighbours):
        groups[tuple(looks[at - neighbours : at + neighbours + 1])].append(at)
    return (group for group in groups.values() if len(group) > 1 and piece.bars[group[0]].events)


# --- pieces made of bars as typed ---


@dataclass(frozen=True)
class Typed:
    """A text in its heading and its bars, each with the lines under it."""

    heading: str
    bars: tuple[str, ...]

    @classmethod
    def of(cls, text: str) -> Typed:
        """Raises ValueError where directives stand between the bars."""
        heading: list[str] = []
        bars: list[list[str]] = []
        for line in text.splitlines():
            word = line.partition(" ")[0]
            if word == "|":
                bars.append([line.removesuffix(" |||")])
            elif not bars:
                heading.append(line)
            elif word in ("v", "b", "1") or word.startswith('"'):
                bars[-1].append(line)
            elif word:
                raise ValueError(line)
        return cls("\n".join(heading), tuple("\n".join(bar) for bar in bars))

    def text(self, bars: Sequence[str]) -> SourceText:
        """The same heading over other bars."""
        return SourceText.of("law.intav", "\n".join((self.heading, *bars, "")))


# --- lowered ---


def lowered(piece: SoundingPiece, semitones: int, fifths: int) -> SoundingPiece:
    """The same strings and frets on an instrument that is tuned so many semitones lower; the key goes with it."""

    def pitch(old: SpelledPitch) -> SpelledPitch:
        return from_fifths(old.fifths - fifths, old.semitones - semitones)

    def key(old: Key | None) -> Key | None:
        return old and replace(old, fifths=old.fifths - fifths)

    def instrument(old: Instrument) -> Instrument:
        courses = tuple(Course(one.number, tuple(map(pitch, one.strings))) for one in old.courses)
        return replace(old, courses=courses)

    def bar(old: SoundingBar) -> SoundingBar:
        events = tuple(
            replace(
                event,
                stops=tuple(
                    replace(
                        stop,
                        strings=tuple(string - semitones for string in stop.strings),
                        open_string=pitch(stop.open_string),
                    )
                    for stop in event.stops
                ),
            )
            for event in old.events
        )
        return replace(old, key=key(old.key), instrument=instrument(old.instrument), events=events)

    heading: Heading = replace(
        piece.heading, key=key(piece.heading.key), instrument=instrument(piece.heading.instrument)
    )
    return replace(piece, heading=heading, bars=tuple(map(bar, piece.bars)))


# --- pinned ---


def pinned(piece: SoundingPiece, stop_id: str, pin: Pin) -> SoundingPiece:
    """The same piece with a pin on one stop."""
    event_id = stop_id.partition("c")[0]
    at = next(bar.index for bar in piece.bars if any(event.id == event_id for event in bar.events))
    bar = piece.bars[at]
    events = tuple(
        replace(
            event,
            stops=tuple(
                replace(stop, stop=replace(stop.stop, labels=(Label(_LABEL, stop.stop.span),)))
                if stop.id == stop_id
                else stop
                for stop in event.stops
            ),
        )
        for event in bar.events
    )
    note = NoteLine(NoteKind.PIN, _LABEL, bar.bar.span, pin=pin)
    bar = replace(bar, events=events, bar=replace(bar.bar, notes=(*bar.bar.notes, note)))
    return replace(piece, bars=(*piece.bars[:at], bar, *piece.bars[at + 1 :]))


def phrases(piece: SoundingPiece) -> tuple[int, ...]:
    """For each bar the number of its phrase: a phrase ends with a strain, or before a bar that begins with a rest."""
    number, found = 0, [0]
    for before, after in pairwise(piece.bars):
        events = after.events
        number += before.bar.closing.kind.value != "|" or bool(events and events[0].rest)
        found.append(number)
    return tuple(found)


def changed(before: Bars, after: Bars) -> Mapping[int, int]:
    """Bars in which stops are read otherwise, with how many."""
    counts = {
        at: sum(a != b for a, b in zip(one, other, strict=True))
        for at, (one, other) in enumerate(zip(before, after, strict=True))
    }
    return {at: count for at, count in counts.items() if count}
