"""A figure over the bass that the tablature contradicts: 6 over a fifth, a sharp over a minor third, 4 over a third.

What an accidental beside a figure asks for is told by size: a sharp for the larger interval of its number, a flat for
the smaller, a natural for the note without accidental. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.song import FIGURE_DIFFERS
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.pitch import SEMITONES, STEPS, SpelledPitch
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.source.songchecks.struck import bar_of, struck_classes

#: What a figure asks for and what contradicts it, in semitones above the bass, with its name.
_Asked = tuple[tuple[int, ...], tuple[int, ...], str]
_MINOR, _MAJOR = "a minor third", "a major third"
#: Figures that stand alone over their note: with others beside them a player takes other notes.
_ALONE: dict[str, _Asked] = {
    "6": ((8, 9), (6, 7), "a fifth"),
    "4": ((5, 6), (3, 4), "a third"),
    "7": ((9, 10, 11), (8,), "a sixth"),
}
#: Figures that mean the same whatever stands beside them.
_ALTERED: dict[str, _Asked] = {
    "#": ((4,), (3,), _MINOR),
    "b": ((3,), (4,), _MAJOR),
    "#6": ((9, 10), (8,), "a minor sixth"),
    "b6": ((8,), (9,), "a major sixth"),
    "#4": ((6,), (5,), "a perfect fourth"),
    "b5": ((6,), (7,), "a perfect fifth"),
    "#7": ((11,), (10,), "a minor seventh"),
    "b7": ((10,), (11,), "a major seventh"),
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
            above = {(pitch - note.pitch.semitones) % 12 for pitch in classes}
            for row in column.rows:
                asked, other, name = _asked(row, note.pitch, alone=len(column.rows) == 1)
                if 0 in above and above.intersection(other) and not above.intersection(asked):
                    yield Diagnostic(
                        FIGURE_DIFFERS,
                        note.span,
                        f"{bar_of(piece, note.bar)}: the figure {row} stands over {note.pitch}, and the "
                        f"tablature has {name} there.",
                        "Look at the figure, and at the chord in the tablature.",
                        (),
                        piece.bars[note.bar].label,
                    )


def _asked(row: str, bass: SpelledPitch, *, alone: bool) -> _Asked:
    if row == "n":
        third = (SEMITONES[STEPS[(STEPS.index(bass.step) + 2) % 7]] - bass.semitones) % 12
        return {3: ((3,), (4,), _MAJOR), 4: ((4,), (3,), _MINOR)}.get(third, ((), (), ""))
    return _ALTERED.get(row) or (_ALONE.get(row, ((), (), "")) if alone else ((), (), ""))
