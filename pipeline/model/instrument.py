"""The instrument as strung and tuned: courses, diapasons, neck."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from pipeline.model.pitch import Semitones, SpelledPitch


@dataclass(frozen=True, slots=True)
class Course:
    """One course: its number and its strings, the one that names it first (``G2+G3`` has two)."""

    number: int
    strings: tuple[SpelledPitch, ...]

    @property
    def pitch(self) -> SpelledPitch:
        return self.strings[0]


@dataclass(frozen=True, slots=True)
class Instrument:
    """Courses 1 to n in order. Courses up to ``stopped`` are those of the left hand; the rest are basses, mostly
    struck open, in any order of pitch: diapasons beside the neck, or, up to ``fretted``, over the fingerboard.

    An instrument without courses is one of unknown tuning: its signs are read, and no pitch is claimed."""

    name: str
    courses: tuple[Course, ...]
    stopped: int = 6
    #: Frets tied to the neck; higher ones, up to ``highest_fret``, are legal but remarkable.
    tied_frets: int = 8
    highest_fret: int = 12
    #: Basses up to this course lie over the fingerboard too, as on a lute without a long neck; 0 for none.
    fretted: int = 0

    @property
    def over_fingerboard(self) -> int:
        """How many courses, from the first on, the left hand can stop."""
        return max(self.stopped, self.fretted)

    def course(self, number: int) -> Course | None:
        """Course ``number``, or None if the instrument lacks it."""
        return self.courses[number - 1] if 0 < number <= len(self.courses) else None

    def is_diapason(self, number: int) -> bool:
        return number > self.stopped

    @property
    def re_entrant(self) -> tuple[int, ...]:
        """Stopped courses that sound below the course after them: those tuned down an octave.

        A course is re-entrant when some later stopped course is higher, as courses 1 and 2 of a theorbo
        are against the third.
        """
        return _below_a_later(tuple(course.pitch for course in self.courses[: self.stopped]))

    def sounding(self, course: int, fret: int) -> tuple[Semitones, ...]:
        """Every string of a course stopped at a fret, the naming string first.

        Raises IndexError for a course the instrument lacks.
        """
        return tuple(string.semitones + fret for string in self.courses[course - 1].strings)


@lru_cache(maxsize=64)
def _below_a_later(pitches: tuple[SpelledPitch, ...]) -> tuple[int, ...]:
    """The numbers, from 1, of the pitches that lie below a later one."""
    heights = [pitch.semitones for pitch in pitches]
    return tuple(
        number for number, height in enumerate(heights, start=1) if any(later > height for later in heights[number:])
    )
