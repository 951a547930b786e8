"""A piece as chords to be placed, in order: what sounds, how long it rings, what the hands do with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pipeline.desk.move.record import Asked, Chord, Place, Tone
from pipeline.model.arpeggio import spread
from pipeline.model.heading import Heading, Key
from pipeline.model.instrument import Instrument
from pipeline.model.record import replace
from pipeline.model.signs import Body
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.time import Ticks
from pipeline.model.voiced import LedNote, LedPiece

_STRUMS = frozenset("ud")
_BARRE = "b"


def keys_of(piece: SoundingPiece) -> tuple[Key | None, ...]:
    """The key that each stretch between two retunings begins in."""
    _, numbers = stretches(piece)
    return tuple(piece.bars[numbers.index(number)].key for number in sorted(set(numbers))) or (None,)


def stretches(piece: SoundingPiece) -> tuple[tuple[Instrument, ...], tuple[int, ...]]:
    """The instrument of each stretch between two retunings, and for each bar the number of its stretch."""
    found: list[Instrument] = []
    numbers = []
    for bar in piece.bars:
        if not found or bar.instrument is not found[-1]:
            found.append(bar.instrument)
        numbers.append(len(found) - 1)
    return tuple(found) or (piece.heading.instrument,), tuple(numbers)


def chords_of(led: LedPiece, asked: Asked) -> tuple[Chord, ...]:
    """Every event that strikes or holds something and is written out. Linear time."""
    piece = led.sounding
    notes = {note.id: note for note in led.notes}
    rings = _rings(piece, notes)
    kept = kept_places(piece, asked)
    bells = _bells(led)
    _, numbers = stretches(piece)
    found: list[Chord] = []
    skipped: SoundingEvent | None = None
    for bar, number in zip(piece.bars, numbers, strict=True):
        if bar.bar.ditto is not None:
            skipped = bar.events[-1] if bar.events else skipped
            continue
        for event in bar.events:
            if event.event.body is not Body.STOPS or not event.stops:
                continue
            chord = _chord(piece.heading, bar, event, notes, rings, asked, kept)
            if skipped is not None:
                chord = replace(chord, again=tuple(stop.stop for stop in skipped.stops))
                skipped = None
            if event.id in bells:
                chord = replace(chord, tones=tuple(replace(tone, bell=True) for tone in chord.tones))
            found.append(replace(chord, tuning=number))
    return tuple(found)


def _bells(led: LedPiece) -> frozenset[str]:
    """The events of scales that run across courses, but for the first of each."""
    ends = dict(led.bells)
    found: set[str] = set()
    waiting: set[str] = set()
    for bar in led.sounding.bars:
        for event in bar.events:
            found |= {event.id} if waiting else set()
            for stop in event.stops:
                waiting.discard(stop.id)
                waiting |= {ends[stop.id]} if stop.id in ends else set()
    return frozenset(found)


def _rings(piece: SoundingPiece, notes: Mapping[str, LedNote]) -> dict[str, Ticks]:
    """Until when each note rings: as long as it is read to last, or until its course is struck again."""
    found: dict[str, Ticks] = {}
    again: dict[int, Ticks] = {}
    for bar in reversed(piece.bars):
        for event in reversed(bar.events):
            for stop in event.stops:
                note = notes.get(stop.id)
                end = event.onset + (note.length if note is not None else event.length)
                found[stop.id] = min(end, again.get(stop.course, end))
            for stop in event.stops:
                if not stop.held:
                    again[stop.course] = event.onset
    return found


def _chord(
    heading: Heading,
    bar: SoundingBar,
    event: SoundingEvent,
    notes: Mapping[str, LedNote],
    rings: Mapping[str, Ticks],
    asked: Asked,
    kept: Mapping[int, Place],
) -> Chord:
    struck = sorted((stop for stop in event.stops if not stop.held), key=lambda stop: (stop.order, -stop.course))
    lowest = max((stop.course for stop in struck), default=0)
    marks = event.event.marks
    tones = tuple(
        _tone(stop, notes.get(stop.id), rings[stop.id], bar.instrument, lowest, asked, kept.get(id(stop.stop)))
        for stop in struck
    )
    held = tuple(stop.course for stop in event.stops if stop.held)
    last = _last(heading, bar, event)
    highest = max((stop.pitch for stop in struck), default=0)
    return Chord(
        bar.index,
        event.id,
        event.onset,
        tones,
        held,
        strum=bool(marks & _STRUMS),
        spread_up=last is not None and last.pitch == highest,
        barre=_BARRE in marks,
    )


def _last(heading: Heading, bar: SoundingBar, event: SoundingEvent) -> SoundingStop | None:
    """The note that a spread chord ends with."""
    played = spread(event, bar.instrument)
    return played.chosen(heading.arpeggio)[-1] if played is not None else None


def _tone(
    stop: SoundingStop,
    note: LedNote | None,
    until: Ticks,
    instrument: Instrument,
    lowest: int,
    asked: Asked,
    kept: Place | None,
) -> Tone:
    sounds = stop.pitch + asked.interval.semitones
    restored = note.restored if note is not None else None
    octaves = 0 if restored is None or restored.asked else restored.octaves
    return Tone(
        stop.stop,
        sounds,
        sounds + 12 * octaves,
        stop.course,
        stop.fret,
        stop.order,
        bass=stop.course == lowest,
        open_bass=asked.interval.of(stop.open_string) if instrument.is_diapason(stop.course) else None,
        slurred=stop.slurred,
        until=until,
        beyond=stop.fret > instrument.tied_frets,
        doubtful=restored is not None and restored.asked,
        kept=kept,
    )


# --- what the player has chosen before --------------------------------------------------------------------------


def kept_places(piece: SoundingPiece, asked: Asked) -> dict[int, Place]:
    """The places of an earlier moving, by the ``id()`` of the source's stops; only those that sound as they should.
    Bars are matched by their number, events by their place in the bar."""
    if asked.keep is None:
        return {}
    earlier = {bar.index: bar for bar in asked.keep.bars}
    found: dict[int, Place] = {}
    for bar in piece.bars:
        other = earlier.get(bar.index)
        if bar.bar.ditto is None and other is not None and len(other.events) == len(bar.events):
            for event, twin in zip(bar.events, other.events, strict=True):
                found.update(_matched(event, twin, asked.interval.semitones))
    return found


def _matched(event: SoundingEvent, twin: SoundingEvent, semitones: int) -> Iterator[tuple[int, Place]]:
    """Each struck stop with the one of the earlier moving that has its pitch class: the nearest in pitch, then the one
    on the course with the same rank."""
    left = sorted((stop for stop in twin.stops if not stop.held), key=lambda stop: -stop.course)
    for stop in sorted((stop for stop in event.stops if not stop.held), key=lambda stop: -stop.course):
        wanted = stop.pitch + semitones
        same = [other for other in left if not (other.pitch - wanted) % 12 and other.order == stop.order]
        if same:
            best = min(same, key=lambda other: abs(other.pitch - wanted))
            left.remove(best)
            yield id(stop.stop), (best.course, best.fret)
