"""Learn the weights of the net that reads lines, octaves and lengths.

``python -m tests.benchmarks.voices.learn`` arranges the training part of the corpus (``lessons``), trains, and writes
``pipeline/edition/lead/lines/weights.npz``. Seeded: the same machine gives the same weights. Needs jax, for learning
only; the pipeline itself runs the net with numpy (``net.py``), and this script ends by comparing the two.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np

from pipeline.edition.lead.lines.features import COURSES, LIFTED, NODE, REACH, STEPS, WIDEST, see
from pipeline.edition.lead.lines.net import LISTENS as USED
from pipeline.edition.lead.lines.net import weigh
from tests.benchmarks.voices import corpus, split
from tests.benchmarks.voices.arrange import Habit, arrange
from tests.benchmarks.voices.lessons import Lessons, tablature, training

TARGET = Path(__file__).parents[3] / "pipeline/edition/lead/lines/weights.npz"
WIDE, MESSAGE, PAIR, NARROW = 96, 32, 48, 32
LAYERS = 3
SCALARS = 4
CROP, BATCH = 256, 8
RATE = 1.5e-3
SHARES = np.array([1.0, 1.0, 0.7, 0.3, 0.7, 0.5], np.float32)
#: From which step on the net listens to its own links, and how often.
LISTEN_FROM, LISTENS = 2000, 2
Tree = dict[str, Any]

BOTH = np.array([d for d in range(-REACH, REACH + 1) if d])
AHEAD = np.arange(1, REACH + 1)


def fresh(seed: int) -> Tree:
    """Random weights."""
    chance = np.random.default_rng(seed)

    def make(*shape: int, scale: float | None = None) -> np.ndarray:
        size = scale if scale is not None else (2.0 / shape[0]) ** 0.5
        return (chance.standard_normal(shape) * size).astype(np.float32)

    tree: Tree = {"in_w": make(NODE, WIDE), "in_b": np.zeros(WIDE, np.float32)}
    for layer in range(LAYERS):
        tree |= {f"{name}{layer}": value for name, value in _message(make, MESSAGE, len(BOTH)).items()}
        tree[f"m_w{layer}"], tree[f"m_b{layer}"] = make(MESSAGE, MESSAGE), np.zeros(MESSAGE, np.float32)
        tree[f"u{layer}"], tree[f"v{layer}"] = make(WIDE, WIDE, scale=0.08), make(2 * MESSAGE, WIDE, scale=0.08)
        tree[f"c{layer}"] = np.zeros(WIDE, np.float32)
    tree |= {f"{name}p": value for name, value in _message(make, PAIR, REACH).items()}
    tree |= {"p_w": make(PAIR, NARROW), "p_b": np.zeros(NARROW, np.float32)}
    tree |= {"out_w": make(NARROW, 4, scale=0.1), "out_b": np.zeros(4, np.float32)}
    for name in ("first", "last"):
        tree |= {f"{name}_w": make(WIDE, 1, scale=0.1)[:, 0], f"{name}_b": np.zeros(1, np.float32)}
    tree |= {
        "none_w": make(WIDE, 2, scale=0.1),
        "none_b": np.zeros(2, np.float32),
        "whole_w": make(2, WIDE, scale=0.1),
    }
    tree |= {"lift2": make(2 * LIFTED + 1, MESSAGE, scale=0.2), "liftp": make(2 * LIFTED + 1, PAIR, scale=0.2)}
    # what the links tell, learned once they are worth listening to
    tree |= {"rn": make(NARROW, WIDE, scale=0.05), "rl": make(NARROW, WIDE, scale=0.05)}
    tree |= {"ru": make(WIDE, WIDE, scale=0.05), "rc": np.zeros(WIDE, np.float32)}
    return tree


def _message(make: Any, size: int, offsets: int) -> Tree:
    return {
        "a": make(WIDE, size, scale=0.1),
        "b": make(WIDE, size, scale=0.1),
        "t": make((2 * WIDEST + 1) * STEPS, size, scale=0.2),
        "k": make(COURSES, size, scale=0.1),
        "d": make(offsets, size, scale=0.1),
        "s": make(SCALARS, size, scale=0.1),
    }


def shifted(rows: jnp.ndarray, offsets: np.ndarray) -> jnp.ndarray:
    """Rows of the neighbours: (stops, …) to (stops, offsets, …), zeros past the ends."""
    pad = [(REACH, REACH)] + [(0, 0)] * (rows.ndim - 1)
    padded = jnp.pad(rows, pad)
    return jnp.stack([padded[REACH + d : REACH + d + rows.shape[0]] for d in offsets], axis=1)


def pairs(x: Tree, offsets: np.ndarray) -> Tree:
    """Indices and scalars of each pair."""
    real = shifted(x["real"], offsets)
    away = shifted(x["event"], offsets) - x["event"][:, None]
    far = jnp.abs(away)
    step = jnp.where(away == 0, 0, jnp.where(far <= 2, far, jnp.where(far <= 4, 3, 4)) + jnp.where(away < 0, 4, 0))
    rise = shifted(x["pitch"], offsets) - x["pitch"][:, None]
    over = jnp.clip(shifted(x["course"], offsets) - x["course"][:, None], -8, 8) + 8
    kinds = 2 * x["re"][:, None] + shifted(x["re"], offsets)
    wait = shifted(x["onset"], offsets) - x["onset"][:, None]
    strike = jnp.where(away > 0, x["strike"][:, None], shifted(x["strike"], offsets))
    span = jnp.abs(wait)
    scalars = jnp.stack(
        [jnp.log2(span + 0.125) / 3, span > strike + 1e-4, jnp.abs(span - strike) < 1e-4, jnp.sign(wait)], axis=-1
    ).astype(jnp.float32)
    return {
        "real": real & x["real"][:, None],
        "t": (jnp.clip(rise, -WIDEST, WIDEST) + WIDEST) * STEPS + step,
        "k": over * 4 + kinds,
        "s": scalars,
        "rise": rise,
        "later": away > 0,
    }


def mixture(table: jnp.ndarray, rise: jnp.ndarray, mine: jnp.ndarray, theirs: jnp.ndarray) -> jnp.ndarray:
    """What the interval says if each of its ends may be lifted by an octave, with these chances."""

    def row(by: int) -> jnp.ndarray:
        return table[jnp.clip(rise + by, -LIFTED, LIFTED) + LIFTED]

    both = (mine * theirs + (1 - mine) * (1 - theirs))[..., None]
    return both * row(0) + ((1 - mine) * theirs)[..., None] * row(12) + (mine * (1 - theirs))[..., None] * row(-12)


def run(tree: Tree, x: Tree, listens: int) -> list[Tree]:
    """The net on one crop: its answers at once, and after each time that it has listened to its own links."""
    h = jax.nn.relu(x["node"] @ tree["in_w"] + tree["in_b"])
    near, ahead = pairs(x, BOTH), pairs(x, AHEAD)
    answers: Tree = {}
    low = jnp.zeros(len(h))
    for layer in range(LAYERS):
        z = _first(tree, str(layer), h, near, BOTH)
        if layer == 2:
            z = z + mixture(tree["lift2"], near["rise"], low[:, None], shifted(low, BOTH))
        z = jax.nn.relu(jax.nn.relu(z) @ tree[f"m_w{layer}"] + tree[f"m_b{layer}"]) * near["real"][..., None]
        got = jnp.concatenate([z[:, :REACH].sum(1), z[:, REACH:].sum(1)], axis=1) / 8
        h = h + jax.nn.relu(h @ tree[f"u{layer}"] + got @ tree[f"v{layer}"] + tree[f"c{layer}"])
        if layer == 1:
            answers["first"] = h @ tree["first_w"] + tree["first_b"]
            low = jnp.where(x["re"] > 0, jax.nn.sigmoid(answers["first"]), 0.0)
            mine = (x["re"] > 0) & x["real"]
            count = jnp.maximum(1, mine.sum())
            mean = (low * mine).sum() / count
            h = h + jnp.stack([mean, (jnp.abs(low - 0.5) * mine).sum() / count]) @ tree["whole_w"]
    found = [answers | _heads(tree, x, h, ahead)]
    for _ in range(listens):
        h = h + jax.nn.relu(h @ tree["ru"] + _along_links(tree, found[-1]) + tree["rc"])
        found.append(answers | _heads(tree, x, h, ahead))
    return found


def _heads(tree: Tree, x: Tree, h: jnp.ndarray, ahead: Tree) -> Tree:
    """Octaves, then pairs as seen with them."""
    last = h @ tree["last_w"] + tree["last_b"]
    low = jnp.where(x["re"] > 0, jax.nn.sigmoid(last), 0.0)
    z = _first(tree, "p", h, ahead, AHEAD) + mixture(tree["liftp"], ahead["rise"], low[:, None], shifted(low, AHEAD))
    z = jax.nn.relu(jax.nn.relu(z) @ tree["p_w"] + tree["p_b"])
    good = ahead["real"] & ahead["later"]
    return {
        "last": last,
        "narrow": z,
        "pairs": jnp.where(good[..., None], z @ tree["out_w"] + tree["out_b"], -30.0),
        "none": h @ tree["none_w"] + tree["none_b"],
        "good": good,
    }


def _along_links(tree: Tree, found: Tree) -> jnp.ndarray:
    """What is known of each likely link, brought to both its ends."""
    both = jnp.logaddexp(found["pairs"][..., 0], found["pairs"][..., 1])
    ahead = jax.nn.softmax(jnp.concatenate([both, found["none"][:, :1]], axis=1))[:, :-1]
    back = jax.nn.softmax(jnp.concatenate([shifted_back(both, -30.0), found["none"][:, 1:]], axis=1))[:, :-1]
    forward = (ahead[..., None] * found["narrow"]).sum(1)
    backward = (back[..., None] * shifted_back(found["narrow"], 0.0)).sum(1)
    return forward @ tree["rn"] + backward @ tree["rl"]


def _first(tree: Tree, of: str, h: jnp.ndarray, pair: Tree, offsets: np.ndarray) -> jnp.ndarray:
    z = (h @ tree[f"a{of}"])[:, None] + shifted(h @ tree[f"b{of}"], offsets) + tree[f"t{of}"][pair["t"]]
    return z + tree[f"k{of}"][pair["k"]] + tree[f"d{of}"] + pair["s"] @ tree[f"s{of}"]


def loss(tree: Tree, x: Tree, listens: int) -> tuple[jnp.ndarray, jnp.ndarray]:
    """What the answers cost; the earlier ones count less."""
    *earlier, final = [_cost(got, x) for got in run(tree, x, listens)]
    total = final @ SHARES
    for parts in earlier:
        total = total + 0.3 * parts @ SHARES
    return total, final


def _cost(got: Tree, x: Tree) -> jnp.ndarray:
    """Cross-entropies of: next note, last note, length, octave (twice), both ends of a link alike."""
    logits = got["pairs"][..., :2]
    rows = jnp.concatenate([logits.reshape(len(logits), -1), got["none"][:, :1]], axis=1)
    target = jnp.concatenate(
        [jnp.stack([x["tight"], x["rest"]], -1).reshape(len(logits), -1), x["no_next"][:, None]], axis=1
    )
    by_row = -(target * jax.nn.log_softmax(rows)).sum(1)
    back = shifted_back(logits, -30.0)
    columns = jnp.concatenate([back.reshape(len(logits), -1), got["none"][:, 1:]], axis=1)
    marks = shifted_back((jnp.stack([x["tight"], x["rest"]], -1) > 0).astype(jnp.float32), 0.0).reshape(len(logits), -1)
    share = marks / jnp.maximum(1.0, marks.sum(1, keepdims=True)) * (1 - x["no_last"])[:, None]
    by_column = -(jnp.concatenate([share, x["no_last"][:, None]], axis=1) * jax.nn.log_softmax(columns)).sum(1)
    ends = jax.nn.log_softmax(got["pairs"][..., 2])
    ending = x["end"] & got["good"]
    by_end = -jax.nn.logsumexp(jnp.where(ending, ends, -30.0), axis=1) * ending.any(1)
    octave = [_binary(got[name], x["low"]) * (x["re"] > 0) for name in ("first", "last")]
    both = x["re"][:, None] + shifted(x["re"], AHEAD) > 0
    same = (x["low"][:, None] == shifted(x["low"], AHEAD)).astype(jnp.float32)
    paired = (x["tight"] > 0) & both & got["good"]
    by_same = (_binary(got["pairs"][..., 3], same) * paired).sum(1)
    row_ok, column_ok = x["row_ok"], x["column_ok"]
    count = jnp.maximum(1.0, row_ok.sum())
    re_count = jnp.maximum(1.0, ((x["re"] > 0) & row_ok).sum())
    return jnp.stack(
        [
            (by_row * row_ok).sum() / count,
            (by_column * column_ok).sum() / count,
            (by_end * row_ok).sum() / count,
            (octave[0] * row_ok).sum() / re_count,
            (octave[1] * row_ok).sum() / re_count,
            (by_same * row_ok).sum() / jnp.maximum(1.0, (paired.sum(1) * row_ok).sum()),
        ]
    )


def _binary(logit: jnp.ndarray, truth: jnp.ndarray) -> jnp.ndarray:
    return jax.nn.softplus(logit) - logit * truth


def shifted_back(ahead: jnp.ndarray, empty: float) -> jnp.ndarray:
    """(stops, REACH, …) seen from the later stop: entry [j, d] is the pair (j - d - 1, j)."""
    length = ahead.shape[0]
    pad = [(REACH, 0)] + [(0, 0)] * (ahead.ndim - 2)
    columns = [
        jnp.pad(ahead[:, d], pad, constant_values=empty)[REACH - d - 1 : REACH - d - 1 + length] for d in range(REACH)
    ]
    return jnp.stack(columns, axis=1)


def crop(lessons: Lessons, piece: int, chance: np.random.Generator) -> dict[str, np.ndarray]:
    """A stretch of one piece, padded to CROP."""
    begin, end = int(lessons.start[piece]), int(lessons.start[piece + 1])
    at = begin if end - begin <= CROP else int(chance.integers(begin, end - CROP + 1))
    to = min(at + CROP, end)
    size = to - at
    spare = CROP - size

    def cut(name: str, kind: Any) -> np.ndarray:
        rows = getattr(lessons, name)[at:to].astype(kind)
        return np.pad(rows, [(0, spare)] + [(0, 0)] * (rows.ndim - 1))

    place = np.arange(CROP)
    real = place < size
    found = {
        name: cut(name, np.float32)
        for name in ("node", "onset", "strike", "tight", "rest", "no_next", "no_last", "low")
    }
    found |= {name: cut(name, np.int32) for name in ("event", "pitch", "course")}
    found |= {"re": cut("re_entrant", np.int32), "end": cut("end", bool), "real": real}
    found["row_ok"] = real & ((to == end) | (place < size - REACH))
    found["column_ok"] = real & ((at == begin) | (place >= REACH))
    return found


@dataclass(slots=True)
class State:
    """How far the learning has come: weights, and Adam's running means of slopes and of their squares."""

    number: int
    tree: Tree
    mean: Tree
    square: Tree

    @classmethod
    def start(cls, seed: int) -> State:
        tree = fresh(seed)
        return cls(0, tree, jax.tree.map(jnp.zeros_like, tree), jax.tree.map(jnp.zeros_like, tree))

    @classmethod
    def load(cls, path: Path) -> State:
        with np.load(path) as stored:
            trees = [
                {name.split("/")[1]: stored[name] for name in stored.files if name.startswith(of)}
                for of in ("tree/", "mean/", "square/")
            ]
            return cls(int(stored["number"]), *trees)

    def save(self, path: Path) -> None:
        named = {"tree": self.tree, "mean": self.mean, "square": self.square}
        flat = {f"{of}/{name}": np.asarray(leaf) for of, tree in named.items() for name, leaf in tree.items()}
        np.savez(path, number=self.number, **flat)


