"""The arranger keeps to what hands and strings can do, and its truth to the score."""

from __future__ import annotations

import ast
from pathlib import Path

import numpy as np
import pytest

from tests.benchmarks.voices import arrange as arrange_module
from tests.benchmarks.voices import corpus, split
from tests.benchmarks.voices.arrange import IN_A, IN_G, Arranged, Habit, arrange

PIECES = ("bach/bwv66.6.mxl", "monteverdi/madrigal.3.2.mxl", "palestrina/Agnus_00.krn")


@pytest.fixture(scope="module", params=[(name, habit) for name in PIECES for habit in Habit], ids=str)
def piece(request: pytest.FixtureRequest) -> Arranged:
    name, habit = request.param
    return arrange(corpus.load(name), habit, seed=3)


def test_sounding_pitches_are_where_they_are_stopped(piece: Arranged) -> None:
    assert (piece.open_pitches[piece.course - 1] + piece.fret == piece.sounding).all()


def test_one_note_a_course(piece: Arranged) -> None:
    assert len({(o, c) for o, c in zip(piece.onset.tolist(), piece.course.tolist(), strict=True)}) == len(piece.onset)


def test_diapasons_are_open_and_frets_within_reach(piece: Arranged) -> None:
    assert not piece.fret[piece.course > 6].any()
    assert piece.fret.min() >= 0 and piece.fret.max() <= 12
    for at in np.unique(piece.onset):
        stopped = piece.fret[(piece.onset == at) & (piece.fret > 0)]
        assert not len(stopped) or stopped.max() - stopped.min() <= 4  # a hand's span


def test_octaves_as_the_habit_has_them(piece: Arranged) -> None:
    low = piece.pitch - piece.sounding
    re_entrant = piece.course <= 2
    assert set(low.tolist()) <= {0, 12} and not low[~re_entrant].any()
    if piece.habit is Habit.LUTE:
        assert (low[re_entrant] == 12).all()


def test_truth_is_the_score_moved(piece: Arranged) -> None:
    score = corpus.load(piece.name)
    moves = {
        int(pitch) - int(found)
        for part in range(score.parts)
        for onset, pitch in zip(score.onset[score.part == part], score.pitch[score.part == part], strict=True)
        for found in piece.pitch[
            (piece.onset == onset) & np.array([part in voices for voices in piece.voices], dtype=bool)
        ]
    }
    assert len(moves) == 1


def test_links_stay_in_a_part_and_lengths_stop_at_the_next_stroke(piece: Arranged) -> None:
    for row, nexts in enumerate(piece.following):
        for to, _ in nexts:
            assert piece.onset[to] > piece.onset[row]
            assert set(piece.voices[row]) & set(piece.voices[to])
    for course in range(1, 15):
        rows = np.flatnonzero(piece.course == course)
        assert (piece.onset[rows][:-1] + piece.length[rows][:-1] <= piece.onset[rows][1:]).all()


def test_same_seed_same_tablature() -> None:
    score = corpus.load(PIECES[0])
    first, second = arrange(score, Habit.MIXED, 5), arrange(score, Habit.MIXED, 5)
    assert np.array_equal(first.course, second.course) and np.array_equal(first.fret, second.fret)


def test_tunings_are_those_of_the_trade() -> None:
    # theorbo in A (PS: R. Spencer, Early Music 4/4, 1976; course list common practice); in G common practice, no
    # source
    assert IN_A.stopped == (57, 52, 59, 55, 50, 45) and IN_A.diapasons == (43, 41, 40, 38, 36, 35, 33, 31)
    assert IN_G.stopped == (55, 50, 57, 53, 48, 43) and IN_G.diapasons == (41, 39, 38, 36, 34, 33, 31, 29)


def test_no_work_is_in_two_parts_of_the_division() -> None:
    home: dict[tuple[str, str], set[str]] = {}
    for line in split.FILE.read_text(encoding="utf-8").splitlines()[1:]:
        part, kind, work, _ = line.split("\t")
        home.setdefault((kind, work), set()).add(part)
    assert all(len(parts) == 1 for parts in home.values())


def test_the_arranger_knows_nothing_of_the_pipeline() -> None:
    # "no shared costs, weights or helpers, so that the test cannot flatter the answer": only ticks are shared, by
    # corpus
    tree = ast.parse(Path(arrange_module.__file__).read_text(encoding="utf-8"))
    imported = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not any(name and name.startswith("pipeline") for name in imported)
