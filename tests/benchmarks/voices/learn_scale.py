"""Learn what tells the tuning of a diapason; print the weights to be put into ``pipeline/edition/scale.py``.

``python -m tests.benchmarks.voices.learn_scale``. Needs scipy (learning only). Seeded by the arranger.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import minimize

from pipeline.edition import scale
from tests.benchmarks.voices import corpus, split
from tests.benchmarks.voices.arrange import Arranged, Habit, arrange

PENALTY = 0.3


def rows_of(piece: Arranged) -> list[np.ndarray]:
    """Evidence for the true tuning less that for its rival, for every diapason struck."""
    stopped = len(piece.neck.stopped)
    fretted = piece.course <= stopped
    found = []
    for number in np.unique(piece.course[~fretted]).tolist():
        candidates = scale.tunings(piece.neck.diapasons[number - stopped - 1])
        if len(candidates) == 2:
            rows = np.flatnonzero(piece.course == number)
            true = int(piece.open_pitches[number - 1])
            rival = candidates[0] + candidates[1] - true
            both = [scale.evidence(piece.onset, piece.sounding, fretted, rows, tried) for tried in (true, rival)]
            found.append(both[0] - both[1])
    return found


def main() -> None:
    rows = []
    for name in split.names("train"):
        score = corpus.load(name)
        for habit in Habit:
            rows += rows_of(arrange(score, habit, 7, wide=True))
    table = np.array(rows)

    def loss(weights: np.ndarray) -> float:
        return float(np.logaddexp(0, -(table @ weights)).sum() + PENALTY * weights @ weights)

    found = minimize(loss, np.zeros(table.shape[1]), method="L-BFGS-B").x
    right, plain = np.mean(table @ found > 0), np.mean(table[:, 0] > 0)
    print(f"{len(table)} diapasons, right {right:.4f}, by classes alone {plain:.4f}")
    print("WEIGHTS: tuple[float, ...] = (")
    for line in (found[:1], found[1:13], found[13:25], found[25:37], found[37:]):
        print("    " + " ".join(f"{weight:.2f}," for weight in line))
    print(")")


if __name__ == "__main__":
    main()
