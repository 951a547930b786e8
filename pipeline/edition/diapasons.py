"""How the diapasons of a whole piece are tuned, as its fretted notes tell: records to arrays and back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pipeline.edition.scale import ScaleNote, infer_scale
from pipeline.model.pitch import SpelledPitch
from pipeline.model.sounding import SoundingBar, SoundingPiece, SoundingStop

#: A tuning is believed only if it is this likely …
LIKELY = 0.9
#: … and the fretted notes have its class that often: elsewhere it would be a guess from habit.
FEWEST = 3


@dataclass(frozen=True, slots=True)
class ReadDiapason:
    """The reading of one diapason, the tuning it has by declaration or by its instrument's name (``now``, semitones),
    and the strokes of it, each with its bar."""

    note: ScaleNote
    now: int
    strokes: tuple[tuple[SoundingBar, SoundingStop], ...]

    @property
    def differs(self) -> bool:
        """True where the fretted notes ask for another tuning, and surely enough."""
        heard = self.note.fretted >= FEWEST and self.note.fretted > self.note.against
        return self.note.pitch != self.now and heard and self.note.chance >= LIKELY


@dataclass(frozen=True, slots=True)
class AskedTuning:
    """A question: is a course tuned to ``pitch``, and not as its instrument usually is? ``chance`` is from 0 to 1."""

    pitch: SpelledPitch
    chance: float


def asked_tunings(piece: SoundingPiece) -> dict[int, AskedTuning]:
    """Course → the tuning that the fretted notes ask for, where nothing is declared. It is asked wherever the course
    is named, and changes no sound: to settle it, the editor declares one or the other."""
    courses = piece.heading.instrument.courses
    found = {}
    for read in read_diapasons(piece):
        if read.differs:
            usual = courses[read.note.course - 1].pitch
            pitch = SpelledPitch(usual.step, usual.alter + read.note.pitch - read.now, usual.octave)
            found[read.note.course] = AskedTuning(pitch, read.note.chance)
    return found


def read_diapasons(piece: SoundingPiece) -> Iterator[ReadDiapason]:
    """Every diapason that the piece strikes; none where the heading tunes any, or the piece retunes on its way."""
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
        strokes = tuple((rows[row][0], rows[row][2]) for row in note.rows)
        yield ReadDiapason(note, usual[note.course - instrument.stopped - 1], strokes)
