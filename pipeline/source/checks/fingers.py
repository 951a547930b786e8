"""More stopped courses than fingers.

Rule (common practice, no source): four fingers stop courses. One finger lies across several courses at one fret if no
course between them sounds at a lower fret or open; with the mark ``'b`` over the event the lowest fret takes one
finger in any case.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pipeline.findings.codes.hand import TOO_MANY_FINGERS
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.sounding import SoundingEvent, SoundingPiece
from pipeline.source.checks.words import bar_name

FINGERS = 4
BARRE = "b"


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Every event that needs more fingers than a hand has."""
    for bar in piece.bars:
        if bar.bar.ditto is not None:
            continue
        for event in bar.events:
            if event.repeated or len(event.stops) <= FINGERS:
                continue
            board = bar.instrument.over_fingerboard
            frets = {stop.course: stop.fret for stop in event.stops if stop.course <= board}
            needed = fingers(frets, barre=_has_barre(event))
            if needed > FINGERS:
                yield Diagnostic(
                    TOO_MANY_FINGERS,
                    event.event.span,
                    f"{bar_name(bar)}: this chord needs {needed} fingers of the left hand.",
                    "Look for a figure that stands one line off, or an open course read as stopped; a barre is "
                    "typed 'b over the event.",
                    bar=bar.label,
                )


def fingers(frets: dict[int, int], *, barre: bool = False) -> int:
    """How many fingers stop these courses (course → fret, 0 open)."""
    stopped = [fret for fret in frets.values() if fret > 0]
    if not stopped:
        return 0
    lowest = min(stopped)
    return sum(1 if barre and fret == lowest else _at_fret(sorted(frets.items()), fret) for fret in set(stopped))


def _at_fret(courses: Iterable[tuple[int, int]], fret: int) -> int:
    """Fingers needed at one fret: a new one wherever a lower fret or an open course sounds between."""
    count, lying = 0, False
    for _, other in courses:
        if other == fret:
            count += not lying
            lying = True
        elif other < fret:
            lying = False
    return count


def _has_barre(event: SoundingEvent) -> bool:
    return BARRE in event.event.marks
