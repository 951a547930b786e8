"""The scale of the diapasons, read from the fretted notes where a piece does not declare it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from pipeline.model.time import WHOLE, Ticks

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.floating[Any]]

#: Each letter natural or altered as diapasons usually are (common practice): pitch classes, C = 0.
LETTERS = ((0, 1), (2,), (4, 3), (5, 6), (7, 8), (9, 8), (11, 10))
#: What speaks for a tuning: the piece's use of that class (a logarithm), then for each interval above it, in
#: semitones from 0 to 11, the notes struck with the diapason, those within a minim of it, the next bass note, the
#: last. Learned from the training part of the corpus: ``python -m tests.benchmarks.voices.learn_scale``.
# fmt: off
WEIGHTS: tuple[float, ...] = (
    1.15,
    2.48, -2.76, 0.44, 1.24, 1.32, -0.98, 0.37, 1.64, 1.31, 0.31, -3.00, -2.37,
    4.29, 0.60, -1.43, -0.48, 0.23, 0.34, -0.75, 0.90, -0.52, -1.48, -1.52, -0.18,
    0.26, 0.02, 0.73, -1.15, 0.12, -0.92, 0.09, 1.39, -0.42, 0.98, -0.14, -0.96,
    -0.47, -1.17, -0.34, 0.80, 0.24, -0.18, -0.15, -0.14, -0.01, 0.13, 0.50, 0.79,
)
# fmt: on
_NEAR: Ticks = WHOLE // 2


@dataclass(frozen=True, slots=True)
class ScaleNote:
    """What is known of one diapason that the piece uses.

    ``pitch`` is the reading (semitones), ``rival`` the other tuning weighed (equal where none is usual); ``chance``
    that the reading is right. ``rows`` are the rows where the course is struck, ``fretted`` how often fretted notes
    of the piece have the class of the reading, and ``against`` that of the rival.
    """

    course: int
    pitch: int
    rival: int
    chance: float
    rows: tuple[int, ...]
    fretted: int
    against: int


def infer_scale(onset: Ints, pitch: Ints, course: Ints, stopped: int, usual: tuple[int, ...]) -> tuple[ScaleNote, ...]:
    """The tuning of every diapason that is struck, lowest course number first.

    One row per stop, sorted by ``onset`` (ticks); ``pitch`` in semitones, that of diapasons is not looked at.
    ``stopped`` is the number of courses on the fingerboard, ``usual`` the preset's tuning of the courses after them.
    """
    fretted = course <= stopped
    classes = np.bincount(pitch[fretted] % 12, minlength=12)
    found = []
    for number in np.unique(course[~fretted]).tolist():
        rows = np.flatnonzero(course == number)
        candidates = tunings(usual[number - stopped - 1])
        scores = [float(evidence(onset, pitch, fretted, rows, tried) @ np.array(WEIGHTS)) for tried in candidates]
        best = int(np.argmax(scores))
        rival = candidates[1 - best] if len(candidates) == 2 else candidates[0]
        chance = 1 / (1 + np.exp(np.clip(min(scores) - max(scores), -30, 30))) if len(candidates) == 2 else 1.0
        found.append(
            ScaleNote(
                number,
                candidates[best],
                rival,
                float(chance),
                tuple(rows.tolist()),
                int(classes[candidates[best] % 12]),
                int(classes[rival % 12]),
            )
        )
    return tuple(found)


def tunings(usual: int) -> tuple[int, ...]:
    """The pitches that a diapason may be tuned to, keeping its letter."""
    letter = next(classes for classes in LETTERS if usual % 12 in classes)
    return tuple(usual + (kind - usual + 6) % 12 - 6 for kind in letter)


def evidence(onset: Ints, pitch: Ints, fretted: npt.NDArray[np.bool_], rows: Ints, tried: int) -> Floats:
    """What ``WEIGHTS`` weighs, for one tuning of the diapason struck in ``rows``; shape (49,)."""
    above = np.where(fretted, (pitch - tried) % 12, 12)
    classes = np.bincount(above, minlength=13)
    with_it = _around(onset, above, onset[rows], onset[rows])
    near = _around(onset, above, onset[rows] - _NEAR, onset[rows] + _NEAR) - with_it
    scale = len(rows) ** 0.5
    steps = [_bass_step(onset, pitch, fretted, rows, tried=tried, side=side) / scale for side in ("right", "left")]
    return np.concatenate([[np.log(classes[0] + 0.5)], with_it / scale, near / scale / 4, *steps])


def _bass_step(
    onset: Ints,
    pitch: Ints,
    fretted: npt.NDArray[np.bool_],
    rows: Ints,
    *,
    tried: int,
    side: Literal["left", "right"],
) -> Floats:
    """How often each interval class lies between the diapason and the lowest course of the next event (``right``) or
    of the one before (``left``), where that is fretted; shape (12,)."""
    edge = np.searchsorted(onset, onset[rows], side)
    other = edge if side == "right" else edge - 1
    inside = (other >= 0) & (other < len(onset))
    other = other[inside]
    if side == "left":
        other = np.searchsorted(onset, onset[other], "left")
    other = other[fretted[other]]
    steps: Floats = np.bincount((pitch[other] - tried) % 12, minlength=12).astype(np.float64)
    return steps


def _around(onset: Ints, above: Ints, first: Ints, last: Ints) -> Floats:
    """How often each interval class stands between two moments, both included, summed over many such stretches."""
    starts, ends = np.searchsorted(onset, first, "left"), np.searchsorted(onset, last, "right")
    edges = np.bincount(starts, minlength=len(onset) + 1) - np.bincount(ends, minlength=len(onset) + 1)
    times = np.cumsum(edges)[: len(onset)]
    sums: Floats = np.bincount(above, weights=times, minlength=13)[:12].astype(np.float64)
    return sums
