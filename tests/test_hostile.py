"""Hostile text: nothing raises, and time stays bounded. The long runs: ``python -m tests.fuzz``, and ``--growth``."""

from __future__ import annotations

import random
import time

import pytest

from tests.fuzz.__main__ import mutated
from tests.fuzz.families import FAMILIES
from tests.fuzz.targets import FIXTURES, check, intervals, tidy

PIECES = [path.read_bytes() for path in sorted(FIXTURES.rglob("*.intav"))]


@pytest.mark.parametrize("name", FAMILIES)
def test_a_bad_shape_ends_soon(name: str) -> None:
    """60,000 characters of it; the slowest take about a second and a half on a quiet machine."""
    start = time.process_time()
    check(FAMILIES[name](60_000).encode())
    assert time.process_time() - start < 15


@pytest.mark.parametrize("seed", range(60))
def test_mutated_pieces_raise_nothing(seed: int) -> None:
    rng = random.Random(seed)
    for _ in range(4):
        data = mutated(rng, PIECES)
        check(data)
        tidy(data)
        intervals(data[:12])
