"""Whether two texts can be held against each other: courses, values, how far each is typed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.findings.codes.collating import CANNOT_COLLATE
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import Semitones
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import BarlineAct, BarlineKind
from pipeline.model.text import Span

_RUNS_ON = frozenset({BarlineKind.SINGLE, BarlineKind.DASHED})


def unfit(one: SoundingPiece, two: SoundingPiece) -> Iterator[Diagnostic]:
    """What keeps them apart as a whole."""
    place = _place(two)
    for piece in (one, two):
        if not piece.heading.instrument.courses:
            message = f"The tuning of {piece.heading.instrument.name or 'the instrument'} is not known."
            yield Diagnostic(CANNOT_COLLATE, _place(piece), message, "Declare its courses in the heading.")
        if not piece.bars:
            yield Diagnostic(CANNOT_COLLATE, _place(piece), "There is no bar in it.")
    if one.heading.values != two.heading.values:
        ratios = [f"{values.numerator}:{values.denominator}" for values in (two.heading.values, one.heading.values)]
        message = f"Its note values are read {ratios[0]}, those of the other text {ratios[1]}."
        yield Diagnostic(CANNOT_COLLATE, place, message, "Type both in the same note values, and declare them alike.")


def _place(piece: SoundingPiece) -> Span:
    return Span(piece.tablature.name, 1, 1, 1)


def tuned_otherwise(pairs: Sequence[tuple[SoundingBar, SoundingBar]], shift: Semitones) -> Iterator[Diagnostic]:
    """Each course that the second strikes and the first has not, or has tuned otherwise; ``shift`` semitones up all
    courses of the first may be."""
    told: set[int] = set()
    for here, there in pairs:
        for stop in (stop for event in there.events for stop in event.stops if stop.course not in told):
            mine = here.instrument.course(stop.course)
            if mine is not None and mine.pitch.semitones == tuning(there.instrument, stop.course) + shift:
                continue
            told.add(stop.course)
            other = "is not there" if mine is None else f"is {mine.pitch}"
            message = f"Course {stop.course} is {stop.open_string} here; in the other text it {other}."
            hint = "Declare both tunings alike; or longneck refinger writes this text for the other's instrument."
            yield Diagnostic(CANNOT_COLLATE, stop.stop.span, message, hint, bar=there.label)


def tuning(instrument: Instrument, number: int) -> Semitones:
    """The open string of a course, which must be there."""
    return instrument.courses[number - 1].pitch.semitones


def shift_of(one: SoundingPiece, two: SoundingPiece) -> Semitones:
    """How far all courses of the first lie above those of the second."""
    return tuning(one.heading.instrument, 1) - tuning(two.heading.instrument, 1)


def breaks_off(piece: SoundingPiece) -> bool:
    """Whether the text ends without a line that ends a piece."""
    closing = piece.bars[-1].bar.closing
    return closing.kind in _RUNS_ON or closing.act is BarlineAct.ADDED
