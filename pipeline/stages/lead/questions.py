"""Questions to the editor that follow from the reading."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from pipeline.codes import reading
from pipeline.diagnostics import Diagnostic
from pipeline.model.pitch import SpelledPitch, from_fifths
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.voiced import LedNote, LedPiece
from pipeline.source import Span
from pipeline.stages.scale import ScaleNote, infer_scale

#: A scale is asked about only if it is this likely.
_LIKELY = 0.9
#: … and the fretted notes have the class that often: elsewhere it would be a guess from habit.
_FEWEST = 3
_CHROMATIC = (0, 7, 2, -3, 4, -1, 6, 1, 8, 3, -2, 5)


def questions(led: LedPiece) -> tuple[Diagnostic, ...]:
    """Doubtful octaves, pins that cannot be followed, and the bass scale where none is declared."""
    return (*_octaves(led), *_pins(led), *_scale(led.sounding))


def _octaves(led: LedPiece) -> Iterator[Diagnostic]:
    labels = _labels(led.sounding)
    for note in led.notes:
        restored = note.restored
        if restored is None or not restored.asked:
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
    heading = piece.heading
    if heading.scale_declared or any(bar.instrument is not heading.instrument for bar in piece.bars):
        return
    rows = [(bar, event, stop) for bar in piece.bars for event in bar.events for stop in event.stops if not stop.held]
    instrument = heading.instrument
    if not any(instrument.is_diapason(stop.course) for _, _, stop in rows):
        return
    usual = tuple(course.pitch.semitones for course in instrument.courses[instrument.stopped :])
    found = infer_scale(
        np.array([event.onset for _, event, _ in rows], dtype=np.int64),
        np.array([stop.pitch for _, _, stop in rows], dtype=np.int64),
        np.array([stop.course for _, _, stop in rows], dtype=np.int64),
        instrument.stopped,
        usual,
    )
    for note in found:
        declared = usual[note.course - instrument.stopped - 1]
        heard = note.fretted >= _FEWEST and note.fretted > note.against
        if note.pitch != declared and heard and note.chance >= _LIKELY:
            bar, _, stop = rows[note.rows[0]]
            yield _suggestion(note, declared, bar, stop.stop.span, [rows[row][0].label for row in note.rows])


def _suggestion(note: ScaleNote, declared: int, bar: SoundingBar, span: Span, bars: list[str]) -> Diagnostic:
    where = ", ".join(dict.fromkeys(label for label in bars if label))
    new, old = _plain(note.pitch), _plain(declared)
    return Diagnostic(
        reading.SCALE_QUESTION,
        span,
        f"Is course {note.course} tuned to {new} here, not {old}? It is struck in bars {where}; the fretted notes have "
        f"the class of {new} {note.fretted} times, that of {old} {note.against} times.",
        f"If so, declare it in the heading: diapasons {note.course} = {new}.",
        bar=bar.label,
    )


def _plain(pitch: int) -> str:
    """A pitch by its usual name, for a message: F#2, Bb1."""
    name: SpelledPitch = from_fifths(_CHROMATIC[pitch % 12], pitch)
    return name.name


def _labels(piece: SoundingPiece) -> dict[str, str]:
    return {f"b{bar.index + 1}": bar.label for bar in piece.bars}
