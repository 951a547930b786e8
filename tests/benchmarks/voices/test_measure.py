"""The measures, on a piece of two parts small enough to count by hand."""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.voices.arrange import IN_A, Arranged, Habit
from tests.benchmarks.voices.measure import figures, links_of, measure

#: Upper part C4 D4 (rest) E4, lower A2 A2 A2; the D is fingered on course 1 and sounds D3.
PIECE = Arranged(
    name="by hand",
    habit=Habit.MIXED,
    neck=IN_A,
    open_pitches=np.array([*IN_A.stopped, *IN_A.diapasons]),
    onset=np.array([0, 0, 4, 4, 8, 12]),
    course=np.array([6, 3, 6, 2, 6, 3]),
    fret=np.array([0, 1, 0, 10, 0, 5]),
    sounding=np.array([45, 60, 45, 62 - 12, 45, 64]),
    pitch=np.array([45, 60, 45, 62, 45, 64]),
    length=np.array([4, 4, 4, 4, 4, 4]),
    fifths=np.array([3, 0, 3, 2, 3, 4]),
    voices=((1,), (0,), (1,), (0,), (1,), (0,)),
    following=(((2, False),), ((3, False),), ((4, False),), ((5, True),), (), ()),
    parts=2,
    signature=0,
    bars=np.array([0]),
    dropped=0.0,
)
TRUE_VOICE = np.array([2, 1, 2, 1, 2, 1])
NOTHING = np.zeros(6, dtype=np.int64)


def test_the_truth_itself_is_perfect() -> None:
    found = figures(measure(PIECE, TRUE_VOICE, np.array([0, 0, 0, 1, 0, 0]), PIECE.length))
    assert found["link F1"] == 1 and found["rest F1"] == 1 and found["length"] == 1
    assert found["rest. P"] == 1 and found["rest. R"] == 1 and found["harm %"] == 0 and found["leaps"] == 0
    # three intervals inside phrases, one of them (C-D) wrong as it sounds
    assert found["net"] == pytest.approx(100 / 3) and found["repair"] == 100


def test_nothing_restored_nets_nothing() -> None:
    found = figures(measure(PIECE, TRUE_VOICE, NOTHING, PIECE.length))
    assert found["net"] == 0 and found["harm %"] == 0 and found["rest. R"] == 0


def test_a_wrong_octave_does_harm() -> None:
    # lifting the first A breaks A-A, which was right: one of two right intervals
    found = figures(measure(PIECE, TRUE_VOICE, np.array([1, 0, 0, 0, 0, 0]), PIECE.length))
    assert found["harm %"] == 50 and found["net"] == pytest.approx(-100 / 3)


def test_exchanged_voices_count_as_wrong_links() -> None:
    voice = np.array([2, 1, 1, 2, 2, 1])
    counts = measure(PIECE, voice, NOTHING, PIECE.length)
    assert counts["tight"] == 3 and counts["tight right"] == 0 and counts["tight recalled"] == 0


def test_links_are_consecutive_stops_of_a_voice() -> None:
    assert sorted(links_of(np.array([1, 2, 1, 1]), np.array([0, 0, 1, 2]))) == [(0, 2), (2, 3)]
    # a chord in one voice goes on with each of its stops
    assert sorted(links_of(np.array([1, 1, 1]), np.array([0, 0, 1]))) == [(0, 2), (1, 2)]


def test_a_shared_stop_accepts_either_continuation() -> None:
    shared = Arranged(
        name="shared",
        habit=Habit.LITERAL,
        neck=IN_A,
        open_pitches=PIECE.open_pitches,
        onset=np.array([0, 4, 4]),
        course=np.array([1, 4, 3]),
        fret=np.array([0, 0, 0]),
        sounding=np.array([57, 55, 59]),
        pitch=np.array([57, 55, 59]),
        length=np.array([4, 4, 4]),
        fifths=np.array([3, 1, 5]),
        voices=((0, 1), (1,), (0,)),
        following=(((2, False), (1, False)), (), ()),
        parts=2,
        signature=0,
        bars=np.array([0]),
        dropped=0.0,
    )
    for voice in ([1, 2, 1], [2, 2, 1]):
        assert figures(measure(shared, np.array(voice), np.zeros(3, dtype=np.int64), shared.length))["link R"] == 1
