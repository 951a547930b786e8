"""An instrument as the search asks it: where a pitch lies, and what a hand reaches."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from pipeline.desk.move.record import Place
from pipeline.model.heading import Heading
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import Semitones
from pipeline.source.checks.fingers import FINGERS, fingers
from pipeline.source.checks.stretch import REACH_CM, distance, string_length

#: Frets under four fingers, one to a fret.
HAND = 4
#: The highest fret that both systems of signs can type.
HIGHEST = 12


class Neck:
    """One tuning of one instrument. ``heading`` declares the length of its strings, if anything does."""

    def __init__(self, heading: Heading, instrument: Instrument) -> None:
        self.instrument = instrument
        self.stopped = instrument.stopped
        self.tied = instrument.tied_frets
        self.re_entrant = frozenset(instrument.re_entrant)
        length, _ = string_length(heading, instrument)
        self.highest = min(instrument.highest_fret, HIGHEST)
        frets = range(self.highest + 1)
        self._reach = [[not low or distance(low, high, length) <= REACH_CM for high in frets] for low in frets]
        self._fingers: dict[tuple[Place, ...], bool] = {}

    @cached_property
    def places(self) -> dict[Semitones, tuple[Place, ...]]:
        """Every place of every pitch, the first course first; frets beyond the tied ones too."""
        found: dict[Semitones, list[Place]] = {}
        for course in self.instrument.courses:
            highest = self.highest if course.number <= self.stopped else 0
            for fret in range(highest + 1):
                found.setdefault(course.pitch.semitones + fret, []).append((course.number, fret))
        return {pitch: tuple(places) for pitch, places in found.items()}

    def at(self, place: Place) -> Semitones:
        """What sounds there."""
        course, fret = place
        return self.instrument.courses[course - 1].pitch.semitones + fret

    def reaches(self, low: int, high: int) -> bool:
        """Whether a hand reaches from one fret to the other; 0 is an open string."""
        return self._reach[low][high]

    def holds(self, held: Place, struck: Sequence[Place]) -> bool:
        """Whether a note goes on to sound while others are struck: its course is free, its finger can stay."""
        if any(course == held[0] for course, _ in struck):
            return False
        frets = [fret for _, fret in struck if fret]
        if not held[1] or not frets:
            return True
        reached = self.reaches(min(held[1], *frets), max(held[1], *frets))
        return reached and self.enough_fingers(tuple(sorted((held, *struck), reverse=True)), barre=False)

    def enough_fingers(self, places: tuple[Place, ...], *, barre: bool) -> bool:
        """Whether four fingers stop these places."""
        if len(places) <= FINGERS:
            return True
        known = self._fingers.get(places)
        if known is None:
            frets = {course: fret for course, fret in places if course <= self.stopped}
            known = self._fingers[places] = fingers(frets, barre=barre) <= FINGERS
        return known
