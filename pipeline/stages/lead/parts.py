"""Who sings what, by the plain rule: bass, upper part, chords between."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.model.instrument import Instrument
from pipeline.model.pitch import Semitones
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.tablature import NoteKind, Pin
from pipeline.model.time import Ticks
from pipeline.model.voiced import Part
from pipeline.stages.lead.strokes import held_to

#: A lone note goes to the bass only if it lies this much nearer to it (semitones) than to the upper part.
_UPPER_BIAS = 4
#: A struck pair has a bass if its lowest course is this one or a lower string; above, the fingers play both.
_FIRST_THUMB_COURSE = 4
_OCTAVE = 12
_THUMB = "p"
_PART_OF_VOICE = {1: Part.UPPER, 2: Part.MIDDLE}


@dataclass(slots=True)
class Stroke:
    """One struck or slurred stop on its way to becoming a note."""

    stop: SoundingStop
    event: SoundingEvent
    bar: int
    part: Part
    pin: Pin | None
    length: int = 0
    #: The longest that its string and its voice allow.
    longest: int = 0
    #: End of the last event that a hold line for this note reaches, 0 if there is none.
    held_to: int = 0

    @property
    def onset(self) -> int:
        return self.event.onset


def strokes(piece: SoundingPiece) -> list[Stroke]:
    """Every stroke of the piece in time order, each given its part."""
    lines = _Lines()
    found: list[Stroke] = []
    held = held_to(piece)
    for bar in piece.bars:
        pins = {note.label: note.pin for note in bar.bar.notes if note.kind is NoteKind.PIN}
        re_entrant = frozenset(bar.instrument.re_entrant)
        for event in bar.events:
            if event.stops:
                found.extend(lines.event(event, bar, re_entrant, pins, held))
    return found


class _Lines:
    """Where the upper part and the bass last stood."""

    def __init__(self) -> None:
        self._upper: Semitones | None = None
        self._bass: Semitones | None = None
        self._on_course: dict[int, Stroke] = {}
        self._bass_held_to: Ticks = 0
        self._bass_is_held = False

    def event(
        self,
        event: SoundingEvent,
        bar: SoundingBar,
        re_entrant: frozenset[int],
        pins: dict[str, Pin | None],
        held: dict[str, Ticks],
    ) -> list[Stroke]:
        struck = [stop for stop in event.stops if not stop.held]
        self._bass_is_held = event.onset < self._bass_held_to
        parts = self._parts(struck, bar.instrument, re_entrant)
        made: list[Stroke] = []
        for stop, part in zip(struck, parts, strict=True):
            pin = _pin(stop, pins) if pins and stop.stop.labels else None
            stroke = Stroke(stop, event, bar.index, part, pin, held_to=held.get(stop.id, 0))
            if pin is not None and pin.voice is not None:
                stroke.part = _PART_OF_VOICE.get(pin.voice, Part.BASS)
            made.append(stroke)
            self._on_course[stop.course] = stroke
        _yield_to_pins(made)
        for stroke in made:
            if stroke.part is Part.BASS:
                self._bass = stroke.stop.pitch
                self._bass_held_to = stroke.held_to
            elif stroke.part is Part.UPPER:
                self._upper = stroke.stop.pitch
        return made

    def _parts(self, struck: list[SoundingStop], instrument: Instrument, re_entrant: frozenset[int]) -> list[Part]:
        if len(struck) == 1:
            return [self._lone(struck[0], instrument, re_entrant)]
        if not struck:
            return []
        parts = [Part.MIDDLE] * len(struck)
        rest = list(range(len(struck)))
        lowest = max(rest, key=lambda index: struck[index].course)
        if self._is_bass(struck, lowest, instrument):
            parts[lowest] = Part.BASS
            rest.remove(lowest)
        top = max(rest, key=lambda index: (struck[index].pitch, -struck[index].course))
        parts[top] = Part.UPPER
        return parts

    def _is_bass(self, struck: list[SoundingStop], lowest: int, instrument: Instrument) -> bool:
        """The lowest course has the bass, unless the fingers clearly play inner parts over a ringing bass."""
        stop = struck[lowest]
        if instrument.is_diapason(stop.course) or _marked(stop, _THUMB):
            return True
        sign = stop.stop.sign
        if self._bass_is_held or stop.course < _FIRST_THUMB_COURSE or (sign is not None and sign.dots):
            return False
        if len(struck) > 2 or self._bass is None or self._upper is None:
            return True
        to_bass = abs(stop.pitch - self._bass)
        return to_bass <= _OCTAVE or to_bass <= abs(stop.pitch - self._upper)

    def _lone(self, stop: SoundingStop, instrument: Instrument, re_entrant: frozenset[int]) -> Part:
        if instrument.is_diapason(stop.course) or _marked(stop, _THUMB):
            return Part.BASS
        before = self._on_course.get(stop.course)
        if stop.slurred and before is not None:
            return before.part
        if self._bass is None or self._bass_is_held:
            return Part.UPPER
        to_bass = abs(stop.pitch - self._bass)
        if self._upper is None:
            return Part.BASS if stop.course >= _FIRST_THUMB_COURSE and to_bass <= 7 else Part.UPPER
        to_upper = abs(stop.pitch - self._upper)
        if stop.course in re_entrant:
            to_upper = min(to_upper, abs(stop.pitch + 12 - self._upper))
        return Part.BASS if to_bass + _UPPER_BIAS < to_upper else Part.UPPER


def _yield_to_pins(made: list[Stroke]) -> None:
    """Where the editor pins a note to an outer part, another note that the rule put there gives way."""
    pinned = {stroke.part for stroke in made if stroke.pin is not None and stroke.pin.voice is not None}
    for stroke in made:
        if stroke.part in pinned and (stroke.pin is None or stroke.pin.voice is None):
            stroke.part = Part.MIDDLE


def _marked(stop: SoundingStop, mark: str) -> bool:
    return any(reading.edition == mark for group in stop.stop.marks for reading in group.marks)


def _pin(stop: SoundingStop, pins: dict[str, Pin | None]) -> Pin | None:
    return next((pins[label.letter] for label in stop.stop.labels if label.letter in pins), None)
