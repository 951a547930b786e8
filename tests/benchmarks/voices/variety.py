"""Other note values, or some parts only: practice is wider than the corpus."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np

from tests.benchmarks.voices import corpus


def varied(score: corpus.PartScore, chance: random.Random) -> corpus.PartScore:
    """Now and then another note value, or some parts only: practice is wider than the corpus."""
    scale = chance.choice((1, 2, 2, 2, 4))  # halves
    keep = np.ones(len(score.onset), dtype=bool)
    lot = chance.random()
    if score.parts > 2 and lot < 0.3:
        left = score.parts - 1 if lot < 0.15 else 2 if lot < 0.23 else 1
        keep = np.isin(score.part, chance.sample(range(score.parts), left))
    order = {number: place for place, number in enumerate(sorted(set(score.part[keep].tolist())))}
    return replace(
        score,
        onset=score.onset[keep] * scale // 2,
        length=score.length[keep] * scale // 2,
        pitch=score.pitch[keep],
        fifths=score.fifths[keep],
        part=np.array([order[number] for number in score.part[keep].tolist()]),
        bars=score.bars * scale // 2,
    )
