"""Checks of the source: one to a file, each a pure function from the piece as it sounds to its findings."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pipeline.model.diagnostics import Diagnostic
from pipeline.model.sounding import SoundingPiece
from pipeline.source.checks import (
    after_end,
    bar_length,
    basses,
    body_frets,
    clash,
    declared_marks,
    endings,
    fingers,
    gut,
    last_bar,
    layouts,
    pace,
    repeats,
    slur_course,
    stretch,
    twice,
)

Check = Callable[[SoundingPiece], Iterator[Diagnostic]]

CHECKS: tuple[Check, ...] = (
    bar_length.check,
    repeats.check,
    endings.check,
    after_end.check,
    slur_course.check,
    stretch.check,
    fingers.check,
    body_frets.check,
    clash.check,
    gut.check,
    declared_marks.check,
    basses.check,
    last_bar.check,
    layouts.check,
    twice.check,
    pace.check,
)


def run_checks(piece: SoundingPiece) -> tuple[Diagnostic, ...]:
    """The findings of all checks, check by check."""
    return tuple(finding for check in CHECKS for finding in check(piece))
