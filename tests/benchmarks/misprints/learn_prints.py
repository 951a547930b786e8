"""Learn how surely the music says which of two sources is right: ``python -m tests.benchmarks.misprints.learn_prints``.

Seeds misprints into arranged pieces of the training part. Each piece then has two sources, the right one and the
spoilt one; either is asked, with the other beside it. Fits ``PRINTS`` of ``pipeline/desk/misprints/search/stops.py``
and prints how true the chances then are, on the training part and on the development part, which nothing was fitted to.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from pipeline.desk.misprints.search.context import context_of, passages_of
from pipeline.desk.misprints.search.judge import learned
from pipeline.desk.misprints.search.prints import other_prints
from pipeline.desk.misprints.search.stops import PRINTS, ahead_of
from pipeline.model.record import replace
from pipeline.model.sounding import SoundingPiece
from tests.benchmarks.misprints.material import arranged, sample

Floats = npt.NDArray[np.float64]
#: Seed of arrangements that the judge was not taught with; pieces of each part; misprints a bar.
SEED, PIECES, RATE = 300, 120, 0.1
BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.01)


def cases(part: str) -> Iterator[tuple[float, bool]]:
    """By how much the other source's note fits better (log odds), and whether it is the right one."""
    for piece in arranged(sample(part, PIECES, SEED), SEED):
        seeded = piece.seeded(SEED, RATE)
        for asked, other, right in ((seeded.piece, seeded.right, True), (seeded.right, seeded.piece, False)):
            context = context_of(asked)
            if context is None:
                continue
            found = list(other_prints(asked, context, [_called(other)]))
            readings = [(one.row, one.other) for one in found]
            for (ahead,) in ahead_of(context, passages_of([context]), learned(), readings):
                yield ahead, right


def _called(piece: SoundingPiece) -> SoundingPiece:
    return replace(piece, tablature=replace(piece.tablature, name="other.intav"))


def fit(ahead: Floats, right: Floats) -> Floats:
    """A constant and a weight of the greatest likelihood, by Newton's steps."""
    x = np.stack([np.ones_like(ahead), ahead], axis=1)
    weights = np.array([0.0, 0.3])
    for _ in range(40):
        chance = 1 / (1 + np.exp(-x @ weights))
        bend = (x * (chance * (1 - chance))[:, None]).T @ x + 1e-6 * np.eye(2)
        weights -= np.linalg.solve(bend, x.T @ (chance - right))
    return weights


def show(part: str, ahead: Floats, right: Floats, weights: Floats) -> None:
    chance = 1 / (1 + np.exp(-weights[0] - weights[1] * ahead))
    print(f"{part}: {len(ahead)} differences, the likelier of the two right in {((chance > 0.5) == right).mean():.3f}")
    for low, high in pairwise(BINS):
        mine = (chance >= low) & (chance < high)
        if mine.any():
            print(f"    {mine.sum():5}  stated {chance[mine].mean():.3f}  true {right[mine].mean():.3f}")


def main() -> None:
    parts = {part: np.array(list(cases(part)), dtype=np.float64) for part in ("train", "dev")}
    weights = fit(parts["train"][:, 0], parts["train"][:, 1])
    print(f"PRINTS = {weights[0]:.3f}, {weights[1]:.3f}  (stored: {PRINTS})")
    for part, found in parts.items():
        show(part, found[:, 0], found[:, 1], weights)


if __name__ == "__main__":
    main()
