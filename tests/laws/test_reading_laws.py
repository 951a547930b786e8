"""Laws of a reading: what it must not depend on. Source: common practice, no source.

Only what holds is here; the shares of what does not are printed by ``python -m tests.laws.reading_shares``.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.edition.lead import lead
from pipeline.model.tablature import Pin
from pipeline.model.time import Value
from tests.laws.alike import Typed, lowered, pinned, read_bars, twins
from tests.laws.music import bars, pieces
from tests.laws.reading_shares import INTERVALS, Given, anthology, four_times, of_cases, pins, reach, read
from tests.made import resolved
from tests.readings.cases import Case, cases

HEADING = "longneck 1\ntitle Law\ninstrument theorbo in A\nmetre none\n"
GROUNDS = [case for case in cases() if case.idiom in ("ground", "strums", "bells")]


def _differing(one: Given, neighbours: int) -> list[tuple[int, int]]:
    groups = twins(one.piece, neighbours)
    return [(first, at) for first, *others in groups for at in others if one.bars[at] != one.bars[first]]


def _case(case: Case) -> Given:
    return read(case.name, case.source, (), Typed.of(case.source.text))


# --- the same bar ---


@pytest.mark.parametrize("case", GROUNDS, ids=lambda case: case.name)
def test_same_bar_between_the_same_bars_is_read_the_same(case: Case) -> None:
    more = four_times(_case(case))
    assert more is not None
    assert list(twins(more.piece, 1))
    assert _differing(more, 1) == []


def test_same_bar_of_a_written_piece_is_read_the_same() -> None:
    for one in (*anthology(), *of_cases()):
        assert _differing(one, 1) == [], one.name


@settings(max_examples=40, deadline=None)
@given(st.lists(bars, min_size=1, max_size=4))
def test_third_and_fourth_time_of_six_are_read_the_same(lines: list[str]) -> None:
    plain = tuple(_stated(line).replace(" |!", "").replace(" .||", "").replace(" ||", "") for line in lines)
    found = read("law", Typed(HEADING, ()).text(plain * 6)).bars
    assert found[2 * len(lines) : 3 * len(lines)] == found[3 * len(lines) : 4 * len(lines)]


def _stated(line: str) -> str:
    """The bar with a value at its beginning: else it has the last value before it, which need not be the same."""
    return line.replace("| 'r=", "| 4'r=")


# --- dittos ---


@settings(max_examples=40, deadline=None)
@given(st.lists(bars, min_size=1, max_size=4), st.integers(0, 3))
def test_ditto_is_read_as_the_bar_that_it_repeats(lines: list[str], at: int) -> None:
    # All but the length of what rings into the bar behind it, which need not be the same.
    at %= len(lines)
    plain = [line.replace(" |!", "").replace(" .||", "").replace(" ||", "") for line in lines]
    found = read("law", Typed(HEADING, ()).text((*plain[: at + 1], "| ditto", *plain[at + 1 :]))).bars
    assert [replace(one, length=0) for one in found[at + 1]] == [replace(one, length=0) for one in found[at]]


# --- pins ---


@settings(max_examples=60, deadline=None)
@given(pieces, st.integers(0, 50), st.data())
def test_pin_is_followed_or_refused(music: str, at: int, data: st.DataObject) -> None:
    piece, _ = resolved(music, HEADING)
    stops = [stop.id for bar in piece.bars for event in bar.events for stop in event.stops]
    if not stops:
        return
    stop = stops[at % len(stops)]
    highest = max(note.voice for note in lead(piece).notes)
    pin = Pin(
        voice=data.draw(st.none() | st.integers(1, highest)),
        octave=data.draw(st.sampled_from([None, 0, 1])),
        lasts=data.draw(st.none() | st.sampled_from([Value(8), Value(4), Value(2)])),
    )
    found = lead(pinned(piece, stop, pin))
    note = next(note for note in found.notes if note.id == stop)
    if stop in dict(found.refused):
        return
    if pin.voice is not None:
        assert note.voice == pin.voice
    if pin.octave is not None:
        assert (note.restored.octaves if note.restored else 0) == pin.octave
    if pin.lasts is not None:
        assert note.length == pin.lasts.ticks


LONG = [one for one in anthology() if len(one.piece.bars) > 5]
FOUR_TIMES = [more for case in GROUNDS if case.idiom == "ground" and (more := four_times(_case(case))) is not None]


@pytest.mark.parametrize("one", [*LONG, *FOUR_TIMES], ids=lambda one: one.name)
def test_pin_changes_nothing_more_than_two_bars_away(one: Given) -> None:
    # A phrase is here the bar of the pin and two on each side, as the README says.
    for at, pin, now in pins(one):
        assert reach(one, at, now) <= 2, (at, pin)


# --- another tuning ---


#: Read otherwise where tuned otherwise: a line so doubtful that the notes decide which way it falls.
OTHERWISE = {"mixed/tenor-scale-over-course-two"}


@pytest.mark.parametrize(
    "case",
    [
        pytest.param(case, id=case.name, marks=[pytest.mark.xfail(strict=True)] if case.name in OTHERWISE else [])
        for case in cases()
        if case.idiom in ("mixed", "vocal") and "layer" not in case.source.text
    ],
)
def test_octaves_are_restored_the_same_on_an_instrument_of_another_size(case: Case) -> None:
    one = _case(case)
    for semitones, fifths in INTERVALS:
        now = read_bars(lowered(one.piece, semitones, fifths))
        for before, after in zip(one.bars, now, strict=True):
            assert [reading.octaves for reading in before] == [reading.octaves for reading in after]
