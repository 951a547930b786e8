"""A declared pitch that would break a gut string of the declared length.

Gut breaks at about 248 Hz·m, frequency × string length (PS-inf): 0.80 m holds up to 310 Hz. Where no pitch standard
is declared, the lowest in use is taken (A4 = 392 Hz, common practice), so that only what breaks at any is reported.
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.hand import STRING_WOULD_BREAK
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.gut import BREAKING_HZ_M, breaking_hertz
from pipeline.model.heading import Heading
from pipeline.model.instrument import Course, Instrument
from pipeline.model.pitch import frequency
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import DirectiveKind
from pipeline.model.text import Span

LOWEST_STANDARD_HZ = 392.0


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Every course of the heading's tuning, and of each retuning, that lies above what gut bears."""
    heading = piece.heading
    if heading.strings is None:
        return
    for course in heading.instrument.courses:
        yield from _strings(heading, heading.instrument, course, _declared(heading, course))
    before = heading.instrument
    for bar in piece.bars:
        retunings = [line for line in bar.directives if line.kind is DirectiveKind.RETUNE]
        if retunings and bar.instrument is not before:
            for course in bar.instrument.courses:
                if course not in before.courses:
                    yield from _strings(heading, bar.instrument, course, retunings[-1].value_span)
        before = bar.instrument


def _declared(heading: Heading, course: Course) -> Span:
    """Where the heading gives the course its pitch, or else the length of the strings."""
    places = dict(heading.places)
    for key in (f"course {course.number}", "strings", "instrument"):
        if key in places:
            return places[key]
    return next(iter(places.values()))


def _strings(heading: Heading, instrument: Instrument, course: Course, span: Span) -> Iterator[Diagnostic]:
    stopped, diapasons = heading.strings or (0.0, 0.0)
    length = diapasons if instrument.is_diapason(course.number) else stopped
    a4 = heading.pitch or LOWEST_STANDARD_HZ
    for string in course.strings:
        hertz = frequency(string.semitones, a4)
        if hertz * length / 100 <= BREAKING_HZ_M:
            continue
        standard = f"A4 = {a4:g} Hz" if heading.pitch else f"A4 = {a4:g} Hz, the lowest standard in use,"
        yield Diagnostic(
            STRING_WOULD_BREAK,
            span,
            f"Course {course.number} at {string} is {hertz:.0f} Hz at {standard} on {length:g} cm: gut of that "
            f"length breaks at about {breaking_hertz(length):.0f} Hz.",
            "Check pitch, strings and tuning. If they are right, tune up slowly, mind your eyes, and ask a maker.",
        )
