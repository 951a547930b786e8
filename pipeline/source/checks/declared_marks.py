"""Capital marks that the heading does not declare.

Ornament signs vary by source: the file declares what each means there.
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.hand import UNDECLARED_MARK
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.layers import LayerNote
from pipeline.model.signs import MarkGroup, Reading
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Bar
from pipeline.model.text import Span


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """One finding for each undeclared letter, at its first place."""
    declared = {mark.letter for mark in piece.heading.marks}
    found: dict[str, list[Span]] = {}
    for bar in piece.tablature.bars:
        for group in _groups(bar):
            for letter in _letters(group.marks):
                if letter.isupper() and letter not in declared:
                    found.setdefault(letter, []).append(group.span)
    for letter, spans in found.items():
        first, *rest = spans
        yield Diagnostic(
            UNDECLARED_MARK,
            first,
            f"The mark {letter} is not declared in the heading.",
            f'Declare it there, for example: mark {letter} = "t" trill, after',
            tuple(Related(span, "also here") for span in rest),
        )


def _groups(bar: Bar) -> Iterator[MarkGroup]:
    """Marks over and at the stops of a bar, then those over the notes under it."""
    for event in bar.events:
        if event.head is not None:
            yield from event.head.marks
        for stop in event.stops:
            yield from stop.marks
    for line in bar.layers:
        for note in line.notes:
            if isinstance(note, LayerNote):
                yield from note.value_marks


def _letters(marks: tuple[Reading[str], ...]) -> Iterator[str]:
    for reading in marks:
        yield from dict.fromkeys(letter for letter in (reading.edition, reading.source) if letter is not None)
