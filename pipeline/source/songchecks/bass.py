"""A typed bass that the tablature does not have: asked only where the two agree nearly everywhere else."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.song import BASS_DIFFERS
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.time import Ticks
from pipeline.source.songchecks.struck import bar_of, letter, struck_classes

#: From so many notes on, with so many of them in the tablature, the others are asked about (this project's own).
FEWEST, SHARE = 8, 0.9


def check(piece: SoundingPiece, song: Song) -> Iterator[Diagnostic]:
    """Every note of such a bass with which the tablature strikes a bass of its own, and nothing of that name."""
    basses = any(line.bass for line in song.lines)
    struck = struck_classes(piece) if basses else {}
    deep = _deep(piece) if basses else frozenset()
    for line in song.lines:
        if not line.bass:
            continue
        notes = [
            (note, note.pitch)
            for note in line.notes
            if note.pitch is not None and not note.tied and note.onset in struck
        ]
        lacking = [(note, pitch) for note, pitch in notes if pitch.semitones % 12 not in struck[note.onset]]
        if len(notes) < FEWEST or len(notes) - len(lacking) < SHARE * len(notes):
            continue
        for note, pitch in lacking:
            if note.onset not in deep:
                continue  # the player leaves the bass out
            yield Diagnostic(
                BASS_DIFFERS,
                note.span,
                f"{bar_of(piece, note.bar)}: {line.title or line.name} has {letter(pitch)}, and the tablature strikes "
                "none there.",
                "Elsewhere the two agree: look at this note and at the lowest course.",
                (),
                piece.bars[note.bar].label,
            )


def _deep(piece: SoundingPiece) -> frozenset[Ticks]:
    """The moments at which a bass is struck: on a course beside the fingerboard, or on the two lowest over it."""
    return frozenset(
        event.onset
        for bar in piece.bars
        for event in bar.events
        if any(stop.course >= bar.instrument.stopped - 1 and not stop.held for stop in event.stops)
    )
