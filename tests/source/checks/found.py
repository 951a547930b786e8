"""What one check finds in a few typed lines."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from pipeline.model.diagnostics import Diagnostic
from pipeline.model.sounding import SoundingPiece
from tests.made import HEADING, resolved, text


@dataclass(frozen=True)
class Found:
    """A finding as a test writes it down: music line (from 1), column, the text underlined, and the words."""

    line: int
    column: int
    under: str
    slug: str
    message: str
    hint: str
    related: tuple[tuple[int, int, str], ...]
    bar: str


def find(check: Callable[[SoundingPiece], Iterator[Diagnostic]], music: str, heading: str = HEADING) -> list[Found]:
    """All findings of one check; lines count from the first line of the music."""
    source = text(music, heading)
    above = heading.count("\n") + 1
    piece, _ = resolved(music, heading)
    return [
        Found(
            one.span.line - above,
            one.span.start,
            source.at(one.span),
            one.code.slug,
            one.message,
            one.hint,
            tuple((other.span.line - above, other.span.start, other.message) for other in one.related),
            one.bar,
        )
        for one in check(piece)
    ]
