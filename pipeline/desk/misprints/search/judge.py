"""How well a reading of a stop fits what stands around it: a small net, learned from arranged pieces.

``python -m tests.benchmarks.misprints.learn_stops`` learns the weights: among the readings that a stop may be a
misprint of, the one that the music has shall score highest.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import numpy as np

from pipeline.desk.misprints.search.context import Floats

Tree = dict[str, Floats]


@cache
def learned() -> Tree:
    """The stored weights; read once."""
    with (files("pipeline.desk.misprints.search") / "weights.npz").open("rb") as stream, np.load(stream) as stored:
        return {name: np.asarray(stored[name], dtype=np.float32) for name in stored.files}


def fits(numbers: Floats, tree: Tree) -> Floats:
    """One score for each row: differences between readings of one stop are log odds."""
    z = np.maximum(numbers @ tree["w1"] + tree["b1"], 0)
    z = np.maximum(z @ tree["w2"] + tree["b2"], 0)
    found: Floats = z @ tree["w3"]
    return found
