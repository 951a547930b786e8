"""Findings of an earlier text that still stand while a later one is read: those on lines that have not changed."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.model.diagnostics import Diagnostic
from pipeline.model.record import replace
from pipeline.model.text import SourceText, Span


@dataclass(frozen=True, slots=True)
class Moved:
    """Where the lines of one text stand in another: the first ones and the last ones are the same in both."""

    file: str
    same_above: int
    before: int
    after: int
    same_below: int

    @classmethod
    def between(cls, before: SourceText, after: SourceText) -> Moved:
        old, new = before.lines, after.lines
        most = min(len(old), len(new))
        above = next((at for at in range(most) if old[at] != new[at]), most)
        most -= above
        below = next((at for at in range(most) if old[-1 - at] != new[-1 - at]), most)
        return cls(before.name, above, len(old), len(new), below)

    def span(self, span: Span) -> Span | None:
        """Where a place stands now; None if its line has changed."""
        if span.file != self.file or span.line <= self.same_above:
            return span
        if span.line <= self.before - self.same_below:
            return None
        return Span(span.file, span.line + self.after - self.before, span.start, span.end)


def still_standing(found: tuple[Diagnostic, ...], before: SourceText, after: SourceText) -> tuple[Diagnostic, ...]:
    """The findings on ``before`` that stand on lines which are the same in ``after``, where these are now."""
    if before == after:
        return found
    moved = Moved.between(before, after)
    kept = []
    for one in found:
        span = moved.span(one.span)
        if span is None:
            continue
        places = [(other, moved.span(other.span)) for other in one.related]
        related = tuple(replace(other, span=place) for other, place in places if place is not None)
        kept.append(replace(one, span=span, related=related))
    return tuple(kept)
