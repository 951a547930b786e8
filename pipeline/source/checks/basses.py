"""A bass tuned above the one before it.

Basses descend, but for the last of all: one early source tunes its 13th course to a high F sharp (PS-inf). A higher 8th
to 12th course is known from no source, and usually an octave or a letter mistyped.
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.hand import BASS_RISES
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.instrument import Instrument
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import DirectiveKind
from pipeline.model.text import Span

_LAST = 12


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Each such course once, where it is tuned so: by the heading, or by a retune line."""
    places = dict(piece.heading.places)
    told: set[int] = set()
    for number, above in _rising(piece.heading.instrument):
        place = places.get(f"course {number}") or places.get("diapasons") or places.get("instrument")
        if place is not None and number in piece.heading.tuned:
            told.add(number)
            yield _finding(piece.heading.instrument, number, above, place)
    for bar in piece.bars:
        for line in bar.directives:
            if line.kind is DirectiveKind.RETUNE:
                for number, above in _rising(bar.instrument):
                    if number not in told:
                        told.add(number)
                        yield _finding(bar.instrument, number, above, line.value_span)


def _rising(instrument: Instrument) -> Iterator[tuple[int, int]]:
    for course in instrument.courses[instrument.stopped + 1 : _LAST]:
        before = instrument.courses[course.number - 2]
        if course.pitch.semitones > before.pitch.semitones:
            yield course.number, before.number


def _finding(instrument: Instrument, number: int, above: int, place: Span) -> Diagnostic:
    course, before = instrument.courses[number - 1], instrument.courses[above - 1]
    message = f"Course {number} is tuned to {course.pitch}, above course {above} at {before.pitch}."
    return Diagnostic(BASS_RISES, place, message, "Is an octave or a letter mistyped? Basses descend.")
