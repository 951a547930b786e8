"""Repeats that never close, and repeats that may begin in two places."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.findings.codes.bars import UNCLOSED_REPEAT, UNOPENED_REPEAT
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Bar, Barline, BarlineAct, BarlineKind, Directive, DirectiveKind
from pipeline.model.text import Span
from pipeline.source.checks.words import labels

_OPENING = frozenset({BarlineKind.REPEAT_START, BarlineKind.REPEAT_BOTH})
_CLOSING = frozenset({BarlineKind.REPEAT_END, BarlineKind.REPEAT_BOTH})
_PLAIN_ENDS = frozenset({BarlineKind.DOUBLE, BarlineKind.FINAL})


@dataclass(frozen=True, slots=True)
class _Line:
    """A bar line that the edition has; ``bar`` is the number of its bar."""

    kind: BarlineKind
    span: Span
    bar: str


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Walk from line to line; one strain is open at most."""
    opened: _Line | None = None
    double: _Line | None = None
    last: _Line | None = None
    for line in _lines(piece):
        if line is None:
            double = None
            continue
        last = line
        if line.kind in _CLOSING:
            if opened is None and double is not None:
                yield _unopened(line, double)
            opened = double = None
        if line.kind in _OPENING:
            if opened is not None:
                yield _unclosed(opened, f"another repeat opens at line {line.span.line} before it closes")
            opened, double = line, None
        elif line.kind in _PLAIN_ENDS and opened is None:
            double = line
    # Dots on both sides of the very last line are the printer's ornament.
    if opened is not None and not (opened is last and opened.kind is BarlineKind.REPEAT_BOTH):
        yield _unclosed(opened, "no later bar line closes it")


def _lines(piece: SoundingPiece) -> Iterator[_Line | None]:
    """The edition's bar lines in order; None where a new section or a gap makes a fresh start."""
    numbers = labels(piece)
    kinds = {kind.value: kind for kind in BarlineKind}
    for item in piece.tablature.body:
        if isinstance(item, Directive):
            kind = kinds.get(item.text.partition('"')[0])
            if item.kind is DirectiveKind.OPENS and kind is not None:
                yield _Line(kind, item.value_span, "")
            elif item.kind in (DirectiveKind.SECTION, DirectiveKind.GAP):
                yield None
        elif isinstance(item, Bar):
            for line in (*item.items, item.closing):
                if isinstance(line, Barline) and line.act is not BarlineAct.REMOVED:
                    yield _Line(line.kind, line.span, numbers.get(item.span, ""))


def _unclosed(line: _Line, why: str) -> Diagnostic:
    return Diagnostic(
        UNCLOSED_REPEAT,
        line.span,
        f"A repeat opens here, and {why}.",
        "Type .|| where the strain ends; .||! if the source lacks it.",
        bar=line.bar,
    )


def _unopened(line: _Line, double: _Line) -> Diagnostic:
    return Diagnostic(
        UNOPENED_REPEAT,
        line.span,
        "This repeat has no beginning of its own, and a double bar without dots stands on the way back.",
        "Type ||. at the double bar if the players go back to it, or opens ||. where they do.",
        (Related(double.span, "the double bar on the way"),),
        line.bar,
    )
