"""Two bars in a row that are typed alike: one may have been typed twice.

Bars do repeat: only a bar with many different stops is asked about, that equals its neighbour to the sign, in all its
lines, while neither the bar before nor the one after does; and never where such pairs are the rule of the piece.
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.bars import BAR_TWICE
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.source import encoded
from pipeline.source.checks.words import bar_name

#: So many events, with so many different stops, make a bar that is seldom repeated at once; more than so many pairs in
#: a piece are its manner (this project's own, calibrated on a corpus).
EVENTS, STOPS, MOST = 5, 5, 2


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Each pair of such bars, at the second."""
    typed = [_typed(piece, bar) for bar in piece.bars]
    pairs = [
        at
        for at in range(1, len(typed))
        if typed[at]
        and typed[at] == typed[at - 1]
        and typed[at] not in (*typed[max(at - 2, 0) : at - 1], *typed[at + 1 : at + 2])
    ]
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
