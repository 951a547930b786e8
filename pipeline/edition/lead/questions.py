"""Questions to the editor that follow from the reading."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.edition.diapasons import ReadDiapason, read_diapasons
from pipeline.findings.codes import reading
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.pitch import SpelledPitch, from_fifths
from pipeline.model.sounding import SoundingPiece
from pipeline.model.voiced import LedNote, LedPiece

#: So many octaves are asked about in a piece, the likeliest; the others are marked in the proof all the same.
_MOST = 8
_CHROMATIC = (0, 7, 2, -3, 4, -1, 6, 1, 8, 3, -2, 5)


def questions(led: LedPiece) -> tuple[Diagnostic, ...]:
    """Doubtful octaves, pins that cannot be followed, and the bass scale where none is declared."""
    return (*_octaves(led), *_pins(led), *_scale(led.sounding))


def _octaves(led: LedPiece) -> Iterator[Diagnostic]:
    labels = _labels(led.sounding)
    asked = [(note, note.restored) for note in led.notes if note.restored is not None and note.restored.asked]
    asked.sort(key=lambda one: (-one[1].confidence, one[0].onset, one[0].id))
    kept = {note.id for note, _ in asked[:_MOST]}
    for note in led.notes:
        restored = note.restored
        if restored is None or note.id not in kept:
            continue
        low, high = _plain(note.stop.pitch), _plain(note.stop.pitch + 12)
        yield Diagnostic(
            reading.OCTAVE_DOUBTFUL,
            note.stop.stop.span,
            f"Does the line mean {low}, as it sounds, or {high}? The reading finds {high} "
            f"{round(100 * restored.confidence)} % likely.",
            f'Label the stop and pin it: "a > octave up, or "a > octave kept for {low}.',
            bar=labels.get(note.id.partition("e")[0], ""),
        )


def _pins(led: LedPiece) -> Iterator[Diagnostic]:
    by_id: dict[str, LedNote] = {note.id: note for note in led.notes}
    labels = _labels(led.sounding)
    for stop, why in led.refused:
        yield Diagnostic(
            reading.PIN_IMPOSSIBLE,
            by_id[stop].stop.stop.span,
            f"The pin at this stop cannot be followed: {why}.",
            "Shorten it, or look at the stop that it runs into.",
            bar=labels.get(stop.partition("e")[0], ""),
        )


def _scale(piece: SoundingPiece) -> Iterator[Diagnostic]:
    for read in read_diapasons(piece):
        if read.differs:
            yield _suggestion(read)


def _suggestion(read: ReadDiapason) -> Diagnostic:
    note = read.note
    where = ", ".join(dict.fromkeys(bar.label for bar, _ in read.strokes if bar.label))
    new, old = _plain(note.pitch), _plain(read.now)
    bar, stop = read.strokes[0]
    return Diagnostic(
        reading.SCALE_QUESTION,
        stop.stop.span,
        f"Is course {note.course} tuned to {new} here, not {old}? It is struck in bars {where}; the fretted notes "
        f"have the pitch class of {new} {note.fretted} times, that of {old} {note.against} times.",
        f"If so, declare it in the heading: diapasons {note.course} = {new}.",
        bar=bar.label,
    )


def _plain(pitch: int) -> str:
    """A pitch by its usual name, for a message: F#2, Bb1."""
    name: SpelledPitch = from_fifths(_CHROMATIC[pitch % 12], pitch)
    return name.name


def _labels(piece: SoundingPiece) -> dict[str, str]:
    return {f"b{bar.index + 1}": bar.label for bar in piece.bars}
