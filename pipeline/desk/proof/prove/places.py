"""Where each sign is typed, bar by bar, and which sign stands at a place."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence

from pipeline.desk.proof.record import TypedBar, TypedSign
from pipeline.model.pitch import SpelledPitch
from pipeline.model.signs import Act, Body
from pipeline.model.song import Song, SungNote
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece
from pipeline.model.text import Span
from pipeline.model.time import Ticks, show
from pipeline.model.voiced import Decided, VoicedNote, VoicedPiece

#: What is drawn in the tablature though it does not sound.
_DRAWN = frozenset({Act.ILLEGIBLE, Act.LOST})
_SILENT = "does not sound"
_BAR = re.compile(r"(?:[a-z]+\d?-)?(b\d+)")
_STOP = re.compile(r"b\d+e\d+(?:c\d+(?:r\d+)?|[ux]\d+)")


def typed_bars(voiced: VoicedPiece, song: Song) -> tuple[TypedBar, ...]:
    """Every bar with its signs in typed order: each event, then its stops; then what is sung. Linear time.

    A bar that the source does not write out stands where it is told to be the same as another; so does each sign in it.
    """
    piece = voiced.sounding
    says = _Sayings(voiced)
    sung = _sung_by_bar(piece, song)
    return tuple(_bar(bar, says, sung.get(bar.index, ())) for bar in piece.bars)


def _bar(bar: SoundingBar, says: _Sayings, sung: Sequence[TypedSign]) -> TypedBar:
    span = bar.bar.span
    ditto = bar.bar.ditto.span if bar.bar.ditto is not None else None
    signs = (sign for event in bar.events for sign in _event(event, ditto, says))
    return TypedBar(f"b{bar.index + 1}", bar.label, span.line, span.start, span.end, (*signs, *sung))


def _event(event: SoundingEvent, ditto: Span | None, says: _Sayings) -> Iterator[TypedSign]:
    span = ditto or event.event.span
    yield TypedSign(event.id, span.line, span.start, span.end)
    heard = {id(stop.stop): stop for stop in event.stops}
    if event.event.body is Body.AS_BEFORE:  # its stops are typed at the event before
        for stop in event.stops:
            yield TypedSign(stop.id, span.line, span.start, span.end, says.of(stop.id))
        return
    drawn = hidden = 0
    for typed in event.event.stops:
        sounding = heard.get(id(typed))
        words = _SILENT
        if sounding is not None:
            own, words = sounding.id, says.of(sounding.id)
        elif typed.reading.edition is not None or typed.reading.act in _DRAWN:
            drawn += 1
            own = f"{event.id}u{drawn}"  # as the tablature staff names it
        else:
            hidden += 1
            own = f"{event.id}x{hidden}"
        here = ditto or typed.span
        yield TypedSign(own, here.line, here.start, here.end, words)


class _Sayings:
    """What is read into a stop, in words; each kind of note is put into words once."""

    def __init__(self, voiced: VoicedPiece) -> None:
        self._notes = {note.led.id: note for note in voiced.notes}
        self._voices = voiced.led.voices
        self._made: dict[tuple[SpelledPitch, int, Ticks, bool], str] = {}

    def of(self, stop: str) -> str:
        note = self._notes.get(stop)
        if note is None:
            return "held on"
        led = note.led
        key = (note.spelling, led.voice, led.length, led.decided is Decided.EDITOR)
        words = self._made.get(key)
        if words is None:
            words = self._made[key] = self._words(note)
        return words

    def _words(self, note: VoicedNote) -> str:
        led = note.led
        pinned = ", pinned by the editor" if led.decided is Decided.EDITOR else ""
        return f"{note.spelling}, voice {led.voice} of {self._voices}, lasts {show(led.length)}{pinned}"


def _sung_by_bar(piece: SoundingPiece, song: Song) -> dict[int, list[TypedSign]]:
    found: dict[int, list[TypedSign]] = {}
    own = piece.tablature.name
    for line in song.lines:
        for note in line.notes:
            if not line.from_file and note.span.file == own:
                span = note.span
                sign = TypedSign(note.id, span.line, span.start, span.end, _sung_words(line.title or line.name, note))
                found.setdefault(note.bar, []).append(sign)
                found[note.bar] += _syllables(line.title or line.name, note, own)
    return found


def _syllables(title: str, note: SungNote, own: str) -> Iterator[TypedSign]:
    """The words under a note, from the first stanza on, named by it and their number."""
    for number, one in enumerate(note.syllables, start=1):
        if one.span.file == own:
            says = f"{title}, stanza {one.stanza}: “{one.text}”"
            yield TypedSign(f"{note.id}w{number}", one.span.line, one.span.start, one.span.end, says)


def _sung_words(title: str, note: SungNote) -> str:
    return f"{title}: {note.pitch if note.pitch is not None else 'rest'}, lasts {show(note.length)}"


class PlaceFinder:
    """Which sign, event or bar stands at a place of the piece's own text. Built once, asked often."""

    def __init__(self, bars: tuple[TypedBar, ...]) -> None:
        self._lines: dict[int, list[TypedSign]] = {}
        self._bars: list[tuple[int, str]] = []
        self._labels = {bar.id: bar.label for bar in bars}
        for bar in bars:
            if not self._bars or self._bars[-1][0] < bar.line:
                self._bars.append((bar.line, bar.id))
            for sign in bar.signs:
                self._lines.setdefault(sign.line, []).append(sign)

    def label(self, at: str) -> str:
        """The number in print of the bar that a sign, event or bar belongs to; empty for an upbeat, or none."""
        found = _BAR.match(at)
        return self._labels.get(found[1], "") if found else ""

    def at(self, line: int, start: int, end: int) -> str:
        """The stop that holds the whole stretch; else the first event or sung note that it touches; else the bar whose
        lines it stands on (its own, and those under it); empty before the first bar."""
        touched = [sign for sign in self._lines.get(line, ()) if sign.start < max(end, start + 1) and start < sign.end]
        for sign in touched:
            if sign.start <= start and end <= sign.end and _STOP.fullmatch(sign.id):
                return sign.id
        if touched:
            return touched[0].id
        place = bisect_right(self._bars, (line, "\uffff")) - 1
        return self._bars[place][1] if place >= 0 else ""
