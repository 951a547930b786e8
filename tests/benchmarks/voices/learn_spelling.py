"""Learn the weights of the spelling from the training part of the corpus, and print how well they spell.

``python -m tests.benchmarks.voices.learn_spelling`` writes ``pipeline/edition/spelling.npz``; with
``--split dev`` or ``--split test`` it only prints the table. Needs scipy (learning only). No chance is involved.
"""

from __future__ import annotations

import argparse
import random
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

from pipeline.edition import spelling
from pipeline.model.record import replace
from tests.benchmarks.voices import corpus, split

TARGET = Path(spelling.__file__).with_name("spelling.npz")
WIDTH = spelling.HIGHEST - spelling.LOWEST + 1
#: Notes of one early piece that are learned from; the later music is harder, so all of its notes are.
EARLY_NOTES = 16
SEED = 1604
PENALTY = 3e-2
#: Places above the signature that names commonly have (from Eb to G# with none), and the cost of each beyond.
COMMON, RARE = (-4, 9), 1.5
#: Names further apart than this hardly sound together (G# and B do, Ab and B do not); the cost of each fifth beyond.
TOGETHER, CLASH = 6, 0.5

Floats = npt.NDArray[np.float64]


def learn() -> None:
    scores = [corpus.load(name) for name in split.names("train", voices=False)]
    scores = [score for score in scores if in_range(score)]
    scores += _excerpts(scores)
    weights = _profile([score for score in scores if score.name != "excerpt"])
    for round_ in range(2):
        differences = np.concatenate([_differences(score, weights, round_) for score in scores])
        weights = _fit(differences, weights)
    # names far from the signature are too rare to be learned: each fifth beyond the common ones costs something
    above = np.arange(56) - 24
    rare = np.maximum(0, above - COMMON[1]) + np.maximum(0, COMMON[0] - above)
    apart = np.maximum(0, np.abs(np.arange(2 * WIDTH - 1) - (WIDTH - 1)) - TOGETHER)
    relation = weights.relation.copy()
    relation[0] -= CLASH * apart
    weights = replace(weights, place=weights.place - RARE * rare, relation=relation)
    np.savez_compressed(
        TARGET,
        profile=weights.profile.round(4),
        names=weights.names,
        relation=weights.relation.round(4),
        place=weights.place.round(4),
    )
    spelling.learned_weights.cache_clear()


def in_range(score: corpus.PartScore) -> bool:
    return bool(score.fifths.min() >= spelling.LOWEST and score.fifths.max() <= spelling.HIGHEST)


def _excerpts(scores: list[corpus.PartScore]) -> list[corpus.PartScore]:
    """Now and then a few notes from each piece, so that short pieces are learned too."""
    chance = random.Random(SEED)
    found = []
    for score in scores:
        for size in (1, 3, chance.randint(2, 12), chance.randint(6, 40)):
            first = chance.randrange(max(1, len(score.onset) - size))
            cut = slice(first, first + size)
            found.append(
                replace(score, name="excerpt", onset=score.onset[cut], pitch=score.pitch[cut], fifths=score.fifths[cut])
            )
    return found


def _context(score: corpus.PartScore, names: npt.NDArray[np.int64]) -> Floats:
    whole = np.bincount(names - spelling.LOWEST, minlength=WIDTH).astype(np.float64)
    return spelling.context(score.onset, score.pitch, names, whole)


def _profile(scores: list[corpus.PartScore]) -> spelling.Weights:
    """How often each class stands above a signature, and under which name; every piece counts the same."""
    heights = np.zeros((12, 60))
    for score in scores:
        above = score.fifths - score.key
        np.add.at(heights, (above % 12, above + 30), 1.0 / len(above))
    share = heights.sum(axis=1) / heights.sum()
    return spelling.Weights(
        np.log(share + 1e-3), heights.argmax(axis=1) - 30, np.zeros((spelling.CONTEXTS, 2 * WIDTH - 1)), np.zeros(56)
    )


