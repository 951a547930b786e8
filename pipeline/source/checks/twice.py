"""Two bars in a row that are typed alike: one may have been typed twice.

Bars do repeat: only a bar with many different stops is asked about, that equals its neighbour to the sign, in all its
lines, while neither the bar before nor the one after does; and never where such pairs are the rule of the piece.
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.bars import BAR_TWICE
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.signs import Stop
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.source import encoded
from pipeline.source.checks.words import bar_name

#: So many events, with so many different stops, make a bar that is seldom repeated at once; more than so many pairs in
#: a piece are its manner (this project's own, calibrated on a corpus).
EVENTS, STOPS, MOST = 5, 5, 2


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Each pair of such bars, at the second."""
    bars = piece.bars
    pairs = [at for at in range(1, len(bars)) if _look_alike(bars[at - 1], bars[at]) and _are_twice(piece, at)]
    for at in pairs if len(pairs) <= MOST else ():
        one, two = piece.bars[at - 1], piece.bars[at]
        yield Diagnostic(
            BAR_TWICE,
            two.bar.span,
            f"{bar_name(two)} is typed just like the bar before it.",
            "If the source has it once, remove one of the two; if it says to repeat it, type ditto.",
            (Related(one.bar.span, "the same here"),),
            two.label,
        )


def _look_alike(one: SoundingBar, two: SoundingBar) -> bool:
    """Whether two bars may be typed alike: they have as many events, on the same courses and frets. It is quick to see
    of most that they have not."""
    return len(one.events) == len(two.events) and all(
        len(first.event.stops) == len(second.event.stops)
        and all(map(_same_place, first.event.stops, second.event.stops))
        for first, second in zip(one.events, two.events, strict=True)
    )


def _same_place(one: Stop, two: Stop) -> bool:
    first, second = one.sign, two.sign
    if first is None or second is None:
        return first is second
    return first.course == second.course and first.fret == second.fret


def _are_twice(piece: SoundingPiece, at: int) -> bool:
    """Whether a bar is typed like the one before, and neither the one before that nor the next is."""
    typed = _typed(piece, piece.bars[at])
    if not typed or typed != _typed(piece, piece.bars[at - 1]):
        return False
    around = (*piece.bars[max(at - 2, 0) : at - 1], *piece.bars[at + 1 : at + 2])
    return all(typed != _typed(piece, bar) for bar in around)


def _typed(piece: SoundingPiece, bar: SoundingBar) -> tuple[str, ...]:
    """The words of a bar and of what is sung to it; empty for a bar that is not asked about."""
    if bar.bar.ditto is not None or len(bar.events) < EVENTS:
        return ()
    stops = {(stop.course, stop.fret) for event in bar.events for stop in event.stops}
    if len(stops) < STOPS:
        return ()
    words = [encoded.event(event.event, piece.heading.signs) for event in bar.events]
    sung = [word for layer in bar.bar.layers for word, _ in layer.words]
    return (*words, "|", *sung)
