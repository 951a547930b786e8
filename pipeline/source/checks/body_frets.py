"""Frets beyond the tied ones: legal, worth a warning.

Tied gut frets reach the 8th; body frets 9 to 12 are modern, though higher positions were played (PS-inf).
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.hand import FRET_ON_BODY
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.sounding import SoundingPiece
from pipeline.source.checks.words import bar_name


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """One finding for each bar that goes beyond the tied frets, at its first such sign."""
    for bar in piece.bars:
        if bar.bar.ditto is not None:
            continue
        tied = bar.instrument.tied_frets
        high = [
            stop
            for event in bar.events
            if not event.repeated
            for stop in event.stops
            if stop.fret > tied and not stop.held
        ]
        if not high:
            continue
        first, *rest = high
        yield Diagnostic(
            FRET_ON_BODY,
            first.stop.span,
            f"{bar_name(bar)}: fret {first.fret} on course {first.course} lies beyond the tied frets, which end "
            f"at {tied}.",
            "Such notes were played; check whether the source has one here (confused figures, or a diapason sign "
            "typed on a course).",
            tuple(Related(stop.stop.span, f"also fret {stop.fret}") for stop in rest),
            bar.label,
        )
