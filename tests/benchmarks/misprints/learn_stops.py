"""Learn which readings of a stop fit: ``python -m tests.benchmarks.misprints.learn_stops [pieces]``, seeded.

Arranged pieces of the training part, right as they are. For each stop the readings it may be a misprint of compete
with it, and for one of those, drawn evenly, what *it* may be a misprint of; the right reading shall win. Writes
``pipeline/desk/misprints/search/weights.npz``.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import numpy.typing as npt

from pipeline.desk.misprints.search import seen as seeing
from pipeline.desk.misprints.search.context import Context, context_of, passages_of
from pipeline.desk.misprints.search.judge import fits
from pipeline.desk.misprints.search.lookalikes import lookalikes
from tests.benchmarks.misprints.material import arranged, sample
from tests.benchmarks.misprints.seeding import read
from tests.benchmarks.voices import split

Floats = npt.NDArray[np.float32]
FILE = Path(__file__).parent.parent.parent.parent / "pipeline" / "stages" / "misprints" / "weights.npz"
#: Readings at most for one case: the right one and its rivals.
WIDTH, STOPS = 5, 200
HIDDEN, SECOND = 96, 32
STEPS, BATCH, ROUNDS = 32000, 512, 2
#: Kinds of which there are fewer pieces are arranged so many times more.
MORE = 3


def cases(context: Context, signs: object, chance: np.random.Generator) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """(cases, WIDTH, numbers), the right reading first, and which places hold a reading."""
    rows: list[tuple[int, int, int, int]] = []
    held: list[list[bool]] = []
    chosen = chance.permutation(len(context.stops))[:STOPS]
    for stop in np.sort(chosen).tolist():
        bar = context.bars[context.event[stop]]
        right = (int(context.course[stop]), int(context.fret[stop]))
        taken = {c for c, _ in context.figures[context.event[stop]]} - {right[0]}

        def rivals(course: int, fret: int) -> list[tuple[int, int]]:
            found = lookalikes(course, fret, bar.instrument, signs)  # type: ignore[arg-type]  # noqa: B023
            return [(one.course, one.fret) for one in found if one.course not in taken]  # noqa: B023

        near = rivals(*right)
        if not near:
            continue
        printed = near[int(chance.integers(len(near)))]
        for others in (near, [printed, *(one for one in rivals(*printed) if one != right)]):
            group = [right, *others][:WIDTH]
            held.append([place < len(group) for place in range(WIDTH)])
            rows += [(stop, c, f, bar.instrument.sounding(c, f)[0]) for c, f in group]
            rows += [(stop, *right, int(context.pitch[stop]))] * (WIDTH - len(group))
    table = np.array(rows, dtype=np.int64)
    readings = seeing.Readings(table[:, 0], table[:, 1], table[:, 2], table[:, 3])
    numbers = seeing.seen(context, readings, passages_of([context]))
    return numbers.reshape(-1, WIDTH, numbers.shape[1]), np.array(held)


def gathered(part: str, pieces: int, seed: int, rare: bool = False) -> tuple[Floats, npt.NDArray[np.bool_]]:
    chance = np.random.default_rng(seed)
    found = []
    names = [name for name in sample(part, pieces, seed) if not rare or split.kind_of(name) != "palestrina"]
    for piece in arranged(names, seed):
        sounding = read(piece.text)
        context = context_of(sounding)
        if context is not None:
            numbers, held = cases(context, sounding.tablature.signs, chance)
            found.append((numbers.astype(np.float16), held))
    return np.concatenate([one for one, _ in found]), np.concatenate([one for _, one in found])


def learn(numbers: npt.NDArray[np.float16], held: npt.NDArray[np.bool_], seed: int = 1) -> dict[str, Floats]:
    """Adam on the likelihood of the right reading, the rate falling to nought."""
    chance = np.random.default_rng(seed)
    width = numbers.shape[2]
    tree = {
        "w1": chance.normal(0, (2 / width) ** 0.5, (width, HIDDEN)),
        "b1": np.zeros(HIDDEN),
        "w2": chance.normal(0, (2 / HIDDEN) ** 0.5, (HIDDEN, SECOND)),
        "b2": np.zeros(SECOND),
        "w3": chance.normal(0, (1 / SECOND) ** 0.5, SECOND),
    }
    tree = {name: value.astype(np.float32) for name, value in tree.items()}
    first = {name: np.zeros_like(value) for name, value in tree.items()}
    second = {name: np.zeros_like(value) for name, value in tree.items()}
    for step in range(1, STEPS + 1):
        rows = chance.integers(len(numbers), size=BATCH)
        slopes = _slopes(tree, numbers[rows].astype(np.float32), held[rows], chance)
        rate = 0.002 * (1 - step / STEPS) + 1e-5
        for name, bare in slopes.items():
            slope = bare + 1e-4 * tree[name]
            first[name] = 0.9 * first[name] + 0.1 * slope
            second[name] = 0.999 * second[name] + 0.001 * slope**2
            ahead = first[name] / (1 - 0.9**step)
            tree[name] -= (rate * ahead / (np.sqrt(second[name] / (1 - 0.999**step)) + 1e-8)).astype(np.float32)
    return tree


def _slopes(
    tree: dict[str, Floats], x: Floats, held: npt.NDArray[np.bool_], chance: np.random.Generator
) -> dict[str, Floats]:
    cases_, wide, width = x.shape
    x = x.reshape(-1, width)
    x = x * (chance.random(x.shape, dtype=np.float32) > 0.02)
    z1 = np.maximum(x @ tree["w1"] + tree["b1"], 0)
    z2 = np.maximum(z1 @ tree["w2"] + tree["b2"], 0)
    scores = np.where(held, (z2 @ tree["w3"]).reshape(cases_, wide), -60)
    raised = np.exp(scores - scores.max(axis=1, keepdims=True))
    share = raised / raised.sum(axis=1, keepdims=True)
    share[:, 0] -= 1
    back = (share * held).reshape(-1).astype(np.float32) / cases_
    d2 = back[:, None] * tree["w3"] * (z2 > 0)
    d1 = (d2 @ tree["w2"].T) * (z1 > 0)
    return {"w3": z2.T @ back, "w2": z1.T @ d2, "b2": d2.sum(0), "w1": x.T @ d1, "b1": d1.sum(0)}


def right_share(tree: dict[str, Floats], numbers: npt.NDArray[np.float16], held: npt.NDArray[np.bool_]) -> str:
    scores = np.stack([fits(numbers[:, place].astype(np.float32), tree) for place in range(WIDTH)], axis=1)
    scores = np.where(held, scores, -60)
    rest = np.log(np.exp(scores[:, 1:] - scores[:, :1]).sum(axis=1) + 1e-30)
    return (
        f"right first {(scores.argmax(axis=1) == 0).mean():.4f}, "
        f"likelihood {-np.log1p(np.exp(np.minimum(rest, 50))).mean():.4f}, wrong by 5 nats {(rest > 5).mean():.5f}"
    )


def main() -> None:
    pieces = int(sys.argv[1]) if len(sys.argv) > 1 else 1039
    rounds = [gathered("train", pieces, seed) for seed in range(ROUNDS)]
    rounds += [gathered("train", pieces, seed, rare=True) for seed in range(ROUNDS, ROUNDS + MORE)]
    numbers, held = np.concatenate([one for one, _ in rounds]), np.concatenate([one for _, one in rounds])
    print(f"{len(numbers)} cases", file=sys.stderr)
    tree = learn(numbers, held)
    np.savez_compressed(FILE, **{name: value.astype(np.float16) for name, value in sorted(tree.items())})
    dev, dev_held = gathered("dev", 85, 0)
    print("train", right_share(tree, numbers[:20000], held[:20000]))
    print("dev", right_share(tree, dev, dev_held))


if __name__ == "__main__":
    main()