def _differences(score: corpus.PartScore, weights: spelling.Weights, round_: int) -> Floats:
    """Features of the true name less those of each rival, one row per pair."""
    classes = score.pitch * 7 % 12
    signature, _ = spelling.find_signature(classes, weights.profile)
    names = spelling.first_names(classes, signature, weights)
    if round_:
        scored = spelling.score_names(_context(score, names), signature, weights)
        scored[~spelling.possible(classes)] = -np.inf
        names = scored.argmax(axis=1) + spelling.LOWEST
    true = score.fifths + 12 * round(float(np.mean(names - score.fifths)) / 12)  # an enharmonic piece is not wrong
    found = _context(score, names).astype(np.float32)
    early = split.kind_of(score.name) != "later"
    step = max(1, len(true) // EARLY_NOTES) if early else 1
    rows = []
    for shift in (-12, 12):
        rival = true + shift
        good = (rival >= spelling.LOWEST) & (rival <= spelling.HIGHEST)
        good &= (true >= spelling.LOWEST) & (true <= spelling.HIGHEST)
        here = np.flatnonzero(good)[::step]
        if len(here):
            rows.append(_features(found[here], true[here], signature) - _features(found[here], rival[here], signature))
    return np.concatenate(rows) if rows else np.zeros((0, spelling.CONTEXTS * (2 * WIDTH - 1) + 56), np.float32)


def _features(found: npt.NDArray[np.float32], names: npt.NDArray[np.int64], signature: int) -> Floats:
    """What ``score_names`` multiplies with relation and place, for one name per note."""
    rows = np.zeros((len(names), spelling.CONTEXTS, 2 * WIDTH - 1), np.float32)
    for place in range(WIDTH):
        rows[np.arange(len(names)), :, place - (names - spelling.LOWEST) + WIDTH - 1] = found[:, :, place]
    where = np.zeros((len(names), 56), np.float32)
    where[np.arange(len(names)), names - signature + 24] = 1.0
    return np.concatenate([rows.reshape(len(names), -1), where], axis=1)


def _fit(differences: Floats, weights: spelling.Weights) -> spelling.Weights:
    def loss(flat: Floats) -> tuple[float, Floats]:
        margin = (differences @ flat.astype(np.float32)).astype(np.float64)
        chance = 1.0 / (1.0 + np.exp(np.clip(margin, -30, 30)))
        value = np.logaddexp(0.0, -margin).sum() + PENALTY * flat @ flat
        return float(value), -(chance.astype(np.float32) @ differences).astype(np.float64) + 2 * PENALTY * flat

    start = np.zeros(differences.shape[1])
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 100}).x
    split_at = spelling.CONTEXTS * (2 * WIDTH - 1)
    return spelling.Weights(
        weights.profile, weights.names, found[:split_at].reshape(spelling.CONTEXTS, -1), found[split_at:]
    )


def table(part: str) -> None:
    """Print the share of notes spelled right, strictly and but for the whole piece's enharmonic, by kind."""
    print(f"{'kind':12} {'pieces':>6} {'notes':>7} {'strict':>8} {'forgiving':>9} {'signature':>9} {'declared':>9}")
    for kind in split.KINDS:
        pieces = [corpus.load(name) for name in split.names(part, kind, voices=False)]
        counts = np.array([_judge(score) for score in pieces]) if pieces else np.zeros((1, 5))
        notes, strict, forgiven, key, declared = counts.sum(axis=0)
        print(
            f"{kind:12} {len(pieces):6} {notes:7.0f} {strict / max(1, notes):8.4f} {forgiven / max(1, notes):9.4f}"
            f" {key / max(1, len(pieces)):9.3f} {declared / max(1, notes):9.4f}"
        )


def _judge(score: corpus.PartScore) -> tuple[int, int, int, int, int]:
    found = spelling.spell(score.onset.tolist(), score.pitch.tolist())
    miss = np.array(found.fifths) - score.fifths
    best = max(int((miss == shift).sum()) for shift in (-12, 0, 12))
    told = np.array(spelling.spell(score.onset.tolist(), score.pitch.tolist(), score.key).fifths)
    same = int((told == score.fifths).sum())
    return len(miss), int((miss == 0).sum()), best, int(found.signature == score.key), same


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--split", choices=("dev", "test"))
    part = parser.parse_args().split
    if part is None:
        learn()
    table(part or "dev")
