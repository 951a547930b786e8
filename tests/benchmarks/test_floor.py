"""The floor under the benchmarks is whole, and is what it says."""

from __future__ import annotations

import re

import pytest

from tests.benchmarks import floor
from tests.benchmarks.build_speed import SIZES
from tests.benchmarks.collection import piece


@pytest.mark.parametrize("size", SIZES)
def test_a_piece_of_so_many_events(size: int) -> None:
    """As many groups of tablature as events, in whole bars of eight."""
    ((mei, copy),) = floor.unpacked(floor.of_events(size, copy=False))
    assert not copy and mei.count("<tabGrp ") == -(-size // 8) * 8


def test_one_piece_of_each_kind_with_its_copy() -> None:
    kinds = floor.of_pieces()
    titles = [re.search(r"^title (.*)$", piece(number), re.MULTILINE) for number in range(len(kinds))]
    assert len(kinds) == 4
    for title, documents in zip(titles, kinds, strict=True):
        (edition, _), (copy, is_copy) = floor.unpacked(documents)
        assert title is not None and is_copy
        assert f">{title[1]}<" in edition and "<tabGrp " in edition and "<tabGrp " not in copy


def test_it_can_be_drawn() -> None:
    for mei, copy in floor.unpacked(floor.of_events(50, copy=True)):
        assert len(floor.draw(mei, copy=copy)) == 3
