"""Spelling, held against scores that others spelled (music21's corpus) and against the rules of the scale."""

from __future__ import annotations

import pytest

from pipeline.edition.spelling import spell
from tests.benchmarks.voices import corpus

C, G, D, A, E, B, F, BFLAT, EFLAT, FSHARP, CSHARP, GSHARP = 0, 1, 2, 3, 4, 5, -1, -2, -3, 6, 7, 8


def in_turn(*pitches: int, key: int | None = None) -> list[int]:
    return spell(range(len(pitches)), pitches, key).fifths


@pytest.mark.parametrize(
    ("name", "least"),
    [
        # names as in the scores of music21's corpus
        ("monteverdi/madrigal.3.2.mxl", 1.0),
        ("palestrina/Agnus_00.krn", 1.0),
        ("lusitano/allor_che_ignuda.mxl", 0.999),  # a chromatic madrigal
        ("bach/bwv66.6.mxl", 0.99),
    ],
)
def test_scores_of_others(name: str, least: float) -> None:
    score = corpus.load(name)
    found = spell(score.onset.tolist(), score.pitch.tolist())
    right = sum(a == b for a, b in zip(found.fifths, score.fifths.tolist(), strict=True))
    assert right / len(score.pitch) >= least


def test_leading_notes_rise_from_another_letter() -> None:
    # common practice: the semitone to the final is written on the letter below, A minor's G sharp, D minor's C sharp
    assert in_turn(57, 59, 60, 62, 64, 65, 68, 69)[-2:] == [GSHARP, A]
    assert in_turn(62, 64, 65, 67, 69, 70, 73, 74, key=-1)[-3:] == [BFLAT, CSHARP, D]


def test_signature_found() -> None:
    # the scales of G and of B flat major have one sharp and two flats (common practice)
    assert spell(range(8), [67, 69, 71, 72, 74, 76, 78, 79]).signature == 1
    assert spell(range(8), [58, 60, 62, 63, 65, 67, 69, 70]).signature == -2


def test_declared_signature_is_kept() -> None:
    found = spell([0, 1], [61, 66], 5)
    assert found.signature == 5 and found.sure == 1.0
    assert found.fifths == [CSHARP, FSHARP]
    assert spell([0, 1], [61, 66], -5).fifths == [-5, -6]


def test_hints_are_kept_and_heeded() -> None:
    assert spell([0, 1, 2], [60, 61, 62], hints=[None, -5, None]).fifths == [C, -5, D]
    with pytest.raises(ValueError, match="cannot name"):
        spell([0], [60], hints=[1])


def test_nothing_and_one_note() -> None:
    assert spell([], []).fifths == []
    assert spell([0], [62]).fifths == [D]


@pytest.mark.parametrize("move", range(1, 12))
def test_transposed_scores_keep_their_intervals(move: int) -> None:
    score = corpus.load("monteverdi/madrigal.3.2.mxl")
    found = spell(score.onset.tolist(), (score.pitch + move).tolist()).fifths
    shifts = {new - old for new, old in zip(found, score.fifths.tolist(), strict=True)}
    assert (
        len(shifts) == 1
        or max(
            sum(new - old == shift for new, old in zip(found, score.fifths.tolist(), strict=True)) for shift in shifts
        )
        / len(found)
        > 0.995
    )
