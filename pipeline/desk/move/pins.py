"""The octaves that lines are meant in, kept: pinned in the moved text wherever it would be read otherwise.

New courses make a new reading: a line that now lies on courses tuned down may be taken to be meant an octave higher,
or no longer. What the source's reading knows is pinned; where that asks, the moved text may ask too.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pipeline.desk.move.record import Chord, Placed, Tone, Tunings
from pipeline.edition.lead import lead
from pipeline.model.pitch import Semitones
from pipeline.model.record import replace
from pipeline.model.signs import Event, Label, Stop
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Bar, NoteKind, NoteLine, Pin, Tablature
from pipeline.model.text import Span
from pipeline.source.encoding import write_encoding

#: A pin may change how its neighbours are read; after so many rounds the rest is left.
ROUNDS = 3
_LETTERS = "zyxwvutsrqponmlkjihgfedcba"
#: Octaves by the typed bar, its event (from 1) and the course.
_Octaves = dict[tuple[int, int, int], int]


def as_meant(
    tablature: Tablature,
    piece: SoundingPiece,
    chords: Sequence[Chord],
    found: Placed,
    tunings: Tunings,
    read: Callable[[str], tuple[SoundingPiece, Song]],
) -> Tablature:
    """The moved tablature with pins where its own reading would put a line into another octave than the source's.
    ``piece`` is the source, ``read`` reads a moved text."""
    if not any(instrument.re_entrant for instrument in tunings.after):
        return tablature
    typed = _typed_bars(piece)
    for _ in range(ROUNDS):
        octaves = _otherwise(*read(write_encoding(tablature)), chords, found, tunings, typed)
        if not octaves:
            break
        tablature = _pinned(tablature, octaves)
    return tablature


def _typed_bars(piece: SoundingPiece) -> list[int]:
    """For each sounding bar the number of the typed one, from 0."""
    numbers = {id(bar): number for number, bar in enumerate(piece.tablature.bars)}
    return [numbers[id(bar.bar)] for bar in piece.bars]


def _otherwise(
    moved: SoundingPiece,
    song: Song,
    chords: Sequence[Chord],
    found: Placed,
    tunings: Tunings,
    typed: Sequence[int],
) -> _Octaves:
    """The notes that are read into another octave than the source's, each with the octave that it is meant in. A stop
    that sounds again without being typed again is read each time; one reading that differs is enough."""
    wanted = _meant(chords, found, tunings, typed)
    places = {
        id(stop.stop): (typed[bar.index], number, stop.course)
        for bar in moved.bars
        for number, event in enumerate(bar.events if bar.bar.ditto is None else (), start=1)
        for stop in event.stops
    }
    read: dict[tuple[int, int, int], set[int | None]] = {}
    for note in lead(moved, song).notes:
        reading = note.restored
        octave = 0 if reading is None else None if reading.asked else reading.octaves
        read.setdefault(places[id(note.stop.stop)], set()).add(octave)
    return {place: octave for place, octave in wanted.items() if read.get(place, {octave}) != {octave}}


def _meant(chords: Sequence[Chord], found: Placed, tunings: Tunings, typed: Sequence[int]) -> _Octaves:
    """The octave that each note is meant in, but for those that the source's own reading asks about."""
    octaves: _Octaves = {}
    for chord in chords:
        instrument = tunings.after[chord.tuning]
        number = int(chord.event.rpartition("e")[2])
        for tone in chord.tones:
            place = found.places[id(tone.stop)]
            if place is not None and not tone.doubtful:
                course, fret = place
                sounding = instrument.courses[course - 1].pitch.semitones + fret
                meant = _octaves(tone, sounding, down=course in instrument.re_entrant)
                octaves[typed[chord.bar], number, course] = meant
    return octaves


def _octaves(tone: Tone, sounding: Semitones, *, down: bool) -> int:
    """In which octave a line is meant from where its note sounds now: one up where it was so before, or where the
    search put it low on a course tuned down. Any other octave that it was moved by is the line's own now."""
    if sounding == tone.sounds:
        return (tone.meant - sounding) // 12
    return int(down and sounding == tone.meant - 12)


def _pinned(tablature: Tablature, octaves: _Octaves) -> Tablature:
    by_bar: dict[int, _Octaves] = {}
    for place, octave in octaves.items():
        by_bar.setdefault(place[0], {})[place] = octave
    body = list(tablature.body)
    number = -1
    for at, item in enumerate(body):
        if isinstance(item, Bar):
            number += 1
            if number in by_bar:
                body[at] = _bar(item, number, by_bar[number])
    return replace(tablature, body=tuple(body))


def _bar(bar: Bar, number: int, octaves: _Octaves) -> Bar:
    """The bar with a label at each note that is pinned, one letter for each octave, as far as letters go."""
    used = {note.label for note in bar.notes} | {note.pin.lasts_to for note in bar.notes if note.pin is not None}
    free = iter([letter for letter in _LETTERS if letter not in used])
    known = {note.pin.octave: note.label for note in bar.notes if note.pin is not None and _only_octave(note.pin)}
    letters = {octave: known.get(octave) or next(free, "") for octave in sorted(set(octaves.values()))}
    items = list(bar.items)
    event = 0
    for at, item in enumerate(items):
        if isinstance(item, Event):
            event += 1
            stops = tuple(_labelled(stop, octaves, letters, (number, event)) for stop in item.stops)
            items[at] = replace(item, stops=stops)
    notes = [
        NoteLine(NoteKind.PIN, letter, bar.span, "", "", Pin(octave=octave))
        for octave, letter in letters.items()
        if letter and octave not in known
    ]
    return replace(bar, items=tuple(items), notes=(*bar.notes, *notes))


def _only_octave(pin: Pin) -> bool:
    return pin == Pin(octave=pin.octave) and pin.octave is not None


def _labelled(stop: Stop, octaves: _Octaves, letters: dict[int, str], event: tuple[int, int]) -> Stop:
    course = stop.sign.course if stop.sign is not None else None
    octave = octaves.get((*event, course)) if course is not None else None
    if octave is None or not letters[octave] or any(label.letter == letters[octave] for label in stop.labels):
        return stop
    place = Span(stop.span.file, stop.span.line, stop.span.end, stop.span.end)
    return replace(stop, labels=(*stop.labels, Label(letters[octave], place)))
