"""The net's tables as they are looked up: summed beforehand, so that each pair of stops costs two look-ups."""

from __future__ import annotations

import numpy as np

from pipeline.edition.lead.lines.arrays import Floats
from pipeline.edition.lead.lines.features import LIFTED, REACH, STEPS, WIDEST

#: The earlier course struck again not before, just then, before; and side: before, with, after.
RESTRUCK = ((0, 0), (0, 1), (1, 0))
SIDES = (-1, 0, 1)
#: Times between two stops, a third of the logarithm (base 2) of quarter notes and an eighth of one, in so many steps.
SHORTEST, LONGEST, WAITS = -1.0, 3.0, 1025


def prepared(tree: dict[str, Floats]) -> dict[str, Floats]:
    """The weights with tables added for each round and for the pairs: ``interval…`` (intervals up to ±LIFTED
    semitones, by distance in events) and ``courses…`` (distance in courses, re-entrance, restriking, side),
    ``wait…`` (time between), and the offsets with the stop itself in the middle."""
    found = dict(tree)
    for of in ("0", "1", "2", "p"):
        wide = np.clip(np.arange(-LIFTED, LIFTED + 1), -WIDEST, WIDEST) + WIDEST
        rows = tree[f"t{of}"].reshape(2 * WIDEST + 1, STEPS, -1)[wide]
        if f"lift{of}" in tree:
            rows = rows + tree[f"lift{of}"][:, None]
        found[f"interval{of}"] = np.ascontiguousarray(rows.reshape(-1, rows.shape[-1]))
        flags = np.array([[cut, touch, side] for cut, touch in RESTRUCK for side in SIDES], dtype=np.float32)
        courses = tree[f"k{of}"][:, None] + flags @ tree[f"s{of}"][1:]
        found[f"courses{of}"] = np.ascontiguousarray(courses.reshape(-1, courses.shape[-1]))
        found[f"wait{of}"] = np.linspace(SHORTEST, LONGEST, WAITS, dtype=np.float32)[:, None] * tree[f"s{of}"][0]
        offsets = tree[f"d{of}"]
        found[f"offsets{of}"] = offsets if of == "p" else np.insert(offsets, REACH, 0, axis=0)
    return found
