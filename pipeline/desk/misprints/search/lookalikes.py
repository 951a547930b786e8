"""What a stop may be a misprint of: the next line, a figure of like shape, a diapason with a stroke more or less.

Sign one line off, digits confused (1/7, 3/5, 0/6), a slash dropped: common practice, no source. Letters of like shape
(a/d, b/h, c/e) are this project's own choice, no source: known is only that c looks like r, which means the same fret.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.desk.misprints.proposal import Slip
from pipeline.model.instrument import Instrument
from pipeline.model.signs import Signs

FIGURES = {1: 7, 7: 1, 3: 5, 5: 3, 0: 6, 6: 0}
#: As frets: a/d, b/h, c/e.
LETTERS = {0: 3, 3: 0, 1: 7, 7: 1, 2: 4, 4: 2}


@dataclass(frozen=True, slots=True)
class Lookalike:
    """Another reading of a stop."""

    slip: Slip
    course: int
    fret: int


def lookalikes(course: int, fret: int, instrument: Instrument, signs: Signs) -> tuple[Lookalike, ...]:
    """Every reading that a stop may have been printed for, on this instrument. Symmetric: what A may be printed for
    may be printed for A."""
    return tuple(_lookalikes(course, fret, instrument, signs))


def _lookalikes(course: int, fret: int, instrument: Instrument, signs: Signs) -> Iterator[Lookalike]:
    if instrument.is_diapason(course):
        for other in (course - 1, course + 1):
            if instrument.stopped < other <= len(instrument.courses):
                yield Lookalike(Slip.DIAPASON_CONFUSED, other, 0)
        return
    for other in (course - 1, course + 1):
        if 1 <= other <= min(instrument.stopped, len(instrument.courses)):
            yield Lookalike(Slip.LINE_OFF, other, fret)
    figure = (FIGURES if signs is Signs.ITALIAN else LETTERS).get(fret)
    if figure is not None and figure <= instrument.highest_fret:
        yield Lookalike(Slip.FIGURE_CONFUSED, course, figure)
