"""A piece whose last bar closes with a plain bar line: the end may not have been typed."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.bars import NO_FINAL_LINE
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import BarlineKind
from pipeline.source.checks.words import bar_name
from pipeline.source.measuring.damage import damaged

#: Shorter pieces are openings and trials.
FEWEST = 12


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """One finding at the end of a piece."""
    if len(piece.bars) < FEWEST or piece.closing:
        return
    last = piece.bars[-1]
    closing = last.bar.closing
    if closing.kind is not BarlineKind.SINGLE or damaged(last.bar.items):
        return
    yield Diagnostic(
        NO_FINAL_LINE,
        closing.span,
        f"{bar_name(last)} is the last, and no double or final bar line closes it.",
        "If bars are missing, type them; if the source ends so, |||! says that the edition adds the line.",
        bar=last.label,
    )
