"""Learn how far the judge of stops is to be trusted: ``python -m tests.benchmarks.misprints.learn_trust``.

Seeds the misprints of the benchmark, at its rate, into arranged pieces of the training part and fits the weights
``STOPS`` of ``pipeline/desk/misprints/search/weights.py``, so that the chances of what is typed and of every other
reading are as likely as can be. Prints the table to be pasted there.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from pipeline.desk.misprints.proposal import OF_MUSIC, OF_TIME, Slip
from pipeline.desk.misprints.search.context import context_of, passages_of
from pipeline.desk.misprints.search.judge import learned
from pipeline.desk.misprints.search.stops import Compared, compared
from tests.benchmarks.misprints.material import arranged, sample
from tests.benchmarks.misprints.seeding import Seed, Seeded, firsts

Floats = npt.NDArray[np.float64]
KINDS = tuple(slip for slip in Slip if slip in OF_MUSIC - OF_TIME)
#: Readings at most beside the typed one; seeds of arrangements that the judge was not taught with.
WIDTH, FIRST_SEED, ROUNDS, PIECES = 3, 100, 3, 300


def lessons(seeded: Seeded) -> Iterator[tuple[Compared, int]]:
    """Every stop with the place of the right reading: 0 what is typed, else one of the others from 1. Other stops of
    a spoilt bar are left out."""
    context = context_of(seeded.piece)
    if context is None:
        return
    starts = firsts(seeded.piece)
    numbers = {
        event.id: starts[bar.index] + place for bar in seeded.piece.bars for place, event in enumerate(bar.events)
    }
    for one in compared(context, passages_of([context]), seeded.piece.tablature.signs, learned()):
        event = numbers[context.events[context.event[one.row]].id]
        here = [seed for seed in seeded.seeds if seed.first <= event < seed.end]
        if not here:
            yield one, 0
        elif _meant(here[0], event, int(context.course[one.row])):
            rights = [place for place, other in enumerate(one.others, 1) if (other.course, other.fret) == here[0].right]
            if rights:
                yield one, rights[0]


def _meant(seed: Seed, event: int, course: int) -> bool:
    return seed.slip in KINDS and seed.event == event and seed.printed[0] == course


def fit(cases: list[tuple[Compared, int]]) -> Floats:
    """Weights of the greatest likelihood, shape (kinds, 4), by Newton's steps, none of them too long."""
    count = len(KINDS) * 4
    x = np.zeros((len(cases), WIDTH, count))
    held = np.zeros((len(cases), WIDTH), dtype=bool)
    for row, (one, _) in enumerate(cases):
        for place, other in enumerate(one.others):
            at = 4 * KINDS.index(other.slip)
            x[row, place, at : at + 4] = (1.0, one.ahead[place], one.crowd[place], one.unruly)
            held[row, place] = True
    right = np.array([place for _, place in cases])
    wanted = np.zeros((len(cases), WIDTH))
    wanted[right > 0, right[right > 0] - 1] = 1
    weights = np.zeros(count)
    weights[::4], weights[1::4] = -6.0, 0.5
    for _ in range(60):
        raised = np.where(held, np.exp(np.minimum(x @ weights, 30)), 0)
        share = raised / (1 + raised.sum(axis=1, keepdims=True))
        slope = np.einsum("ij,ijk->k", share - wanted, x) + 0.1 * weights
        mean = np.einsum("ij,ijk->ik", share, x)
        bend = np.einsum("ij,ijk,ijl->kl", share, x, x) - mean.T @ mean + 0.1 * np.eye(count)
        step = np.linalg.solve(bend, slope)
        weights -= step * min(1.0, 0.5 / np.abs(step).max())
    result: Floats = weights.reshape(len(KINDS), 4)
    return result


def main() -> None:
    cases: list[tuple[Compared, int]] = []
    for seed in range(FIRST_SEED, FIRST_SEED + ROUNDS):
        for piece in arranged(sample("train", PIECES, seed), seed):
            cases += lessons(piece.seeded(seed))
    print(f"# {len(cases)} stops, {sum(right > 0 for _, right in cases)} of them misprinted")
    for kind, row in zip(KINDS, fit(cases), strict=True):
        print(f"    Slip.{kind.name}: ({', '.join(f'{weight:.3f}' for weight in row)}),")


if __name__ == "__main__":
    main()
