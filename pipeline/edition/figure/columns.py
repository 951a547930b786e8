"""A bass figured in time: which notes above it belong to the harmony, and where one column follows another.

The rule for passing notes. To the harmony of a bass note belongs

* what sounds when it begins, unless that passes: began off the beat, is shorter than a beat, was reached and is left by
  step, and is dissonant with the bass;
* what leaps in later within the same beat: broken chords count as struck together.

A new column over the same bass begins

* where a dissonance (2, 4, 7, 9) gives way to the note a step below it: a suspension resolves;
* where a note above begins on a beat, or, consonant and not passing by step, takes the place of 6 or 5 off it.

A bass note shorter than a beat, with which nothing begins, passes or repeats if it stands off the beat or comes by
step: the harmony before goes on and is not figured again, except as a sixth that the bass has leapt to.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterator, Sequence

from pipeline.edition.figure.numbers import figure_for
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import Record
from pipeline.model.song import Figure
from pipeline.model.time import Ticks

_DISSONANT = frozenset({2, 4, 7})


class BassNote(Record, frozen=True):
    """A note of the bass."""

    onset: Ticks
    length: Ticks
    pitch: SpelledPitch

    @property
    def end(self) -> Ticks:
        return self.onset + self.length


class Tone(Record, frozen=True):
    """A note above the bass. ``reached`` and ``left`` are staff places from the note before it in its line and to the
    note after it, 0 where the line stands still, begins or ends."""

    onset: Ticks
    length: Ticks
    pitch: SpelledPitch
    reached: int = 0
    left: int = 0

    @property
    def end(self) -> Ticks:
        return self.onset + self.length


def columns(
    bass: Sequence[BassNote], above: Sequence[Tone], fifths: int, beat: Ticks, origin: Ticks = 0
) -> list[tuple[Figure, ...]]:
    """The figures over each bass note, in its own time; empty where it needs none.

    ``bass`` and ``above`` are sorted by onset; beats are counted from ``origin``, ``beat`` ticks each.
    """
    found = []
    for over, by in _each(bass, above, fifths, beat, origin):
        found.append(tuple(over.figures(by > 1, by == 1)))
    return found


def harmonies(
    bass: Sequence[BassNote], above: Sequence[Tone], fifths: int, beat: Ticks, origin: Ticks = 0
) -> list[tuple[SpelledPitch, ...]]:
    """What belongs to the harmony over each bass note, the bass itself first; empty where the harmony before goes on.
    Arguments as of ``columns``."""
    return [over.harmony(by == 1) for over, by in _each(bass, above, fifths, beat, origin)]


def _each(
    bass: Sequence[BassNote], above: Sequence[Tone], fifths: int, beat: Ticks, origin: Ticks
) -> Iterator[tuple[_Over, int]]:
    """Each bass note with what sounds above it, and by how many staff places the bass has come to it."""
    moments = [tone.onset for tone in above]
    longest = max((tone.length for tone in above), default=0)
    for place, note in enumerate(bass):
        first = bisect_right(moments, note.onset - longest - 1)
        last = bisect_right(moments, note.end - 1)
        near = [tone for tone in above[first:last] if tone.end > note.onset]
        by = abs(note.pitch.diatonic - bass[place - 1].pitch.diatonic) if place else 0
        yield _Over(note, near, fifths, beat, origin), by


class _Over:
    """One bass note and what sounds above it."""

    def __init__(self, note: BassNote, near: list[Tone], fifths: int, beat: Ticks, origin: Ticks) -> None:
        self.note, self.near, self.fifths, self.beat, self.origin = note, near, fifths, beat, origin

    def figures(self, leapt: bool, stepped: bool) -> Iterator[Figure]:
        """Its columns; ``leapt`` and ``stepped`` say how the bass comes to it."""
        start = self.note.onset
        before = self._rows(start)
        goes_on = self._goes_on(stepped)
        if before and (not goes_on or (leapt and before == ("6",))):
            yield Figure(0, before, printed=False)
        for moment in sorted({tone.onset for tone in self.near if tone.onset > start}):
            if not self._changes(self._begins(moment)):
                continue
            rows = self._rows(moment)
            if rows != before:
                yield Figure(moment - start, rows or _resolution(before), printed=False)
            before = rows

    def harmony(self, stepped: bool) -> tuple[SpelledPitch, ...]:
        """Bass and harmony as it begins, from the lowest; empty if the harmony before goes on."""
        if self._goes_on(stepped):
            return ()
        tones = self._tones(self.note.onset)
        return (self.note.pitch, *sorted({tone.pitch for tone in tones}, key=lambda pitch: pitch.semitones))

    def _goes_on(self, stepped: bool) -> bool:
        """Whether the bass only passes or repeats under the harmony before."""
        light = self.note.length < self.beat and (self._off_beat(self.note.onset) or stepped)
        return light and not self._begins(self.note.onset)

    def _begins(self, moment: Ticks) -> list[Tone]:
        return [tone for tone in self.near if tone.onset == moment]

    def _rows(self, moment: Ticks) -> tuple[str, ...]:
        """The figures at a moment."""
        tones = self._tones(moment)
        held = any(tone.onset == moment > self.note.onset for tone in tones)
        return figure_for(self.note.pitch, [tone.pitch for tone in tones], self.fifths, bass_held=held)

    def _tones(self, moment: Ticks) -> list[Tone]:
        """What belongs to the harmony at a moment, broken chords of its beat included."""
        beat_end = moment + self.beat - (moment - self.origin) % self.beat
        return [
            tone
            for tone in self.near
            if (tone.onset <= moment < tone.end and not self._passes(tone))
            or (moment < tone.onset < beat_end and abs(tone.reached) > 1)
        ]

    def _changes(self, begun: list[Tone]) -> bool:
        """Whether what begins together over the held bass makes a new column: one quick note in a running line, or one
        dissonance that a line steps through, does not."""
        if len(begun) == 1:
            (tone,) = begun
            runs = tone.length < self.beat and not self._resolves(tone)
            steps = abs(tone.reached) == 1 == abs(tone.left) and self._interval(tone) in _DISSONANT
            if (runs and not self._takes_over(tone)) or steps:
                return False
        return any(self._moves(tone) for tone in begun)

    def _moves(self, tone: Tone) -> bool:
        """Whether a note that begins over the held bass makes a new column."""
        if self._resolves(tone):
            return True
        if not self._off_beat(tone.onset):
            return True
        return self._takes_over(tone)

    def _takes_over(self, tone: Tone) -> bool:
        """Whether a note takes the place of 6 or 5."""
        return self._interval(tone) in (5, 6) and self._steps_from(tone, (5, 6)) and tone.length * 2 >= self.beat

    def _resolves(self, tone: Tone) -> bool:
        return tone.reached == -1 and self._steps_from(tone, _DISSONANT)

    def _steps_from(self, tone: Tone, intervals: Collection[int]) -> bool:
        """Whether the note takes the place of one of these intervals, a step away."""
        return abs(tone.reached) == 1 and any(
            other.end == tone.onset
            and self._interval(other) in intervals
            and tone.pitch.diatonic - other.pitch.diatonic == tone.reached
            for other in self.near
        )

    def _passes(self, tone: Tone) -> bool:
        short = self._off_beat(tone.onset) and tone.length < self.beat
        return short and abs(tone.reached) == 1 == abs(tone.left) and self._interval(tone) in _DISSONANT

    def _off_beat(self, moment: Ticks) -> bool:
        return (moment - self.origin) % self.beat != 0

    def _interval(self, tone: Tone) -> int:
        return (tone.pitch.diatonic - self.note.pitch.diatonic) % 7 + 1


def _resolution(before: tuple[str, ...]) -> tuple[str, ...]:
    """What stands for a plain triad after another figure: 4 goes to 3, 9 to 8, 6 to 5; after an accidental, 5."""
    into = {"4": "3", "9": "8", "6": "5", "7": "8", "2": "3"}
    digits = [row.lstrip("#bn") for row in before]
    return tuple(dict.fromkeys(into[digit] for digit in digits if digit in into)) or ("5",)
