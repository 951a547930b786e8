"""Texts as an editor holds them, for tests of what it is told."""

from __future__ import annotations

from pipeline.desk.converse.insight import insight
from pipeline.desk.converse.look import Look, look_at
from pipeline.desk.converse.record import Fix, Insight
from pipeline.desk.converse.rewriting import applied
from pipeline.edition.leading import ReadThrough, read_through
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.text import SourceText

NAME = "trial.intav"
HEADING = "longneck 1\ntitle Trial\nsource A = Trial book\nsource B = Trial manuscript\neditor EB = E. B.\n"
HEADING += 'instrument theorbo in A\nmetre C\nkey C major\nmark T = "t" trill, after\nlayer v = Canto, clef C1\n\n'


def source(text: str) -> SourceText:
    return SourceText.of(NAME, text)


def looked(text: str) -> Look:
    return look_at(source(text))


def through(text: str) -> ReadThrough:
    return read_through(source(text))


def read(text: str) -> tuple[tuple[Diagnostic, ...], Insight]:
    """Every finding, and what is read into the signs."""
    done = through(text)
    return done.settled(), insight(done.led.value)


def at(text: str, typed: str, inside: int = 0) -> tuple[int, int]:
    """Line and column of the first place where something is typed, or so many characters into it."""
    before = text[: text.index(typed)]
    return before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1 + inside


def made(text: str, fix: Fix) -> str:
    """The text with a change made."""
    return applied(text, fix.changes)
