"""A sung leap of more than an octave: usually an octave figure that was forgotten or mistyped.

Vocal lines of the period leap an octave at most, and seldom that (common practice, no source). Lines of notes state
their octave by a figure that holds on, so one slip moves all that follows.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from pipeline.findings.codes.song import SUNG_LEAP
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.source.songchecks.struck import bar_of

#: Semitones: more than an octave.
LEAST = 13


def check(piece: SoundingPiece, song: Song) -> Iterator[Diagnostic]:
    """Every leap between two notes that follow each other without a rest."""
    for line in song.lines:
        for one, two in pairwise(line.notes):
            if one.pitch is None or two.pitch is None or line.bass:
                continue
            leap = two.pitch.semitones - one.pitch.semitones
            if abs(leap) < LEAST:
                continue
            yield Diagnostic(
                SUNG_LEAP,
                two.span,
                f"{bar_of(piece, two.bar)}: {line.title or line.name} leaps {'up' if leap > 0 else 'down'} from "
                f"{one.pitch} to {two.pitch}.",
                "Is an octave figure missing or mistyped? It holds until the next one.",
                (Related(one.span, "from here"),),
                piece.bars[two.bar].label,
            )
