"""Music after a final bar line, without a new section."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.bars import MUSIC_AFTER_END
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.signs import Event
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Bar, Barline, BarlineAct, BarlineKind, Directive, DirectiveKind
from pipeline.model.text import Span
from pipeline.source.checks.words import labels

_FRESH_STARTS = frozenset({DirectiveKind.SECTION, DirectiveKind.GAP})


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """The first event after each final line that no section follows."""
    numbers = labels(piece)
    final: Span | None = None
    for item in piece.tablature.body:
        if isinstance(item, Directive) and item.kind in _FRESH_STARTS:
            final = None
        if not isinstance(item, Bar):
            continue
        for sign in (*item.items, item.closing):
            if isinstance(sign, Event) and final is not None:
                yield _finding(sign.span, final, numbers.get(item.span, ""))
                final = None
            elif _ends(sign):
                final = sign.span


def _ends(sign: object) -> bool:
    return isinstance(sign, Barline) and sign.kind is BarlineKind.FINAL and sign.act is not BarlineAct.REMOVED


def _finding(span: Span, final: Span, bar: str) -> Diagnostic:
    return Diagnostic(
        MUSIC_AFTER_END,
        span,
        "Music follows the final bar line.",
        "Type || for a double bar, or a section line before the music that follows.",
        (Related(final, "the final bar line"),),
        bar,
    )