def rate_at(number: jnp.ndarray, steps: int) -> jnp.ndarray:
    """Up for 100 steps, level, and down to nothing over the last quarter."""
    return RATE * jnp.minimum(1.0, number / 100) * jnp.clip((steps - number) / (steps * 0.25), 0.0, 1.0)


def train(lessons: Lessons, steps: int, seed: int, keep: Path | None = None) -> Tree:
    """Adam. ``keep`` is where the state is kept on the way; if it is there, learning goes on from it, and comes to
    the same weights as in one go."""
    state = State.load(keep) if keep is not None and keep.exists() else State.start(seed)
    sizes = np.diff(lessons.start)
    weight = np.minimum(sizes, 4 * CROP) ** 0.7
    weight = weight / weight.sum()

    def batch_slope(tree: Tree, x: Tree, listens: int) -> tuple[Tree, jnp.ndarray]:
        """Crop by crop, so that the arrays stay in the cache: three times as fast as all at once."""

        def one(total: Tree, x: Tree) -> tuple[Tree, jnp.ndarray]:
            slope, parts = jax.grad(loss, has_aux=True)(tree, x, listens)
            return jax.tree.map(jnp.add, total, slope), parts

        total, parts = jax.lax.scan(one, jax.tree.map(jnp.zeros_like, tree), x)
        return jax.tree.map(lambda leaf: leaf / BATCH, total), parts.mean(0)

    @partial(jax.jit, static_argnames="listens")
    def step(tree: Tree, mean: Tree, square: Tree, x: Tree, number: jnp.ndarray, *, listens: int) -> Any:
        slope, parts = batch_slope(tree, x, listens)
        size = jnp.sqrt(sum(jnp.sum(leaf**2) for leaf in jax.tree.leaves(slope)))
        slope = jax.tree.map(lambda leaf: leaf * jnp.minimum(1.0, 5.0 / size), slope)
        mean = jax.tree.map(lambda m, g: 0.9 * m + 0.1 * g, mean, slope)
        square = jax.tree.map(lambda s, g: 0.999 * s + 0.001 * g * g, square, slope)
        rate = rate_at(number, steps)
        tree = jax.tree.map(
            lambda w, m, s: w - rate * (m / (1 - 0.9**number)) / (jnp.sqrt(s / (1 - 0.999**number)) + 1e-8),
            tree,
            mean,
            square,
        )
        return tree, mean, square, parts

    began = time.time()
    shown = []
    for number in range(state.number + 1, steps + 1):
        chance = np.random.default_rng([seed, number])
        crops = [crop(lessons, int(piece), chance) for piece in chance.choice(len(sizes), BATCH, p=weight)]
        x = {name: np.stack([one[name] for one in crops]) for name in crops[0]}
        listens = LISTENS if number > LISTEN_FROM else 0
        *trees, parts = step(state.tree, state.mean, state.square, x, jnp.float32(number), listens=listens)
        state = State(number, *trees)
        shown.append(np.asarray(parts))
        if number % 250 == 0:
            print(f"{number:6} {time.time() - began:6.0f} s ", np.mean(shown, axis=0).round(4), flush=True)
            shown = []
            if keep is not None:
                state.save(keep)
    return {name: np.asarray(value) for name, value in state.tree.items()}


