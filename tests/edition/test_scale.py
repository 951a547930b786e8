"""The scale of the diapasons, inferred from the fretted notes.

Usual tuning: theorbo in A, G2 F2 E2 D2 C2 B1 A1 G1 (course list common practice; PS: R. Spencer, Early Music 4/4,
1976).
"""

from __future__ import annotations

import numpy as np

from pipeline.edition.scale import infer_scale, tunings
from tests.benchmarks.voices import corpus
from tests.benchmarks.voices.arrange import IN_A, Habit, arrange

OPEN = (57, 52, 59, 55, 50, 45, 43, 41, 40, 38, 36, 35, 33, 31)
USUAL = OPEN[6:]


def infer(*events: dict[int, int]) -> dict[int, int]:
    """Events a crotchet apart, frets by course; the inferred pitch of each diapason struck."""
    rows = [(at * 11531520, course, stops[course]) for at, stops in enumerate(events) for course in sorted(stops)[::-1]]
    onset, course, fret = (np.array(column, dtype=np.int64) for column in zip(*rows, strict=True))
    pitch = np.array(OPEN)[course - 1] + fret
    return {note.course: note.pitch for note in infer_scale(onset, pitch, course, 6, USUAL)}


def test_d_major_has_f_sharp() -> None:
    # D A D F#, then the F diapason under A and D: in D major it is F sharp (common practice: tuned to suit the key)
    d_chord, a_chord = {5: 0, 4: 2, 3: 3, 1: 9}, {6: 0, 4: 2, 3: 2, 2: 0}
    third = {8: 0, 4: 2, 3: 3}
    assert infer(d_chord, a_chord, third, d_chord, a_chord, d_chord)[8] == 42


def test_d_minor_has_f_natural() -> None:
    d_chord, a_chord = {5: 0, 4: 2, 3: 3, 1: 8}, {6: 0, 4: 2, 3: 2, 2: 0}
    third = {8: 0, 4: 2, 3: 3}
    assert infer(d_chord, a_chord, third, d_chord, a_chord, d_chord)[8] == 41


def test_letters_are_kept() -> None:
    # diapasons are retuned by a semitone (CP; PS-inf), each keeping its letter; D is left
    assert tunings(41) == (41, 42) and tunings(40) == (40, 39) and tunings(38) == (38,)
    assert tunings(34) == (35, 34)  # a Bb1, as on the theorbo in G, may be B


def test_nothing_struck_nothing_inferred() -> None:
    assert infer({3: 0}, {4: 0}) == {}


def test_evidence_is_given_by_row() -> None:
    score = corpus.load("bach/bwv66.6.mxl")
    piece = arrange(score, Habit.LUTE, 0)
    found = infer_scale(piece.onset, piece.sounding, piece.course, 6, IN_A.diapasons)
    for note in found:
        assert (piece.course[list(note.rows)] == note.course).all()
        assert 0.5 <= note.chance <= 1.0
