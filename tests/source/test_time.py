"""Which time an event takes: signs that hold on or stand alone, events left out, two signs over one event.

The pieces are invented; what they must give is the rule quoted beside each test.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from pipeline.folder.batch import Job, build_one
from pipeline.folder.files import PieceFile
from pipeline.model.options import Options
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.model.time import ticks_to_fraction
from pipeline.source.read import sounding_piece

HEADING = "longneck 1\ninstrument theorbo in A\neditor EB = E. B.\nmetre {}\n\n"


def sounding(music: str, metre: str = "none") -> tuple[SoundingPiece, list[str]]:
    found = sounding_piece(SourceText.of("trial.intav", HEADING.format(metre) + music + "\n"))
    return found.value, [each.code.slug for each in found.diagnostics]


def lengths(piece: SoundingPiece) -> list[list[Fraction]]:
    return [[ticks_to_fraction(event.length) for event in bar.events] for bar in piece.bars]


def signs(piece: SoundingPiece) -> list[list[str]]:
    """The sign in force at each event, empty for none."""
    return [[event.sign.name if event.sign else "" for event in bar.events] for bar in piece.bars]


QUARTER, EIGHTH, HALF = Fraction(1, 4), Fraction(1, 8), Fraction(1, 2)


# --- unmeasured: a few signs stand for their own events (common practice, no source) -----------------------------


def test_a_lone_sign_lengthens_its_own_event_only_and_is_told_once() -> None:
    piece, found = sounding("| 7 3:0 3:2\n| 2=7 3:0 3:2 3:3 2:0 2:1\n| 1:0 1=8 3:0 3:2 3:3")
    assert signs(piece) == [["", "", ""], ["2", "", "", "", "", ""], ["", "1", "", "", ""]]
    assert lengths(piece)[1] == [HALF, *[QUARTER] * 5]
    assert found == ["sign-alone"]


def test_a_lone_rest_does_not_go_on() -> None:
    piece, _ = sounding("| 7 3:0 3:2 3:3\n| 2=- 3:0 3:2 3:3")
    assert signs(piece)[1] == ["2", "", "", ""]


def test_no_value_from_here_says_that_signs_hold_until_then() -> None:
    piece, found = sounding("| 2=7 3:0 3:2 3:3 2:0 'n=2:1 1:0 1:2")
    assert signs(piece) == [["2"] * 5 + [""] * 3]
    assert not found


def test_bars_that_come_out_equal_are_measured_though_no_metre_is_printed() -> None:
    # a print of 1546 (PS): no sign of metre, rhythm signs only on change
    piece, found = sounding("| 4=7 3:0 3:2 3:3\n| 7 3:0 3:2 3:3\n| 8 3:0 8=3:2 3:3 4=2:0\n| 7 3:0 3:2 3:3")
    assert {sum(row) for row in lengths(piece)} == {Fraction(1)}
    assert not found


def test_measured_without_a_printed_sign_of_metre() -> None:
    piece, found = sounding("| 2=7 4=3:0 3:2\n| 1=8\n| 2=7 3:0 4=3:2", "none = 4/4")
    assert piece.heading.metre is not None
    assert (piece.heading.metre.sign, piece.heading.metre.beats, piece.heading.metre.unit) == ("none", 4, 4)
    assert found == ["bar-too-long"]


# --- what the edition leaves out takes no time -------------------------------------------------------------------


def test_an_event_left_out_takes_no_time() -> None:
    piece, found = sounding("| 4=7 3:0 !3:2 2=3:3", "C")
    assert lengths(piece) == [[QUARTER, QUARTER, 0, HALF]]
    assert [event.left_out for event in piece.bars[0].events] == [False, False, True, False]
    assert not found


def test_an_event_left_out_breaks_no_group() -> None:
    piece, found = sounding("| 4=7 8/3=1:0 !1:2 1:2 1:3 2=8", "C")
    ends = [(event.tuplet.starts, event.tuplet.ends) for event in piece.bars[0].events if event.tuplet]
    assert ends == [(True, False), (False, False), (False, True)]
    assert not found


def test_the_sign_over_an_event_left_out_holds_on() -> None:
    piece, found = sounding("| 2=7 4=!3:0 3:2 3:3", "C")
    assert signs(piece) == [["2", "4", "4", "4"]]
    assert not found


def test_a_stop_left_out_of_a_chord_and_a_bar_left_out_whole_keep_their_time() -> None:
    piece, found = sounding("| 2=7,!3:0 3:2\n| 2=!7 !3:0", "C")
    assert lengths(piece) == [[HALF, HALF], [HALF, HALF]]
    assert not found


def test_a_chord_is_struck_again_over_an_event_left_out() -> None:
    piece, _ = sounding("| 4=7,3:0 !3:2 4== 2=3:3", "C")
    assert [stop.course for stop in piece.bars[0].events[2].stops] == [7, 3]


def test_events_left_out_build_through_to_the_search_for_misprints(tmp_path: Path) -> None:
    music = "| 4=!3:2 !3:3 2=!3:1\n| 2=7 !3:2\n| !3:2 2=7 8,3:0 |||\n| 4=7 8/3=1:0 !1:2 1:2 1:3 2=8\n"
    path = tmp_path / "piece.intav"
    path.write_text(HEADING.format("C") + music, encoding="utf-8")
    done = build_one(Job(PieceFile(path, "piece.intav", Path("piece")), tmp_path / "out"), Options(misprints=True))
    assert not done.fault


# --- two signs over one event --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "length"),
    [("4+8", Fraction(3, 8)), ("8+4", Fraction(3, 8)), ("2+2", Fraction(1)), ("1+2", Fraction(3, 2))],
)
def test_two_signs_last_both_together_and_the_second_holds(typed: str, length: Fraction) -> None:
    piece, _ = sounding(f"|> {typed}=7 3:0", "C")
    first, second = piece.bars[0].events
    assert ticks_to_fraction(first.length) == length
    assert second.sign is not None
    assert second.sign.name == typed.partition("+")[2]


@pytest.mark.parametrize("typed", ["4+16", "4.+8", "4!+8", "4+", "+4"])
def test_other_pairs_are_refused(typed: str) -> None:
    _, found = sounding(f"| {typed}=7", "C")
    assert found[:1] == ["syntax"]