def difference(tree: Tree) -> float:
    """The largest difference between this net and the pipeline's, in the logits of links, on one arranged piece."""
    piece = arrange(corpus.load(split.names("train")[0]), Habit.MIXED, 0)
    stops = tablature(piece)
    seen = see(stops)
    x = {name: getattr(seen, name) for name in ("node", "onset", "strike", "event", "pitch", "course")}
    x |= {"re": seen.re_entrant, "real": np.ones(len(stops), dtype=bool)}
    here = np.asarray(run(tree, x, USED)[-1]["pairs"])
    there = weigh(stops, {name: np.asarray(value, dtype=np.float32) for name, value in tree.items()})
    return max(float(np.abs(here[..., at] - got).max()) for at, got in enumerate((there.tight, there.rest, there.end)))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--steps", type=int, default=10000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, help="where to keep the state of learning on the way, and to go on from")
    asked = parser.parse_args()
    tree = train(training(asked.seed), asked.steps, asked.seed, asked.keep)
    tree = {name: value.astype(np.float16).astype(np.float32) for name, value in tree.items()}
    print(f"largest difference from the pipeline's own net: {difference(tree):.4f}")
    np.savez_compressed(TARGET, **{name: value.astype(np.float16) for name, value in tree.items()})


if __name__ == "__main__":
    main()
