"""A number behind tempo words that nobody can follow."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.music import TEMPO_NUMBER
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import DirectiveKind
from pipeline.model.tempo import FASTEST, SLOWEST, tempo_of


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Every tempo line with such a number; the practice file then takes its usual pace."""
    ratio = piece.heading.values
    for bar in piece.bars:
        for line in bar.directives:
            if line.kind is not DirectiveKind.TEMPO:
                continue
            tempo = tempo_of(line.text)
            if not tempo.possible(ratio):
                yield Diagnostic(
                    TEMPO_NUMBER,
                    line.value_span,
                    f"This tempo is {tempo.crotchets(ratio):,} crotchets a minute in the edition’s values.",
                    f"From {SLOWEST} to {FASTEST} can be played; a rhythm sign as typed stands before the =.",
                )
