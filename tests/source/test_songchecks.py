"""Lines beside the tablature that it contradicts, or that leap as no voice does: asked, and only where it is likely."""

from __future__ import annotations

import pytest

from pipeline.model.chordletters import Letters, triad
from pipeline.model.text import SourceText
from pipeline.source.read import read_piece
from pipeline.source.songchecks import SONG_CHECKS

HEADING = """\
longneck 1
title Trial
instrument theorbo in A
metre C
layer v = Canto, clef C1
layer b = Basso, clef F4

"""
KINDS = {"sung-leap", "sung-against", "bass-differs", "figure-differs", "letter-differs"}


def asked(music: str) -> list[tuple[str, str]]:
    """Code and underlined text of each of these notes."""
    source = SourceText.of("trial.intav", HEADING + music + "\n")
    found = read_piece(source).settled()
    return [(one.code.slug, source.at(one.span)) for one in found if one.code.slug in KINDS]


def test_there_is_a_check_of_every_kind() -> None:
    assert len(SONG_CHECKS) == len(KINDS)


@pytest.mark.parametrize(
    ("sung", "found"),
    [
        ("2=D5 F6", [("sung-leap", "F6")]),
        ("2=D5 B3", [("sung-leap", "B3")]),
        ("2=D5 E6", [("sung-leap", "E6")]),
        ("2=D4 D5", []),  # an octave is sung
        ("4=D5 - 2=F6", []),  # over a rest another phrase begins
    ],
)
def test_leaps(sung: str, found: list[tuple[str, str]]) -> None:
    assert asked(f"| 1=7,4:0,3:0\nv {sung}") == found


@pytest.mark.parametrize(
    ("stops", "note", "found"),
    [
        ("7,4:3,3:3", "B4", True),  # G, B flat, D
        ("7,4:0,3:0", "Bb4", True),  # G, G, B
        ("7,4:0,3:0", "B4", False),
        ("7,4:0,3:0", "C5", False),  # a suspension: no letter twice
        ("8,4:2,2:2", "F5", False),  # struck too, in the bass
    ],
)
def test_a_natural_against_a_flat(stops: str, note: str, found: bool) -> None:
    assert bool(asked(f"| 1={stops}\nv 1={note}")) is found


AGREEING = "| 4=7,3:0,1:5 8,4:2 X,4:2,3:3 7,4:0\nb 4=G2 F D G\n"


@pytest.mark.parametrize(
    ("last", "found"),
    [
        ("G2 F D G", []),
        ("G2 B D G", [("bass-differs", "B")]),
        ("G2'6 F D G", [("figure-differs", "4=G2'6")]),
        ("G2'5 F D G", []),
        ("G2 F D'# G", [("figure-differs", "D'#")]),
    ],
)
def test_a_bass_and_its_figures(last: str, found: list[tuple[str, str]]) -> None:
    music = AGREEING * 2 + "| 4=7,3:0,1:5 8,4:2 X,5:3,2:1 7,4:0\n"  # the third chord is D, F, F: minor
    assert asked(f"{music}b 4={last}") == found


#: A chord over G2 as stops of a theorbo in A (course 7 G2; 3 B3, 4 G3, 5 D3, 6 A2) with figures that it bears, and with
#: such as it contradicts. Common practice, no source.
FIGURED = [
    ("7,3:0", "#", "b"),  # G B
    ("7,3:0", "n", "b"),
    ("7,4:3", "b", "#"),  # G Bb
    ("7,4:3", "b", "n"),
    ("7,5:2", "#6", "b6"),  # G E
    ("7,5:1", "b6", "#6"),  # G Eb
    ("7,5:3", "b7", "#7"),  # G F
    ("7,5:4", "#7", "b7"),  # G F#
    ("7,5:0", "5", "b5"),  # G D
    ("7,5:1", "6", "7"),  # G Eb
    ("7,3:0,5:2", "6,#", "6,b"),  # G B E: the third beside a sixth
]


@pytest.mark.parametrize(("stops", "borne", "contradicted"), FIGURED)
def test_figures_that_a_chord_bears_and_contradicts(stops: str, borne: str, contradicted: str) -> None:
    assert not asked(f"| 1={stops}\nb 1=G2'{borne}")
    assert [slug for slug, _ in asked(f"| 1={stops}\nb 1=G2'{contradicted}")] == ["figure-differs"]


def test_a_bass_that_goes_its_own_way_is_not_asked_about() -> None:
    assert not asked((AGREEING + AGREEING.replace("G2 F D G", "G2 A B C3")) * 3)


@pytest.mark.parametrize(
    ("name", "notes"), [("G", {7, 11, 2}), ("Dm", {2, 5, 9}), ("Bb", {10, 2, 5}), ("F#m", {6, 9, 1})]
)
def test_names_of_chords(name: str, notes: set[int]) -> None:
    assert triad(name, Letters.NAMES) == notes


def test_letters_of_the_guitar() -> None:
    # a printed chart of 1606 (MEM): A is G major, O is G minor, + is E minor
    assert triad("A", Letters.GUITAR) == {7, 11, 2}
    assert triad("O", Letters.GUITAR) == {7, 10, 2}
    assert triad("+", Letters.GUITAR) == {4, 7, 11}
    assert len({triad(letter, Letters.GUITAR) for letter in "+ABCDEFGHIKLMNOP"}) == 16


CHORDS = "| 4=7,5:0,4:0,3:0 8,4:2,3:1 7,5:0,3:0 8,4:2,3:1\n"


@pytest.mark.parametrize(
    ("letters", "found"),
    [
        ("G F G F", []),
        ("A G A G", []),  # the same by the guitar's letters
        ("G F G D", [("letter-differs", "D")]),
        ("A G A C", [("letter-differs", "C")]),
        ("x y z q", []),  # no such letters
    ],
)
def test_chord_letters(letters: str, found: list[tuple[str, str]]) -> None:
    assert asked(f"{CHORDS}c {letters}") == found
