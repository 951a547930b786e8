"""Lines ``layout …`` that say nothing: before the first bar, after the last, or before another one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.findings.codes.pages import LAYOUT_NOT_FOLLOWED
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Directive, DirectiveKind

_MOVE = "Type it before the bar that it is about."


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Whether lines or pages can be set as asked is found when they are set."""
    for bar in piece.bars:
        asked = _layouts(bar.directives)
        for line in asked[:-1]:
            message = (
                f"“layout {line.text}” stands before the same bar as “layout {asked[-1].text}”, which is followed."
            )
            related = (Related(asked[-1].span, "the one that is followed"),)
            yield Diagnostic(LAYOUT_NOT_FOLLOWED, line.span, message, "Take one of them out.", related, bar.label)
        if asked and not bar.index:
            message = f"“layout {asked[-1].text}” stands before the first bar, which begins the first page."
            yield Diagnostic(LAYOUT_NOT_FOLLOWED, asked[-1].span, message, _MOVE, (), bar.label)
    for line in _layouts(piece.closing):
        message = f"“layout {line.text}” stands behind the last bar."
        yield Diagnostic(LAYOUT_NOT_FOLLOWED, line.span, message, _MOVE)


def _layouts(lines: Sequence[Directive]) -> list[Directive]:
    return [line for line in lines if line.kind is DirectiveKind.LAYOUT]
