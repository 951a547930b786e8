"""How a piece tunes its instrument: at the beginning, on its way, at the end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.desk.programme.plan.moves import moves
from pipeline.desk.programme.sheet import Inside, Known, ProgrammePiece, Standard, Strain, TunedCourse, TunedString
from pipeline.edition.diapasons import AskedTuning, asked_tunings
from pipeline.model.gut import NEAR, semitones_below_breaking
from pipeline.model.instrument import Course, Instrument
from pipeline.model.pitch import SpelledPitch, frequency
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import DirectiveKind


def tuned_piece(
    piece: SoundingPiece, name: str, given: int, instrument: int, standard: tuple[float, Standard]
) -> ProgrammePiece:
    """The tunings of a piece, as the edition prints them. Where nothing is declared and the fretted notes plainly ask
    for another pitch than the usual one, that is a question, and nobody is told to turn a peg for it."""
    a4, whence = standard
    start = piece.bars[0].instrument if piece.bars else piece.heading.instrument
    asked = asked_tunings(piece)
    struck = {stop.course for bar in piece.bars for event in bar.events for stop in event.stops if not stop.held}
    courses = tuple(_course(piece, start, course, a4, asked.get(course.number), struck) for course in start.courses)
    inside = tuple(_retunings(piece, courses, a4))
    return ProgrammePiece(
        given,
        name,
        piece.heading.title,
        piece.heading.composer,
        instrument,
        a4,
        whence,
        courses,
        inside[-1][1] if inside else courses,
        tuple(one for one, _ in inside if one.moves),
        piece.heading.strings,
        _goes_back(piece),
    )


def _course(
    piece: SoundingPiece,
    instrument: Instrument,
    course: Course,
    a4: float,
    asked: AskedTuning | None,
    struck: set[int],
) -> TunedCourse:
    heading = piece.heading
    diapason = instrument.is_diapason(course.number)
    declared = course.number in heading.tuned or course != heading.instrument.course(course.number)
    known = Known.DECLARED if declared else Known.ASKED if asked is not None else Known.USUAL
    return TunedCourse(
        course.number,
        _strings(course.strings, a4, _length(piece, diapason)),
        diapason,
        course.number in struck,
        known,
        asked.pitch if asked is not None else None,
        asked.chance if asked is not None else 1.0,
    )


def _retunings(
    piece: SoundingPiece, courses: tuple[TunedCourse, ...], a4: float
) -> Iterator[tuple[Inside, tuple[TunedCourse, ...]]]:
    """Each retuning on the way, and all courses after it."""
    section = ""
    before = piece.bars[0].instrument if piece.bars else None
    for bar in piece.bars:
        parts = [line.text for line in bar.directives if line.kind is DirectiveKind.SECTION]
        section = parts[-1] if parts else section
        if before is not None and bar.instrument is not before:
            tuned = tuple(_retuned(piece, bar, course, a4) for course in courses)
            yield Inside(bar.label, section, bool(parts), tuple(moves(courses, tuned, (a4, a4)))), tuned
            courses, before = tuned, bar.instrument


def _goes_back(piece: SoundingPiece) -> bool:
    """True if the piece sends the player back ("da capo") once it has been retuned."""
    lines = (*(line for bar in piece.bars[1:] for line in bar.directives), *piece.closing)
    retunings = (place for place, line in enumerate(lines) if line.kind is DirectiveKind.RETUNE)
    first = next(retunings, len(lines))
    return any(line.kind is DirectiveKind.AGAIN for line in lines[first:])


def _retuned(piece: SoundingPiece, bar: SoundingBar, course: TunedCourse, a4: float) -> TunedCourse:
    """A course as the bar's instrument has it. Strings that a retuning does not name stay as they are."""
    new = bar.instrument.courses[course.number - 1]
    named = _strings(new.strings, a4, _length(piece, course.diapason))
    return TunedCourse(
        course.number, (*named, *course.strings[len(named) :]), course.diapason, course.struck, Known.DECLARED
    )


def _strings(pitches: Sequence[SpelledPitch], a4: float, length: float | None) -> tuple[TunedString, ...]:
    sounding = ((pitch, frequency(pitch.semitones, a4)) for pitch in pitches)
    return tuple(TunedString(pitch, hertz, _strain(hertz, length)) for pitch, hertz in sounding)


def _strain(hertz: float, length: float | None) -> Strain:
    if length is None:
        return Strain.UNKNOWN
    below = semitones_below_breaking(hertz, length)
    return Strain.BEYOND if below < 0 else Strain.NEAR if below < NEAR else Strain.FAR


def _length(piece: SoundingPiece, diapason: bool) -> float | None:
    lengths = piece.heading.strings
    return None if lengths is None else lengths[1] if diapason else lengths[0]
