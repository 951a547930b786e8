"""The scores of the anthology and the faulty pieces are as they were last looked at: ``python -m tests.goldens``.

Held against the project's own last state, so it says only that something changed; whether it is right is for the cases
of notation and the outside examples.
"""

from __future__ import annotations

import pytest

from tests.goldens.keeping import KEPT, changes, golden, orphans, pieces


@pytest.mark.parametrize("name", pieces())
def test_the_score_is_as_it_was(name: str) -> None:
    assert list(changes(name, golden(pieces()[name]))) == []


def test_no_golden_is_orphaned() -> None:
    assert orphans() == []


def test_they_stay_small() -> None:
    assert sum(path.stat().st_size for path in KEPT.iterdir()) < 2_000_000
