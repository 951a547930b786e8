"""Signs on the strings moved to: how a place is typed, and where a sign of another source would lie."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from pipeline.desk.move.record import Place
from pipeline.desk.move.search.neck import HIGHEST, Neck
from pipeline.model.glyphs import FRENCH_DIAPASONS, FRET_LETTERS
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import Semitones
from pipeline.model.record import replace
from pipeline.model.signs import FretState, Sign, Signs

_FRENCH_LATE = {course: figure for figure, course in FRENCH_DIAPASONS.items()}
#: Courses from here on are typed by their own sign where they are open.
_FIRST_BASS = 7
_LAST_BASS = {Signs.ITALIAN: 19, Signs.FRENCH: 14}


def bass_sign(course: int, signs: Signs) -> str:
    """An open bass course as it is typed, empty if it has no sign of its own: ``X``, ``//a``."""
    if not _FIRST_BASS <= course <= _LAST_BASS[signs]:
        return ""
    if signs is Signs.ITALIAN:
        return "X" if course == 10 else str(course)
    return _FRENCH_LATE.get(course) or "/" * (course - _FIRST_BASS) + "a"


def fret_sign(fret: int, signs: Signs) -> str:
    """A fret as it is typed."""
    if signs is Signs.FRENCH:
        return FRET_LETTERS[fret]
    return "X" if fret == 10 else str(fret)


def sign_at(place: Place, signs: Signs, dots: int = 0) -> Sign:
    """The sign of a place."""
    course, fret = place
    bare = "" if fret else bass_sign(course, signs)
    return Sign(course, fret, FretState.READ, bare or fret_sign(fret, signs), bool(bare), dots)


def hold_at(course: int, signs: Signs) -> Sign:
    """The end of a hold line on a course."""
    bare = bass_sign(course, signs)
    return Sign(course, None, FretState.HOLD, bare, bool(bare))


def shown(place: Place, signs: Signs) -> str:
    """A place for a message, as it would be typed."""
    course, fret = place
    bare = "" if fret else bass_sign(course, signs)
    colon = ":" if signs is Signs.ITALIAN else ""
    return bare or f"{course}{colon}{fret_sign(fret, signs)}"


@dataclass(frozen=True, slots=True)
class Strings:
    """The strings of a bar before and after. ``semitones`` is how far the music moves; ``neck`` is what the hand finds
    on those after."""

    before: Instrument
    after: Instrument
    neck: Neck
    semitones: int
    signs: Signs
    signs_before: Signs

    @property
    def unmoved(self) -> bool:
        """True where the music stays in its key on its strings."""
        return self.semitones == 0 and self.before == self.after

    def wanted(self, place: Place) -> Semitones | None:
        """What a place of the source is to sound now; None if the source's instrument lacks it."""
        course, fret = place
        if self.before.course(course) is None or (fret and self.before.is_diapason(course)):
            return None
        return self.before.sounding(course, fret)[0] + self.semitones

    def sounding(self, place: Place) -> Semitones:
        """What a place sounds now."""
        return self.after.sounding(*place)[0]

    def on(self, course: int, pitch: Semitones) -> Place | None:
        """Where a course gives a pitch."""
        fret = pitch - self.after.courses[course - 1].pitch.semitones
        highest = 0 if self.after.is_diapason(course) else min(self.after.highest_fret, HIGHEST)
        return (course, fret) if 0 <= fret <= highest else None

    def every(self, pitch: Semitones, taken: Collection[int] = ()) -> list[Place]:
        """All places of a pitch on courses that are free, the lowest fret first."""
        free = (course.number for course in self.after.courses if course.number not in taken)
        found = [place for number in free if (place := self.on(number, pitch)) is not None]
        return sorted(found, key=lambda place: (place[1], place[0]))

    def others(self, chosen: Place | None, pitch: Semitones, taken: Collection[int] = ()) -> list[str]:
        """Other places for a pitch in any octave, within the tied frets, as they would be typed."""
        found = []
        for octave in (0, -12, 12):
            for place in self.every(pitch + octave, taken):
                if place != chosen and place[1] <= self.after.tied_frets:
                    found.append(shown(place, self.signs))
        return found[:4]

    def typed(self, old: Sign, place: Place) -> Sign:
        """The sign of a place; where nothing changes, as the source has it, which may print a c like an r."""
        if (old.course, old.fret) == place and self.signs is self.signs_before:
            return replace(old, shorthand=False)
        return sign_at(place, self.signs, old.dots)

    def unplaced(self, sign: Sign) -> Sign:
        """A sign that says no pitch, or no course, in the signs of the moved text."""
        if sign.state is not FretState.READ or sign.fret is None:
            return sign
        fret = min(sign.fret, HIGHEST)
        return replace(sign, typed=fret_sign(fret, self.signs), bare=False, shorthand=False)
