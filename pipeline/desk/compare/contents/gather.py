"""The content of a piece from its records."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator

from pipeline.desk.compare.content import (
    BarContent,
    BarlineContent,
    ChordContent,
    DirectiveContent,
    EventContent,
    ItemContent,
    MarkContent,
    Marks,
    NoteReading,
    PieceContent,
    SignContent,
    StopContent,
    UnreadContent,
    VariantContent,
)
from pipeline.desk.compare.contents.headings import heading_content, piece_readings
from pipeline.desk.compare.contents.layers import sung_content, word_edited
from pipeline.desk.compare.contents.notes import NO_NOTES, BarNotes, labelled
from pipeline.desk.compare.contents.order import in_order, marks_in_order
from pipeline.desk.compare.contents.signs import mark_name, value_reading
from pipeline.model.heading import Heading
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import from_fifths
from pipeline.model.signs import Body, Event, FretState, Label, MarkGroup, Reading, Sign, Stop, Unread
from pipeline.model.song import ChordLetter, Song, SungNote
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.tablature import BarItem, Barline, Directive, SourceBreak, UnreadLine
from pipeline.model.voiced import VoicedNote, VoicedPiece


def content_of(piece: SoundingPiece, song: Song | None = None, voiced: VoicedPiece | None = None) -> PieceContent:
    """What the piece says and, with ``voiced``, what is read into it. Linear time."""
    song = song or Song()
    gather = _Gather(piece.heading, song, voiced)
    sung = _sung_by_bar(song)
    chords = _chords_by_bar(song, piece.bars)
    bars = tuple(gather.bar(bar, sung.get(bar.index, {}), chords.get(bar.index, ())) for bar in piece.bars)
    unread = (item for item in piece.tablature.body if isinstance(item, UnreadLine))
    return PieceContent(
        heading_content(piece.heading, song),
        bars,
        tuple(_directive(line) for line in piece.closing),
        piece_readings(voiced) if voiced is not None else (),
        piece.heading.signs,
        piece.heading.instrument.stopped,
        tuple(UnreadContent(line.text, line.span) for line in unread),
    )


def _sung_by_bar(song: Song) -> dict[int, dict[str, list[SungNote]]]:
    found: dict[int, dict[str, list[SungNote]]] = {}
    for line in song.lines:
        for note in line.notes:
            found.setdefault(note.bar, {}).setdefault(line.name, []).append(note)
    return found


def _chords_by_bar(song: Song, bars: tuple[SoundingBar, ...]) -> dict[int, list[ChordLetter]]:
    onsets = [bar.onset for bar in bars]
    found: dict[int, list[ChordLetter]] = {}
    for chord in song.chords:
        if not chord.text and chord.reading is None:
            continue
        found.setdefault(max(bisect_right(onsets, chord.onset) - 1, 0), []).append(chord)
    return found


def tuning_of(instrument: Instrument) -> tuple[str, ...]:
    """The strings of each course in force."""
    return tuple("+".join(string.name for string in course.strings) for course in instrument.courses)


class _Gather:
    """What all bars of a piece share."""

    def __init__(self, heading: Heading, song: Song, voiced: VoicedPiece | None) -> None:
        self.heading = heading
        self.declared = {mark.letter: mark.printed for mark in reversed(self.heading.marks)}
        self.from_file = {line.name for line in song.lines if line.from_file}
        self.notes = {note.led.id: note for note in voiced.notes} if voiced is not None else {}
        self.across: dict[str, str] = {}
        for first, last in voiced.led.bells if voiced is not None else ():
            self.across[first] = f"{self.across.get(first, '')}begins"
            self.across[last] = f"{self.across.get(last, '')}ends"
        self._tunings: dict[int, tuple[str, ...]] = {}
        self._signs: dict[tuple[object, ...], SignContent] = {}

    # --- bars ----------------------------------------------------------------------------------------

    def bar(self, bar: SoundingBar, sung: dict[str, list[SungNote]], chords: Iterable[ChordLetter]) -> BarContent:
        """One bar with everything in it."""
        typed = bar.bar
        notes = (
            BarNotes(tuple(map(labelled, typed.notes)), lambda: _label_events(typed.items)) if typed.notes else NO_NOTES
        )
        ditto = f"ditto {typed.ditto.typed}".strip() if typed.ditto is not None else ""
        items = tuple(self._items(bar, notes))
        layers = tuple(
            (name, sung_content(line, self.heading, notes, from_file=name in self.from_file))
            for name, line in sung.items()
        )
        closing = _barline(typed.closing, notes)
        return BarContent(
            typed.kind,
            tuple(_directive(line) for line in bar.directives),
            tuple(item for item in items if not isinstance(item, EventContent)) if ditto else items,
            closing,
            ditto,
            tuple(VariantContent(one.witness, tuple(self._silent(one.items)), one.span) for one in typed.variants),
            notes.rest(),
            layers,
            tuple(self._chord(chord, bar, sung) for chord in chords),
            tuple(item for item in items if isinstance(item, EventContent)) if ditto else (),
            bar.index,
            bar.label,
            self._tuning(bar.instrument),
            _breaks(bar),
            typed.span,
        )

    def _tuning(self, instrument: Instrument) -> tuple[str, ...]:
        found = self._tunings.get(id(instrument))
        if found is None:
            found = self._tunings[id(instrument)] = tuning_of(instrument)
        return found

    def _items(self, bar: SoundingBar, notes: BarNotes) -> Iterator[ItemContent]:
        events = iter(bar.events)
        for item in bar.bar.items:
            match item:
                case Event():
                    event = next(events, None)
                    if event is not None:
                        yield self._event(event.event, event, notes)
                case Barline():
                    yield _barline(item, notes)
                case Unread():
                    yield UnreadContent(item.text, item.span)
                case SourceBreak():
                    pass
        for event in events:
            yield self._event(event.event, event, notes)

    def _silent(self, items: tuple[BarItem, ...]) -> Iterator[ItemContent]:
        """A bar of another source, where nothing sounds."""
        for item in items:
            match item:
                case Event():
                    yield self._event(item, None, NO_NOTES)
                case Barline():
                    yield _barline(item, NO_NOTES)
                case Unread():
                    yield UnreadContent(item.text, item.span)
                case SourceBreak():
                    pass

    def _chord(self, chord: ChordLetter, bar: SoundingBar, sung: dict[str, list[SungNote]]) -> ChordContent:
        over = [note.onset for note in sung.get(chord.over, ())] if chord.over else [one.onset for one in bar.events]
        at = over.index(chord.onset) + 1 if chord.onset in over else 0
        return ChordContent(chord.over, at, chord.text, chord.span, *word_edited(chord.reading))

    # --- events --------------------------------------------------------------------------------------

    def _event(self, typed: Event, event: SoundingEvent | None, notes: BarNotes) -> EventContent:
        head = typed.head
        heard = {id(stop.stop): stop for stop in event.stops} if event is not None else {}
        stops: tuple[StopContent, ...]
        again: tuple[StopContent, ...]
        if typed.body is Body.STOPS:
            stops, again = self._stops(typed.stops, heard, notes), ()
        else:
            stops, again = (), self._stops((stop.stop for stop in heard.values()), heard, notes)
        group = head.group if head is not None else None
        return EventContent(
            value_reading(head.value) if head is not None and head.value is not None else None,
            head is not None and head.beamed,
            (group.notes, group.time, group.added) if group is not None else None,
            self._marks(head.marks, notes) if head is not None else (),
            typed.body,
            stops,
            notes.at(_letters((*head.opening_labels, *head.labels))) if head is not None else (),
            again,
            event.sign.name if event is not None and event.sign is not None else "",
            event.onset if event is not None else 0,
            event.length if event is not None else 0,
            typed.span,
        )

    def _stops(self, typed: Iterable[Stop], heard: dict[int, SoundingStop], notes: BarNotes) -> tuple[StopContent, ...]:
        """Sorted within what is struck together."""
        found, order = [], 0
        for stop in typed:
            order += stop.after
            found.append(self._stop(stop, heard.get(id(stop)), order, notes))
        return in_order(found)

    def _stop(self, typed: Stop, stop: SoundingStop | None, order: int, notes: BarNotes) -> StopContent:
        note = self.notes.get(stop.id) if stop is not None else None
        return StopContent(
            self._reading(typed.reading),
            typed.slur,
            order,
            self._marks(typed.marks, notes) if typed.marks else (),
            notes.at(_letters(typed.labels)) if typed.labels else (),
            "no" if stop is None else "held" if stop.held else "slurred" if stop.slurred else "struck",
            stop.strings if stop is not None else (),
            self._note(note) if note is not None else None,
            typed.span,
        )

    def _reading(self, reading: Reading[Sign]) -> Reading[SignContent]:
        edition = self._sign(reading.edition) if reading.edition is not None else None
        if reading.source is reading.edition:
            return Reading(reading.act, edition, edition, reading.doubtful, reading.source_doubtful)
        source = self._sign(reading.source) if reading.source is not None else None
        return Reading(reading.act, edition, source, reading.doubtful, reading.source_doubtful)

    def _sign(self, sign: Sign) -> SignContent:
        key = (sign.course or sign.course_sign, sign.fret, sign.state, sign.dots)
        found = self._signs.get(key)
        if found is None:
            fret = sign.fret if sign.state is FretState.READ else None
            found = self._signs[key] = SignContent(str(sign.course or sign.course_sign), fret, sign.state, sign.dots)
        return found

    def _note(self, note: VoicedNote) -> NoteReading:
        led = note.led
        restored = led.restored
        spelling = note.spelling
        first, *others = led.stop.strings
        names = [spelling.name]
        for semitones in others:
            names.append(from_fifths(spelling.fifths + (7 * (semitones - first) + 6) % 12 - 6, semitones).name)
        return NoteReading(
            led.voice,
            led.part.value,
            led.length,
            " ".join(names),
            led.decided.value,
            restored.octaves if restored is not None else 0,
            restored is not None and restored.asked,
            restored.decided.value if restored is not None else "",
            self.across.get(led.id, ""),
        )

    def _marks(self, groups: tuple[MarkGroup, ...], notes: BarNotes) -> Marks:
        return marks_in_order(
            MarkContent(self._mark(reading), notes.at(_letters(group.labels)))
            for group in groups
            for reading in group.marks
        )

    def _mark(self, reading: Reading[str]) -> Reading[str]:
        edition, source = mark_name(reading.edition, self.declared), mark_name(reading.source, self.declared)
        return Reading(reading.act, edition, source, reading.doubtful, reading.source_doubtful)


def _barline(line: Barline, notes: BarNotes) -> BarlineContent:
    return BarlineContent(line.kind, line.act, notes.at(_letters(line.labels)) if line.labels else (), line.span)


def _directive(line: Directive) -> DirectiveContent:
    notes = tuple(labelled(note).content for note in line.notes)
    return DirectiveContent(line.kind, line.text, notes, line.span)


def _breaks(bar: SoundingBar) -> tuple[str, ...]:
    """Folios that begin with the bar, then those within it."""
    items = bar.bar.items
    within = (item.folio for item in items[1:] if isinstance(item, SourceBreak))
    return (*(folio for folio, _ in bar.folios), *within)


def _label_events(items: tuple[BarItem, ...]) -> dict[str, int]:
    """Which event each label of a bar stands in, from 1."""
    found: dict[str, int] = {}
    for number, event in enumerate((item for item in items if isinstance(item, Event)), start=1):
        head = event.head
        marks = (*(head.marks if head is not None else ()), *(group for stop in event.stops for group in stop.marks))
        labels = [label for group in marks for label in group.labels]
        labels += [label for stop in event.stops for label in stop.labels]
        labels += (*head.opening_labels, *head.labels) if head is not None else ()
        for label in labels:
            found.setdefault(label.letter, number)
    return found


def _letters(labels: Iterable[Label]) -> Iterator[str]:
    return (label.letter for label in labels)
