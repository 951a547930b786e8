"""Checks of playing on real polyphony, arranged for the theorbo by a program that knows nothing of them.

Outside: scores of music21's corpus (a madrigal and a chorale of the development part). With the bass scale declared
nothing may be said of it, nor of a stretch; with the usual scale left standing, a diapason that the piece wants
altered is found.
"""

from __future__ import annotations

import pytest

from tests.benchmarks.false_alarms import alarms, altered
from tests.benchmarks.voices import corpus
from tests.benchmarks.voices.arrange import Habit, arrange
from tests.benchmarks.voices.split import names

PIECES = ("monteverdi/madrigal.3.16.mxl", "bach/bwv17.7.mxl")


@pytest.mark.parametrize("name", PIECES)
def test_good_music_gives_no_alarm(name: str) -> None:
    assert name in names("dev")
    score = corpus.load(name)
    for habit in Habit:
        found = alarms(arrange(score, habit, 1))
        assert found.bars > 5
        assert (found.clashes, found.stretches) == (0, 0)


def test_an_undeclared_scale_is_noticed() -> None:
    wanted, noticed, wrong = set(), set(), set()
    for name in PIECES:
        score = corpus.load(name)
        for habit in Habit:
            piece = arrange(score, habit, 1)
            found = alarms(piece)
            assert found.altered <= set(altered(piece))
            wanted |= {(name, habit, course) for course in found.altered}
            noticed |= {(name, habit, course) for course in found.found & found.altered}
            wrong |= {(name, habit, course) for course in found.found - found.altered}
    assert len(wanted) >= 2
    assert len(noticed) * 2 >= len(wanted)
    assert wrong == set()
