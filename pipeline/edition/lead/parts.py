"""Who sings what, by the plain rule: bass, upper part, chords between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from pipeline.edition.lead.strokes import Struck
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import Semitones
from pipeline.model.sounding import SoundingStop
from pipeline.model.time import Ticks
from pipeline.model.voiced import Part

#: A lone note goes to the bass only if it lies this much nearer to it (semitones) than to the upper part.
_UPPER_BIAS = 4
#: A struck pair has a bass if its lowest course is this one or a lower string; above, the fingers play both.
_FIRST_THUMB_COURSE = 4
_OCTAVE = 12
_THUMB = "p"
_PART_OF_VOICE = {1: Part.UPPER, 2: Part.MIDDLE}


@dataclass(slots=True)
class Stroke:
    """One struck stop on its way to becoming a note."""

    struck: Struck
    part: Part
    length: Ticks = 0
    #: The longest that its string and its voice allow.
    longest: Ticks = 0

    @property
    def stop(self) -> SoundingStop:
        return self.struck.stop

    @property
    def onset(self) -> Ticks:
        return self.struck.event.onset

    @property
    def voice_pinned(self) -> bool:
        """True where the editor says which voice it is."""
        pin = self.struck.pin
        return pin is not None and pin.voice is not None


def with_parts(struck: Sequence[Struck]) -> list[Stroke]:
    """Every stroke of the piece in time order, each given its part."""
    lines = _Lines()
    return [stroke for _, group in groupby(struck, key=_event_id) for stroke in lines.event(list(group))]


def _event_id(struck: Struck) -> str:
    return struck.event.id


class _Lines:
    """Where the upper part and the bass last stood."""

    def __init__(self) -> None:
        self._upper: Semitones | None = None
        self._bass: Semitones | None = None
        self._on_course: dict[int, Stroke] = {}
        self._bass_held_to: Ticks = 0
        self._bass_is_held = False
        self._instrument: Instrument | None = None
        self._re_entrant: frozenset[int] = frozenset()

    def event(self, struck: list[Struck]) -> list[Stroke]:
        """The strokes of one event with their parts; a part that the editor pins makes others give way."""
        bar = struck[0].bar
        self._bass_is_held = struck[0].event.onset < self._bass_held_to
        if bar.instrument is not self._instrument:  # it changes seldom, and is asked for at every event
            self._instrument, self._re_entrant = bar.instrument, frozenset(bar.instrument.re_entrant)
        parts = self._parts([one.stop for one in struck], bar.instrument, self._re_entrant)
        made = [Stroke(one, part) for one, part in zip(struck, parts, strict=True)]
        for stroke in made:
            pin = stroke.struck.pin
            if pin is not None and pin.voice is not None:
                stroke.part = _PART_OF_VOICE.get(pin.voice, Part.BASS)
            self._on_course[stroke.stop.course] = stroke
        _yield_to_pins(made)
        for stroke in made:
            if stroke.part is Part.BASS:
                self._bass = stroke.stop.pitch
                self._bass_held_to = stroke.struck.held_to
            elif stroke.part is Part.UPPER:
                self._upper = stroke.stop.pitch
        return made

    def _parts(self, struck: list[SoundingStop], instrument: Instrument, re_entrant: frozenset[int]) -> list[Part]:
        if len(struck) == 1:
            return [self._lone(struck[0], instrument, re_entrant)]
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
    pinned = {stroke.part for stroke in made if stroke.voice_pinned}
    for stroke in made:
        if stroke.part in pinned and not stroke.voice_pinned:
            stroke.part = Part.MIDDLE


def _marked(stop: SoundingStop, mark: str) -> bool:
    return any(reading.edition == mark for group in stop.stop.marks for reading in group.marks)
