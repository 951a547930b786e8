"""Programmes: tunings, frequencies, what moves, and orders against every order there is."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.desk.programme.plan import programme
from pipeline.desk.programme.plan.moves import between, cost
from pipeline.desk.programme.plan.order import MOST_EXACT, best_order, good_order, total
from pipeline.desk.programme.sheet import Known, Method, Programme, ProgrammePiece, Standard, Strain
from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.pitch import frequency
from pipeline.model.sounding import SoundingPiece
from tests.made import resolved

#: Eight bars that plainly are in G: the seventh course of an archlute, usually F2, must be F sharp.
IN_G = "\n".join(["| 2=7,4:1,3:0,2:0 6:0,5:2,4:2,3:2", "| 2=6:0,4:2,3:2,2:0 7,4:1,3:0,2:0"] * 4)


def piece(*lines: str, music: str = "| 1=7,3:0", instrument: str = "theorbo in A") -> SoundingPiece:
    """A piece under these heading lines."""
    heading = "\n".join(["longneck 1", f"instrument {instrument}", "metre none", *lines, ""])
    return resolved(music, heading)[0]


def play(*pieces: SoundingPiece, pitch: float | None = None, fewest: bool = False) -> Programme:
    return programme([(f"{n}.intav", one) for n, one in enumerate(pieces, start=1)], pitch=pitch, fewest=fewest)


def scale(one: ProgrammePiece) -> list[str]:
    return ["+".join(string.pitch.name for string in course.strings) for course in one.diapasons]


def moved(made: Programme, place: int) -> list[tuple[int, str, str, int]]:
    """Course, from, to and tenths of a cent of each string that moves before piece ``place`` (from 1)."""
    return [
        (move.course, move.before.pitch.name, move.after.pitch.name, move.tenths)
        for move in made.changes[place - 1].moves
    ]


# --- frequencies ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("a4", "names"),
    [
        # Equal temperament, f = a4 · 2^((n − 69) / 12) (PS: MIDI note numbers with ISO 16). The values at 440 are
        # those of published tables of equal temperament; at the other standards (CP) times 392, 415, 465 over 440.
        (440, {7: 98.00, 8: 87.31, 9: 82.41, 10: 73.42, 11: 65.41, 12: 61.74, 13: 55.00, 14: 49.00}),
        (415, {7: 92.43, 8: 82.35, 10: 69.25, 13: 51.88}),
        (392, {7: 87.31, 8: 77.78, 10: 65.41, 13: 49.00}),
        (465, {7: 103.57, 10: 77.59, 13: 58.13}),
    ],
)
def test_frequencies_at_the_standards_in_use(a4: int, names: dict[int, float]) -> None:
    (made,) = play(piece(f"pitch {a4}")).pieces
    assert {course.number: course.strings[0].hertz for course in made.diapasons if course.number in names} == (
        pytest.approx(names, abs=0.006)
    )


def test_392_is_a_whole_tone_below_440() -> None:
    # CP: A4 = 392 is about G4 at 440 (391.995 Hz); so G2 there is F2 here, to the hundredth of a hertz
    assert frequency(43, 392) == pytest.approx(frequency(41, 440), abs=0.01)


def test_a_piece_without_standard_follows_the_others_of_its_instrument() -> None:
    made = play(piece("pitch 415"), piece(), piece(instrument="lute in G, 6 courses", music="| 1=3:0"))
    assert [(one.a4, one.standard) for one in made.pieces] == [
        (415, Standard.DECLARED),
        (415, Standard.OTHERS),
        (440, Standard.NONE),
    ]
    assert [one.a4 for one in play(piece("pitch 415"), piece("pitch 440"), pitch=392).pieces] == [392, 392]


# --- scales -----------------------------------------------------------------------------------------------


def test_declared_usual_and_in_question() -> None:
    # PS-inf: archlute in G, course 7 = F2, 8 = Eb2; in G major the seventh is F sharp (CP: retuned to suit the key)
    asked = piece(instrument="archlute in G", music=IN_G)
    read = play(asked).pieces[0]
    assert scale(read)[:2] == ["F2", "Eb2"]
    assert [course.known for course in read.diapasons[:2]] == [Known.ASKED, Known.USUAL]
    assert read.diapasons[0].asked is not None and read.diapasons[0].asked.name == "F#2"
    assert 0.9 <= read.diapasons[0].chance < 1
    # one truth: the page prints the same pitch, asks the same question, and nobody is sent to turn a peg
    left = notate(spell(lead(asked))).credits.left
    assert any(line.startswith("Diapasons: 7 F2 (F♯2?) · 8 E♭2 ·") for line in left), left
    assert play(piece(instrument="archlute in G", music="| 1=7"), asked).moved == 0
    told = play(piece("diapasons 8 = E2", instrument="archlute in G", music=IN_G)).pieces[0]
    assert scale(told)[:2] == ["F2", "E2"]  # what is declared is believed, and so is the rest of that scale
    assert [course.known for course in told.diapasons[:2]] == [Known.USUAL, Known.DECLARED]


def test_a_tuning_declared_as_usual_is_declared() -> None:
    (made,) = play(piece("diapasons 8 = F2")).pieces
    assert [course.number for course in made.diapasons if course.known is Known.DECLARED] == [8]


def test_french_diapasons() -> None:
    # CP: course 7 is a, 8 /a, 9 //a, 10 ///a, then 4, 5 … = courses 11, 12 …
    music = "| 1=a\n| 1=/a\n| 1=4"
    first = piece("signs french", "diapasons 8 = F#2", music=music)
    made = play(first, piece("signs italian", music="| 1=7\n| 1=8\n| 1=11"))
    assert [course.number for course in made.pieces[0].diapasons if course.struck] == [7, 8, 11]
    assert [course.number for course in made.pieces[1].diapasons if course.struck] == [7, 8, 11]
    assert moved(made, 2) == [(8, "F#2", "F2", -1000)]


def test_octave_strings_move_each_by_itself() -> None:
    in_octaves = "course 7 = F2+F3"
    made = play(
        piece(in_octaves, instrument="lute in G, 10 courses"),
        piece("course 7 = F#2+F#3", instrument="lute in G, 10 courses"),
        piece("course 7 = F#2+F#2", instrument="lute in G, 10 courses"),
    )
    assert moved(made, 2) == [(7, "F2", "F#2", 1000), (7, "F3", "F#3", 1000)]
    assert [(move.string, move.strings) for move in made.changes[1].moves] == [(0, 2), (1, 2)]
    assert moved(made, 3) == [(7, "F#3", "F#2", -12000)]
    assert made.moved == 3


def test_the_same_pitch_by_another_name_does_not_move() -> None:
    assert play(piece("diapasons 8 = F#2"), piece("diapasons 8 = Gb2")).moved == 0


def test_stopped_courses_move_too() -> None:
    made = play(piece(), piece("course 6 = G2"))
    assert moved(made, 2) == [(6, "A2", "G2", -2000)]


# --- instruments ------------------------------------------------------------------------------------------


def test_instruments_are_not_retuned_into_each_other() -> None:
    in_a, in_g = piece(), piece(instrument="theorbo in G")
    made = play(in_a, in_g, piece("diapasons 8 = F#2"), in_g)
    assert made.instruments == ("theorbo in A", "theorbo in G")
    assert [one.instrument for one in made.pieces] == [0, 1, 0, 1]
    assert [change.since for change in made.changes] == [None, None, 0, 1]
    assert moved(made, 3) == [(8, "F2", "F#2", 1000)] and moved(made, 4) == []


def test_two_names_of_one_lute() -> None:
    # PS-inf, CP: lute in G with seven courses, the seventh in F or in D
    made = play(
        piece(instrument="lute in G, 7 courses"),
        piece(instrument="lute in G, 7 courses, low D"),
    )
    assert made.instruments == ("lute in G, 7 courses / lute in G, 7 courses, low D",)
    assert moved(made, 2) == [(7, "F2", "D2", -3000)]


def test_single_and_double_strung_are_two_instruments() -> None:
    assert len(play(piece(), piece("course 7 = G2+G3")).instruments) == 2


# --- pitch standards ----------------------------------------------------------------------------------------


def test_a_change_of_standard_moves_every_string() -> None:
    made = play(piece("pitch 415"), piece("pitch 440", "diapasons 8 = F#2"))
    assert made.changes[1].standard == (415, 440)
    assert len(made.changes[1].moves) == 14
    # 1200 · log2(440 / 415) = 101.27 cents (calc)
    assert {move.course: move.tenths for move in made.changes[1].moves}[7] == 1013
    assert {move.course: move.tenths for move in made.changes[1].moves}[8] == 2013
    assert play(piece("pitch 415"), piece("pitch 440", "diapasons 8 = F#2"), pitch=415).moved == 1


# --- retuning on the way ------------------------------------------------------------------------------------


def test_a_piece_that_retunes_on_its_way() -> None:
    music = "| 1=7\nsection Maggiore\nretune 8 = F#2\n| 1=8\nretune 8 = F#2\n| 1=8\nretune 8 = F2, 11 = C#2\n| 1=8"
    made = play(piece(music=music), piece())
    first = made.pieces[0]
    assert [(one.bar, one.section, one.begins, len(one.moves)) for one in first.inside] == [
        ("2", "Maggiore", True, 1),
        ("4", "Maggiore", False, 2),
    ]
    assert moved(made, 2) == [(11, "C#2", "C2", -1000)]


@pytest.mark.parametrize(
    ("music", "back"),
    [
        ("| 1=7\nretune 8 = F#2\n| 1=8\nagain start", True),
        ("| 1=7\nretune 8 = F#2\n| 1=8", False),
        ("| 1=7\nagain start\nsection Maggiore\nretune 8 = F#2\n| 1=8", False),
        ("retune 8 = F#2\n| 1=7\n| 1=8\nagain start", False),
    ],
)
def test_going_back_after_a_retuning_is_noticed(music: str, back: bool) -> None:
    assert play(piece(music=music)).pieces[0].goes_back is back


def test_a_retuning_before_the_first_bar_is_the_piece_s_tuning() -> None:
    (made,) = play(piece(music="retune 8 = F#2\n| 1=8")).pieces
    assert scale(made)[1] == "F#2" and not made.inside
    assert made.diapasons[1].known is Known.DECLARED


def test_strings_that_a_retuning_does_not_name_stay() -> None:
    music = "| 1=7\nretune 7 = F#2\n| 1=7"
    made = play(piece("course 7 = F2+F3", music=music, instrument="lute in G, 10 courses"))
    assert scale(made.pieces[0]) == ["F2+F3", "Eb2", "D2", "C2"]
    (inside,) = made.pieces[0].inside
    assert [(move.string, move.after.pitch.name) for move in inside.moves] == [(0, "F#2")]
    assert [string.pitch.name for string in made.pieces[0].after[6].strings] == ["F#2", "F3"]


# --- strain -------------------------------------------------------------------------------------------------


def test_strain_is_known_only_with_a_length() -> None:
    assert play(piece()).pieces[0].courses[0].strings[0].strain is Strain.UNKNOWN
    # PS-inf: gut breaks at about 248 Hz·m, so 0.80 m holds up to 310 Hz, below E4 = 329.63 Hz at A4 = 440
    (made,) = play(piece("pitch 440", "strings 80 cm, 160 cm", "course 2 = E4", "course 1 = D4")).pieces
    assert [course.strings[0].strain for course in made.courses[:3]] == [Strain.NEAR, Strain.BEYOND, Strain.FAR]


# --- orders -------------------------------------------------------------------------------------------------

matrices = st.integers(1, 7).flatmap(
    lambda n: st.lists(st.lists(st.integers(0, 4), min_size=n, max_size=n), min_size=n, max_size=n)
)
tunings = st.lists(
    st.tuples(st.sampled_from(["F2", "F#2"]), st.sampled_from(["C2", "C#2", "D2"]), st.sampled_from(["B1", "Bb1"])),
    min_size=1,
    max_size=5,
)


@given(matrices)
@settings(max_examples=150, deadline=None)
def test_the_best_order_is_the_best_of_all(costs: list[list[int]]) -> None:
    # permutations come in the order given first: min keeps the one nearest to it
    every = permutations(range(len(costs)))
    assert best_order(costs) == min(every, key=lambda order: total(costs, order))


@given(matrices)
@settings(max_examples=60, deadline=None)
def test_a_search_gives_every_place_once_and_nothing_worse_than_given(costs: list[list[int]]) -> None:
    found = good_order(costs)
    assert sorted(found) == list(range(len(costs)))
    assert total(costs, best_order(costs)) <= total(costs, found) <= total(costs, range(len(costs)))


def tuned(scales: list[tuple[str, str, str]]) -> list[SoundingPiece]:
    return [piece(f"diapasons 8 = {a}, 11 = {b}, 12 = {c}") for a, b, c in scales]


@given(tunings)
@settings(max_examples=25, deadline=None)
def test_no_order_of_pieces_moves_fewer_strings(scales: list[tuple[str, str, str]]) -> None:
    pieces = tuned(scales)
    made = play(*pieces, fewest=True)
    every = [play(*order) for order in permutations(pieces)]
    way = [sum(abs(move.tenths) for change in one.changes for move in change.moves) for one in (made, *every)]
    assert (made.moved, way[0]) == min((one.moved, far) for one, far in zip(every, way[1:], strict=True))
    assert made.method is Method.PROVEN and made.as_given == play(*pieces).moved


@given(tunings.filter(lambda scales: len(scales) >= 3))
@settings(max_examples=25, deadline=None)
def test_no_detour_is_shorter(scales: list[tuple[str, str, str]]) -> None:
    one, other, third = play(*tuned(scales[:3])).pieces
    assert cost(one, third) <= cost(one, other) + cost(other, third)
    assert cost(one, one) == 0 and cost(one, other) == cost(other, one)
    assert len(between(one, third)) <= len(between(one, other)) + len(between(other, third))


def test_the_order_given_stays_where_nothing_is_gained() -> None:
    pieces = [piece(f"title {n}") for n in "cab"]
    assert [one.title for one in play(*pieces, fewest=True).pieces] == ["c", "a", "b"]


def test_a_piece_that_ends_in_another_tuning_stands_where_that_helps() -> None:
    turning = piece("title turning", music="| 1=7\nretune 8 = F#2\n| 1=8")
    sharp, plain = piece("title sharp", "diapasons 8 = F#2"), piece("title plain")
    made = play(sharp, turning, plain, fewest=True)
    assert [one.title for one in made.pieces] == ["plain", "turning", "sharp"]
    assert (made.moved, made.as_given) == (0, 2)


def test_instruments_keep_their_turns() -> None:
    lute = {"instrument": "lute in G, 8 courses", "music": "| 1=3:0"}
    made = play(
        piece("title a", "diapasons 8 = F#2"),
        piece("title l1", "course 8 = D2", **lute),
        piece("title b"),
        piece("title l2", "course 8 = Eb2", **lute),
        piece("title c", "diapasons 8 = F#2"),
        piece("title l3", "course 8 = D2", **lute),
        fewest=True,
    )
    assert [one.title for one in made.pieces] == ["a", "l1", "c", "l3", "b", "l2"]
    assert made.method is Method.PROVEN and (made.moved, made.as_given) == (2, 4)


def test_long_programmes_of_few_tunings_are_still_proven() -> None:
    scales = [(a, b, "B1") for a in ("F2", "F#2") for b in ("C2", "C#2")]
    made = play(*tuned(scales * 6), fewest=True)
    assert len(made.pieces) > MOST_EXACT and made.method is Method.PROVEN
    assert made.moved == 3  # four tunings that each differ in one string from the next


def test_longer_programmes_say_that_they_are_searched() -> None:
    names = ("C2", "C#2", "D2", "Eb2", "E2")
    scales = [(a, b, c) for b in names for a in ("F2", "F#2") for c in ("B1", "Bb1")]
    made = play(*tuned(scales[::3] + scales[1::3] + scales[2::3]), fewest=True)
    assert len(made.pieces) == 20 and made.method is Method.SEARCHED
    assert made.moved == 19  # one string for each step is the least that twenty tunings need
    assert made.as_given > 19
