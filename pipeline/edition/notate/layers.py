"""Voices cut at the bar lines and written in values: notes, ties, rests, groups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.edition.notate.drafts import DraftEvent, DraftHead, DraftLayer
from pipeline.edition.notate.frame import Frame, GroupSpan
from pipeline.edition.notate.values import grid_of, note_values, rest_values
from pipeline.model.notes import LOWER_STAFF, UPPER_STAFF, Kind, Tuplet
from pipeline.model.sounding import SoundingBar
from pipeline.model.time import Ticks, Value
from pipeline.model.voiced import Part, VoicedNote, VoicedPiece

#: A middle part whose notes lie here or above on average stands in the upper staff (C4 = 60).
_MIDDLE_C = 60


@dataclass(frozen=True, slots=True)
class LayerStretch:
    """What one voice does from ``start`` to ``end`` of a measure: a chord (tied from or to), or silence."""

    start: Ticks
    end: Ticks
    notes: tuple[VoicedNote, ...] = ()
    tie_to: bool = False  # comes from the measure before
    tie_from: bool = False  # goes on into the next


class VoiceReader:
    """Hands out, measure by measure in order, what one voice does there."""

    def __init__(self, notes: Sequence[VoicedNote]) -> None:
        self._chords = _chords(notes)
        self._next = 0
        self._ringing: tuple[tuple[VoicedNote, ...], Ticks] | None = None

    def stretches(self, bar: SoundingBar) -> list[LayerStretch]:
        """Chords of this measure, gaps between them left out."""
        found: list[LayerStretch] = []
        if self._ringing is not None:
            notes, end = self._ringing
            self._ringing = None
            self._take(found, notes, bar.onset, end, bar, tied=True)
        chords = self._chords
        while self._next < len(chords) and chords[self._next][1] < bar.end:
            notes, onset, end = chords[self._next]
            self._next += 1
            self._take(found, notes, onset, end, bar, tied=False)
        return found

    def _take(
        self,
        found: list[LayerStretch],
        notes: tuple[VoicedNote, ...],
        onset: Ticks,
        end: Ticks,
        bar: SoundingBar,
        *,
        tied: bool,
    ) -> None:
        goes_on = end > bar.end
        if goes_on:
            self._ringing = (notes, end)
        found.append(LayerStretch(onset - bar.onset, min(end, bar.end) - bar.onset, notes, tied, goes_on))


def _chords(notes: Sequence[VoicedNote]) -> list[tuple[tuple[VoicedNote, ...], Ticks, Ticks]]:
    found: list[tuple[tuple[VoicedNote, ...], Ticks, Ticks]] = []
    at = 0
    while at < len(notes):
        first = notes[at].led
        stop = at + 1
        while stop < len(notes) and notes[stop].led.onset == first.onset:
            stop += 1
        found.append((tuple(notes[at:stop]), first.onset, first.onset + first.length))
        at = stop
    return found


def by_voice(piece: VoicedPiece) -> dict[int, tuple[Part, list[VoicedNote]]]:
    """The notes of each voice in time order, with the kind of line it is."""
    voices: dict[int, tuple[Part, list[VoicedNote]]] = {}
    for note in piece.notes:
        led = note.led
        voice = voices.get(led.voice)
        if voice is None:
            voice = voices[led.voice] = (led.part, [])
        voice[1].append(note)
    return dict(sorted(voices.items()))


def write_layer(
    voice: int, part: Part, stretches: list[LayerStretch], frame: Frame, pieces: dict[str, int]
) -> DraftLayer:
    """One voice of one measure in values. ``pieces`` counts the heads made so far of notes that ring on."""
    pen = _LayerPen(frame, part, stretches, pieces)
    for stretch in _filled(stretches, frame.bar.length):
        if frame.spans:
            for start, end, span in _cut(stretch, stretches, frame.spans):
                pen.write(stretch, start, end, span)
        else:
            pen.write(stretch, stretch.start, stretch.end, None)
    if frame.loose:
        for event in pen.events:
            event.stemless = event.kind is Kind.NOTE and event.start in frame.loose
    return DraftLayer(voice, part, pen.staff, pen.events)


def rests(frame: Frame) -> list[DraftEvent]:
    """Rests that fill a measure beat by beat."""
    found: list[DraftEvent] = []
    at = 0
    for ticks, value in rest_values(0, frame.bar.length, frame.grid):
        found.append(DraftEvent(Kind.REST, at, ticks, value))
        at += ticks
    return found


class _LayerPen:
    """Writes one layer: tied notes, rests, or spaces where silence is not shown."""

    def __init__(self, frame: Frame, part: Part, stretches: list[LayerStretch], pieces: dict[str, int]) -> None:
        self.events: list[DraftEvent] = []
        self.staff = home_staff(part, stretches)
        self._frame = frame
        self._pieces = pieces
        shows_silence = part in (Part.UPPER, Part.BASS) and not frame.free
        self._silence = Kind.REST if shows_silence else Kind.SPACE

    def write(self, stretch: LayerStretch, start: Ticks, end: Ticks, span: GroupSpan | None) -> None:
        """Append the values of one stretch from ``start`` to ``end``, inside a group or outside all."""
        at = start
        kind = Kind.NOTE if stretch.notes else self._silence
        for ticks, value in self._values(bool(stretch.notes), start, end, span):
            real, tuplet = ticks, None
            if span is not None:
                real = ticks * span.time // span.notes
                tuplet = Tuplet(span.notes, span.time, at == span.start, at + real == span.end)
            tie_to = at > stretch.start or stretch.tie_to
            tie_from = at + real < stretch.end or stretch.tie_from
            heads = [self._head(note, tie_to, tie_from) for note in stretch.notes]
            self.events.append(DraftEvent(kind, at, real, value, heads, tuplet))
            at += real

    def _values(self, sounds: bool, start: Ticks, end: Ticks, span: GroupSpan | None) -> list[tuple[Ticks, Value]]:
        grid = self._frame.grid
        if span is not None:
            start, end = ((place - span.start) * span.notes // span.time for place in (start, end))
            grid = grid_of(None)
        return note_values(start, end, grid, self._frame.two_dots) if sounds else rest_values(start, end, grid)

    def _head(self, note: VoicedNote, tie_to: bool, tie_from: bool) -> DraftHead:
        number = 1
        if tie_to or tie_from:
            number = self._pieces[note.led.id] = self._pieces.get(note.led.id, 0) + 1
        return DraftHead(note, number, tie_from, tie_to, self.staff)


def home_staff(part: Part, stretches: list[LayerStretch]) -> int:
    """The staff that a part stands on in this measure: a bass of which all lies above middle C, and an inner part that
    does on the whole, on the upper one."""
    pitches = [note.spelling.semitones for stretch in stretches for note in stretch.notes]
    if part in (Part.UPPER, Part.ALTO):
        return UPPER_STAFF
    if part is not Part.MIDDLE:
        return UPPER_STAFF if pitches and min(pitches) >= _MIDDLE_C else LOWER_STAFF
    return UPPER_STAFF if pitches and sum(pitches) >= _MIDDLE_C * len(pitches) else LOWER_STAFF


def _filled(stretches: list[LayerStretch], length: Ticks) -> list[LayerStretch]:
    """The same with the silences between put in."""
    found: list[LayerStretch] = []
    at = 0
    for stretch in stretches:
        if stretch.start > at:
            found.append(LayerStretch(at, stretch.start))
        found.append(stretch)
        at = stretch.end
    if at < length:
        found.append(LayerStretch(at, length))
    return found


def _cut(
    stretch: LayerStretch, stretches: list[LayerStretch], spans: Sequence[GroupSpan]
) -> list[tuple[Ticks, Ticks, GroupSpan | None]]:
    """Cut a stretch at the ends of those groups that this voice takes part in."""
    found: list[tuple[Ticks, Ticks, GroupSpan | None]] = []
    at = stretch.start
    for span in spans:
        if span.end <= at or span.start >= stretch.end or not _takes_part(stretches, span):
            continue
        if span.start > at:
            found.append((at, span.start, None))
            at = span.start
        end = min(span.end, stretch.end)
        found.append((at, end, span))
        at = end
    if at < stretch.end:
        found.append((at, stretch.end, None))
    return found


def _takes_part(stretches: list[LayerStretch], span: GroupSpan) -> bool:
    if not span.full:
        return True
    return any(span.start < stretch.start < span.end or span.start < stretch.end < span.end for stretch in stretches)
