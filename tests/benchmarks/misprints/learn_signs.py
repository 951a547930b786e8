"""Learn what speaks for a change of sign or bar line: ``python -m tests.benchmarks.misprints.learn_signs``.

Seeds rhythm errors into arranged pieces of the training part and fits the weights of
``pipeline/desk/misprints/search/weights.py`` so that the right change is the likeliest of those that make the bar add
up.
Prints the table to be pasted there.
"""

from __future__ import annotations

import sys
from collections import defaultdict

import numpy as np
import numpy.typing as npt

from pipeline.desk.misprints.proposal import OF_TIME, Slip
from pipeline.desk.misprints.search.habits import habits_of
from pipeline.desk.misprints.search.signs import FEATURES, SignSlip, SuspectBar, suspect_bars
from pipeline.desk.misprints.search.weights import SIGNS
from tests.benchmarks.misprints.material import arranged, sample
from tests.benchmarks.misprints.seeding import Seed, Seeded, firsts, music

Floats = npt.NDArray[np.float64]
RATE, ROUNDS, PULL = 1 / 12, 3, 0.01


def lessons(seeded: Seeded) -> list[tuple[Slip, Floats, npt.NDArray[np.bool_]]]:
    """For each rhythm error its kind, the numbers of every change offered, and which of them are right."""
    right, starts = music(seeded.right), firsts(seeded.piece)
    found = []
    for suspect, _ in suspect_bars(seeded.piece.bars, habits_of(seeded.piece.bars), SIGNS):
        first = starts[suspect.stretch.bars[0].index]
        end = starts[suspect.stretch.bars[-1].index + 1]
        seeds = [seed for seed in seeded.seeds if seed.slip in OF_TIME and seed.first < end and first < seed.end]
        if len(seeds) == 1 and suspect.slips:
            labels = np.array([is_right(slip, suspect, seeds[0], first, right) for slip in suspect.slips])
            found.append((seeds[0].slip, np.array([slip.weighed for slip in suspect.slips]), labels))
    return found


def is_right(slip: SignSlip, suspect: SuspectBar, seed: Seed, first: int, right: list[tuple[object, ...]]) -> bool:
    """Whether the change gives back the music that was spoilt."""
    if seed.slip is Slip.BAR_LINE_EXTRA:
        return slip.slip is seed.slip
    if seed.slip is Slip.BAR_LINE_MISSING:
        return slip.slip is seed.slip and bool(right[first + slip.number - 1][2])
    if slip.change is None:
        return False
    return list(slip.lengths) == [row[0] for row in right[first : first + len(slip.lengths)]]


def fit(cases: list[tuple[Slip, Floats, npt.NDArray[np.bool_]]]) -> Floats:
    """Weights of the greatest likelihood, pulled towards nought."""
    usable = [(numbers, labels) for _, numbers, labels in cases if labels.any()]
    rows = np.concatenate([numbers for numbers, _ in usable])
    labels = np.concatenate([right for _, right in usable]).astype(np.float64)
    group = np.repeat(np.arange(len(usable)), [len(right) for _, right in usable])
    scale = rows.std(axis=0) + 1e-6
    rows = rows / scale
    weights = np.zeros(rows.shape[1])
    first, second = np.zeros_like(weights), np.zeros_like(weights)
    for step in range(1, 1501):
        share = _shares(rows @ weights, group)
        good = share * labels
        wanted = good / np.bincount(group, good)[group]
        slope = rows.T @ (share - wanted) / len(usable) + PULL * weights
        first, second = 0.9 * first + 0.1 * slope, 0.999 * second + 0.001 * slope**2
        weights -= 0.02 * (first / (1 - 0.9**step)) / (np.sqrt(second / (1 - 0.999**step)) + 1e-8)
    result: Floats = weights / scale
    return result


def _shares(scores: Floats, group: npt.NDArray[np.int64]) -> Floats:
    top = np.full(group.max() + 1, -np.inf)
    np.maximum.at(top, group, scores)
    raised = np.exp(scores - top[group])
    shares: Floats = raised / np.bincount(group, raised)[group]
    return shares


def share_right(cases: list[tuple[Slip, Floats, npt.NDArray[np.bool_]]], weights: Floats) -> dict[str, tuple[int, int]]:
    """By kind: how often the likeliest change is right, of how many."""
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for slip, numbers, labels in cases:
        for name in (slip.value, "all"):
            counts[name][0] += int(labels[np.argmax(numbers @ weights)])
            counts[name][1] += 1
    return {name: (good, every) for name, (good, every) in counts.items()}


def gathered(part: str, pieces: int, rounds: int) -> list[tuple[Slip, Floats, npt.NDArray[np.bool_]]]:
    found = []
    for round_ in range(rounds):
        for piece in arranged(sample(part, pieces, round_), round_):
            found += lessons(piece.seeded(round_, RATE))
    return found


def main() -> None:
    cases = gathered("train", 120, ROUNDS)
    weights = fit(cases)
    checked = gathered("dev", 85, 1)
    for title, some in (("train", cases), ("dev", checked)):
        print(title, share_right(some, weights), file=sys.stderr)
    for name, weight in zip(FEATURES, weights, strict=True):
        print(f"    {weight:.3f},  # {name}")


if __name__ == "__main__":
    main()
