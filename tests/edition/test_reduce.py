"""Reducing the tablature to two hands, case by case. Theorbo in A: G2 and A3 E3 B3 G3 D3 A2 for courses 7 and 1–6
(courses 1 and 2 by Spencer, Early Music 4/4, 1976; the list is common practice, no source). The rule of a tenth and
three parts a hand is the project's own."""

from __future__ import annotations

import pytest

from pipeline.edition.reduce import reduce
from pipeline.model.copy import Fullness
from pipeline.model.voiced import VoicedPiece
from tests.made import HEADING, voiced


def hands(music: str, fullness: Fullness = Fullness.PLAYABLE) -> list[tuple[str, str]]:
    """Pitch and part of each note left, in order."""
    return parts(reduce(voiced(music, f"{HEADING}metre C\n"), fullness))


def parts(piece: VoicedPiece) -> list[tuple[str, str]]:
    return [(note.spelling.name, note.led.part.value) for note in piece.notes]


@pytest.mark.parametrize(
    ("pin", "expected", "octaves"), [("octave up", "E4", 1), ("octave down", "E2", -1), ("octave kept", "E3", 0)]
)
def test_a_pinned_octave_is_applied(pin: str, expected: str, octaves: int) -> None:
    """Source: the pin as the README writes it; what sounds stays with the stop."""
    before = voiced(f'| 1=2:0"a\n"a > {pin}', f"{HEADING}metre C\n")
    (note,) = reduce(before, Fullness.PLAYABLE).notes
    assert note.spelling.name == expected
    assert note.led.stop.pitch == 52, "E3"
    assert (note.led.restored.octaves if note.led.restored else 0) == octaves


@pytest.mark.parametrize("fullness", [Fullness.PLAYABLE, Fullness.FULL])
def test_a_doubled_unison_stands_once(fullness: Fullness) -> None:
    """Worked example 2: courses 4 and 2 both sound G3 (Libro primo d'intavolatura di chitarone, Venice 1604; calc)."""
    music = '| 1=4:0,3:3"a,2:3"a,1:2"a\n"a > octave kept'
    names = [name for name, _ in hands(music, fullness)]
    assert sorted(names) == ["B3", "D4", "G3"]


def test_low_inner_notes_lie_in_the_left_hand() -> None:
    """Under G3 they would hang far under the upper staff."""
    assert dict(hands("| 1=7,5:0,4:0,3:0")) == {"B3": "upper", "G3": "upper", "D3": "bass", "G2": "bass"}


def test_the_sketch_is_bass_and_melody() -> None:
    assert hands("| 1=7,5:0,4:0,3:0", Fullness.SKETCH) == [("B3", "upper"), ("G2", "bass")]


def test_what_no_hand_reaches_is_left_out_or_kept() -> None:
    """G1 D2 G2 A2 and A4: the left hand has three parts with G1 A2 G2; D2 doubles nothing, so it moves up two octaves
    into the right hand. A1 in its place doubles A2, so it goes."""
    music = '| 1=14,10"a,7"a,6:0"a,1:12"a\n"a > octave kept'
    outer = [("A4", "upper"), ("A2", "bass"), ("G2", "bass"), ("G1", "bass")]
    assert hands(music) == [outer[0], ("D4", "upper"), *outer[1:]]
    assert sorted(hands(music, Fullness.FULL)) == sorted([*outer, ("D2", "bass")])
    doubling = '| 1=14,13,7"a,6:0"a,1:12"a\n"a > octave kept'
    assert hands(doubling) == outer
    assert sorted(hands(doubling, Fullness.FULL)) == sorted([*outer, ("A1", "bass")])


def test_a_held_inner_note_ends_where_the_hand_must_leave_it() -> None:
    """G2 beneath A3 would be held under C4, a fourth and an octave above it. Found by random music."""
    before = voiced("| 4=1:0 4=1:0 4=1:0 4=1:0 4=8,7,1:0 4=1:3", f"{HEADING}metre none\n")
    after = reduce(before, Fullness.PLAYABLE)
    for moment in {note.led.onset for note in after.notes}:
        sounding = [note for note in after.notes if note.led.onset <= moment < note.led.onset + note.led.length]
        for staff in (("upper", "alto"), ("tenor", "bass")):
            pitches = [note.spelling.semitones for note in sounding if note.led.part.value in staff]
            assert not pitches or max(pitches) - min(pitches) <= 16


def test_nothing_to_reduce() -> None:
    assert hands("") == []
