"""A stretch that no hand reaches.

Rule: of the courses stopped in one event (open strings and diapasons do not count, held ones do), the lowest and the
highest fret may lie at most 16.5 cm apart along the string (from memory, no source: the span of index and little
finger on a fingerboard). Fret ``n`` lies ``L · 2^(-n/12)`` from the bridge, in equal temperament. Where the heading
declares no length, the shortest of the trade is taken, so that only what nobody reaches is reported: 70 cm for a
theorbo, 55 cm for lutes (PS: Spencer, Early Music 4/4, 1976: theorbo 70-93 cm, liuto attiorbato 55-64 cm).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import exp2

from pipeline.findings.codes.hand import WIDE_STRETCH
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.heading import Heading
from pipeline.model.instrument import Instrument
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop
from pipeline.source.checks.words import bar_name

REACH_CM = 16.5
SHORTEST_THEORBO_CM = 70.0
SHORTEST_LUTE_CM = 55.0
MIDDLE_C = 60


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Every event whose stopped frets lie too far apart."""
    for bar in piece.bars:
        if bar.bar.ditto is not None:
            continue
        length, declared = string_length(piece.heading, bar.instrument)
        for event in bar.events:
            if not event.repeated:
                yield from _stretch(bar, event, length, declared)


def string_length(heading: Heading, instrument: Instrument) -> tuple[float, bool]:
    """Centimetres of the stopped strings, and whether the heading declares them."""
    if heading.strings is not None:
        return heading.strings[0], True
    stopped = instrument.courses[: instrument.stopped]
    low = bool(instrument.re_entrant) and all(course.pitch.semitones < MIDDLE_C for course in stopped)
    return (SHORTEST_THEORBO_CM if low else SHORTEST_LUTE_CM), False


def distance(low: int, high: int, length: float) -> float:
    """Centimetres between two frets on a string of ``length`` centimetres, in equal temperament."""
    return length * (exp2(-low / 12) - exp2(-high / 12))


def _stretch(bar: SoundingBar, event: SoundingEvent, length: float, declared: bool) -> Iterator[Diagnostic]:
    stopped = [stop for stop in event.stops if stop.fret > 0]
    if len(stopped) < 2:
        return
    low = min(stopped, key=lambda stop: stop.fret)
    high = max(stopped, key=lambda stop: stop.fret)
    reach = distance(low.fret, high.fret, length)
    if reach <= REACH_CM:
        return
    string = f"a string of {length:g} cm" if declared else f"even a short string of {length:g} cm"
    odd, other = _odd_one(stopped, low, high)
    yield Diagnostic(
        WIDE_STRETCH,
        odd.stop.span,
        f"{bar_name(bar)}: frets {low.fret} and {high.fret} lie {reach:.1f} cm apart on {string}; a hand "
        f"reaches {REACH_CM:g} cm.",
        f"Look at the figure on course {odd.course} again: confused with another one, or one line off?",
        (Related(other.stop.span, f"the other end of the stretch, course {other.course}"),),
        bar.label,
    )


def _odd_one(stopped: list[SoundingStop], low: SoundingStop, high: SoundingStop) -> tuple[SoundingStop, SoundingStop]:
    """Which end lies further from the rest of the hand, and the other; the higher fret if they tell nothing."""
    middle = sum(stop.fret for stop in stopped) / len(stopped)
    return (low, high) if middle - low.fret > high.fret - middle else (high, low)
