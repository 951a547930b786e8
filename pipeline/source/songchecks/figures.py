"""A figure over the bass that the tablature contradicts: 6 over a fifth, a sharp over a minor third, 4 over a third."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.song import FIGURE_DIFFERS
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.source.songchecks.struck import bar_of, struck_classes

#: Rows of a column, what they ask for and what contradicts it, in semitones above the bass, with its name.
_ASKED: dict[tuple[str, ...], tuple[tuple[int, ...], tuple[int, ...], str]] = {
    ("#",): ((4,), (3,), "a minor third"),
    ("b",): ((3,), (4,), "a major third"),
    ("6",): ((8, 9), (6, 7), "a fifth"),
    ("4",): ((5, 6), (3, 4), "a third"),
}


def check(piece: SoundingPiece, song: Song) -> Iterator[Diagnostic]:
    """Every printed column at the beginning of its note that the stroke there contradicts."""
    struck = struck_classes(piece) if any(line.bass for line in song.lines) else {}
    for line in song.lines:
        for note in line.notes if line.bass else ():
            classes = struck.get(note.onset)
            column = note.figures[0] if note.figures and note.figures[0].offset == 0 else None
            if classes is None or column is None or note.pitch is None or not column.printed:
                continue
            asked, other, name = _ASKED.get(column.rows, ((), (), ""))
            above = {(pitch - note.pitch.semitones) % 12 for pitch in classes}
            if 0 in above and above.intersection(other) and not above.intersection(asked):
                yield Diagnostic(
                    FIGURE_DIFFERS,
                    note.span,
                    f"{bar_of(piece, note.bar)}: the figure {column.rows[0]} stands over {note.pitch}, and the "
                    f"tablature has {name} there.",
                    "Look at the figure, and at the chord in the tablature.",
                    (),
                    piece.bars[note.bar].label,
                )
