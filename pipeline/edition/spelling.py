"""Names of the notes, by their neighbours on the line of fifths.

The line of fifths runs … Bb F C G D A E B F# … with C = 0; a sounding pitch class has one name in every
twelve places. Each note takes the name that stands best among the names of what sounds with it, just
before and after it, in its section and in the whole piece; a semitone step prefers two letters (C#–D, not
Db–D). The weights are learned from spelled scores (``spelling.npz`` beside this module).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.floating[Any]]

#: Lowest and highest place considered: Ebb … B#, and two beyond each.
LOWEST, HIGHEST = -11, 15
_WIDTH = HIGHEST - LOWEST + 1
#: Signatures considered where none is declared: six flats to six sharps.
SIGNATURES = np.arange(-6, 7)
#: Context, in notes to each side.
_NEAR, _SECTION = 8, 40
#: What one more sharp or flat in the signature costs, in the logarithm of its chance.
_RARE = 1.0
_STEPS = 6  # a semitone step is looked for among so many notes before and after
ROUNDS = 3
#: Columns of context per note; each is weighed by the distance on the line of fifths.
CONTEXTS = 9


@dataclass(frozen=True, slots=True)
class Spelling:
    """``fifths`` is the place of each note on the line of fifths (C = 0, F# = 6, Bb = -1), in the order
    given; ``signature`` the declared key signature or the one found (-1 = one flat); ``sure`` is
    how clearly it beat the next best, between 0 and 1 (1 where declared)."""

    fifths: list[int]
    signature: int
    sure: float


@dataclass(frozen=True, slots=True)
class Weights:
    """``profile`` scores pitch classes by their place above the signature, shape (12,);
    ``names`` gives each of those its usual place on the line of fifths, shape (12,);
    ``relation`` scores a name by the distance to each neighbour, shape (CONTEXTS, 2 * width - 1);
    ``place`` scores its distance from the signature, shape (width of signatures and names,)."""

    profile: Floats
    names: Ints
    relation: Floats
    place: Floats


@cache
def learned_weights() -> Weights:
    """The stored weights; read once."""
    with (files("pipeline.edition") / "spelling.npz").open("rb") as stream, np.load(stream) as stored:
        relation, place = stored["relation"].astype(np.float32), stored["place"].astype(np.float32)
        return Weights(stored["profile"], stored["names"], relation, place)


def spell(
    onsets: Sequence[int],
    pitches: Sequence[int],
    declared_fifths: int | None = None,
    hints: Sequence[int | None] | None = None,
) -> Spelling:
    """Spell every note.

    ``onsets`` in ticks, in rising order; ``pitches`` in semitones (C4 = 60). ``declared_fifths`` is the
    key signature where the piece declares one. ``hints`` fixes single notes: their place on the line of
    fifths, or None. Raises ValueError if the lengths differ or a hint names another pitch class.
    """
    onset, pitch = np.asarray(onsets, dtype=np.int64), np.asarray(pitches, dtype=np.int64)
    fixed = _fixed(pitch, hints)
    if len(onset) != len(pitch) or np.any(np.diff(onset) < 0):
        raise ValueError("onsets must rise and match the pitches in number")
    weights = learned_weights()
    classes = pitch * 7 % 12
    signature, sure = find_signature(classes, weights.profile)
    if declared_fifths is not None:
        signature, sure = declared_fifths, 1.0
    if not len(pitch):
        return Spelling([], signature, sure)
    names = first_names(classes, signature, weights)
    names = np.where(fixed == _FREE, names, fixed)
    for _ in range(ROUNDS):
        better = np.where(fixed == _FREE, _best_names(onset, pitch, names, signature, weights), fixed)
        if np.array_equal(better, names):
            break
        names = better
    return Spelling(names.tolist(), signature, sure)


_FREE = 99
#: Long pieces are spelled in stretches, so that their arrays stay small; each sees what stands around it.
_STRETCH, _MARGIN = 1000, 2 * _SECTION


def _best_names(onset: Ints, pitch: Ints, names: Ints, signature: int, weights: Weights) -> Ints:
    """For every note the name that stands best among its neighbours' present ones."""
    whole = np.bincount(names - LOWEST, minlength=_WIDTH).astype(np.float64)
    best = np.empty_like(names)
    for at in range(0, len(names), _STRETCH):
        first, last = max(0, at - _MARGIN), min(len(names), at + _STRETCH + _MARGIN)
        seen = slice(first, last)
        contexts = context(onset[seen], pitch[seen], names[seen], whole)
        found = _best_of_class(contexts, pitch[seen] * 7 % 12, signature, weights)
        best[at : at + _STRETCH] = found[at - first : at - first + _STRETCH]
    return best


def _best_of_class(contexts: Floats, classes: Ints, signature: int, weights: Weights) -> Ints:
    """The best of the two or three names that each pitch class may take."""
    best = np.empty(len(classes), dtype=np.int64)
    for one in np.unique(classes):
        rows = np.flatnonzero(classes == one)
        places = np.flatnonzero(possible(one[None])[0])
        best[rows] = places[score_names(contexts[rows], signature, weights, places).argmax(axis=1)] + LOWEST
    return best


def _fixed(pitch: Ints, hints: Sequence[int | None] | None) -> Ints:
    fixed = np.full(len(pitch), _FREE, dtype=np.int64)
    if hints is None:
        return fixed
    if len(hints) != len(pitch):
        raise ValueError("as many hints as notes, please")
    for index, hint in enumerate(hints):
        if hint is not None:
            if (hint - pitch[index] * 7) % 12 or not LOWEST <= hint <= HIGHEST:
                raise ValueError(f"{hint} on the line of fifths cannot name semitone {pitch[index]}")
            fixed[index] = hint
    return fixed


def find_signature(classes: Ints, profile: Floats) -> tuple[int, float]:
    """The signature whose scale fits best, and by how much per note it beats the next (capped at 1).

    ``classes`` are pitch classes by fifths (C = 0, G = 1 … F = 11).
    """
    counts = np.bincount(classes, minlength=12)
    fit = np.array([counts @ profile[(np.arange(12) - key) % 12] for key in SIGNATURES])
    fit -= _RARE * np.abs(SIGNATURES)  # few notes tell little
    fit[0] -= 1e-6  # six flats sound like six sharps: sharps, then
    order = np.argsort(fit)
    gap = (fit[order[-1]] - fit[order[-2]]) / max(1, len(classes))
    return int(SIGNATURES[order[-1]]), float(min(1.0, gap / 0.2))


def first_names(classes: Ints, signature: int, weights: Weights) -> Ints:
    """A first guess: the usual name in the scale that fits the section, near the piece's signature."""
    keys = np.arange(signature - 5, signature + 6)
    fits = weights.profile[(classes[:, None] - keys) % 12]
    local = _window(fits, _SECTION) - 1.5 * np.abs(keys - signature)
    key = keys[local.argmax(axis=1)]
    names: Ints = key + weights.names[(classes - key) % 12]
    names = np.where(names < LOWEST, names + 12, names)
    return np.where(names > HIGHEST, names - 12, names)


def possible(classes: Ints) -> npt.NDArray[np.bool_]:
    """Which names each class may take, shape (notes, places)."""
    allowed: npt.NDArray[np.bool_] = (np.arange(LOWEST, HIGHEST + 1) - classes[:, None]) % 12 == 0
    return allowed


def score_names(contexts: Floats, signature: int, weights: Weights, places: Ints | None = None) -> Floats:
    """Score of the names at ``places`` (all, if not given) for every note, shape (notes, places)."""
    offsets = np.arange(_WIDTH)
    names = offsets if places is None else places
    spread = weights.relation[:, offsets[:, None] - names[None, :] + _WIDTH - 1]  # (context, neighbour, name)
    scores: Floats = contexts.reshape(len(contexts), -1) @ spread.reshape(-1, len(names))
    return scores + weights.place[names - signature + LOWEST + 24]


def context(onset: Ints, pitch: Ints, names: Ints, whole: Floats) -> Floats:
    """How often each name stands near each note, shape (notes, CONTEXTS, places).

    ``whole`` counts the names of the whole piece, shape (places,).
    Contexts: with it · before · after · section · piece · next and previous a semitone up, down.
    """
    notes = len(pitch)
    one = np.zeros((notes, _WIDTH), dtype=np.float32)
    one[np.arange(notes), names - LOWEST] = 1.0
    found = np.zeros((notes, CONTEXTS, _WIDTH), dtype=np.float32)
    sums = np.vstack([np.zeros(_WIDTH), np.cumsum(one, axis=0)])
    first, last = np.searchsorted(onset, onset, "left"), np.searchsorted(onset, onset, "right")
    found[:, 0] = sums[last] - sums[first] - one
    found[:, 1] = sums[first] - sums[np.maximum(0, first - _NEAR)]
    found[:, 2] = sums[np.minimum(notes, last + _NEAR)] - sums[last]
    found[:, 3] = (_window(one, _SECTION) - one) / _SECTION * 4
    found[:, 4] = (whole - one) / max(1.0, whole.sum() - 1) * 8
    for lag in range(1, min(_STEPS + 1, notes)):
        rise = pitch[lag:] - pitch[:-lag]
        later = onset[lag:] > onset[:-lag]
        for column, step in ((5, 1), (6, -1)):
            here = np.flatnonzero(later & (rise == step))
            found[here, column] += one[here + lag] / lag
            found[here + lag, column + 2] += one[here] / lag
    return found


def _window(rows: Floats, reach: int) -> Floats:
    """Sum of each row with ``reach`` rows to either side."""
    sums = np.vstack([np.zeros(rows.shape[1]), np.cumsum(rows, axis=0)])
    place = np.arange(len(rows))
    total: Floats = sums[np.minimum(len(rows), place + reach + 1)] - sums[np.maximum(0, place - reach)]
    return total
