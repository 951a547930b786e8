"""Laws of a reading: what it must not depend on. Source: common practice, no source.

Only what holds is here; the shares of what does not are printed by ``python -m tests.laws.reading_shares``.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.edition.lead import lead
from pipeline.model.tablature import Pin
from pipeline.model.time import Value
from tests.laws.alike import Bars, Typed, lowered, pinned, read_bars, twins
from tests.laws.music import bars, pieces
from tests.laws.reading_shares import INTERVALS, Given, anthology, four_times, of_cases, read
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
def test_second_and_third_time_are_read_the_same(lines: list[str]) -> None:
    plain = tuple(_stated(line).replace(" |!", "").replace(" .||", "").replace(" ||", "") for line in lines)
    found = read("law", Typed(HEADING, ()).text(plain * 4)).bars
    assert found[len(lines) : 2 * len(lines)] == found[2 * len(lines) : 3 * len(lines)]


def _stated(line: str) -> str:
    """The bar with a value at its beginning: else it has the last value before it, which need not be the same."""
    return line.replace("| 'r=", "| 4'r=")


# --- dittos ---


@settings(max_examples=40, deadline=None)
@given(st.lists(bars, min_size=1, max_size=4), st.integers(0, 3))
def test_ditto_is_read_as_the_bar_written_out(lines: list[str], at: int) -> None:
    lines = [_stated(line) for line in lines]
    at %= len(lines)
    typed = Typed(HEADING, ())
    written = read("law", typed.text((*lines[: at + 1], lines[at], *lines[at + 1 :])))
    short = read("law", typed.text((*lines[: at + 1], _ditto(lines[at]), *lines[at + 1 :])))
    assert short.bars == written.bars


def _ditto(line: str) -> str:
    closing = next((sign for sign in (" |!", " .||", " ||") if line.endswith(sign)), "")
    return f"| ditto{closing}"


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


@pytest.mark.parametrize("one", [one for one in anthology() if len(one.piece.bars) > 5], ids=lambda one: one.name)
def test_pin_of_a_length_changes_nothing_two_bars_away(one: Given) -> None:
    middle = len(one.piece.bars) // 2
    bar, stop = next(
        (bar, stop)
        for bar in one.piece.bars[middle:]
        if bar.bar.ditto is None
        for event in bar.events
        for stop in event.stops
        if not (stop.held or stop.stop.labels)
    )
    now = read_bars(pinned(one.piece, stop.id, Pin(lasts=Value(8))), one.song)
    assert _outside(one.bars, bar.index) == _outside(now, bar.index)


def _outside(bars_read: Bars, at: int) -> Bars:
    return tuple(bar for number, bar in enumerate(bars_read) if abs(number - at) > 2)


# --- another tuning ---


@pytest.mark.parametrize(
    "case",
    [case for case in cases() if case.idiom in ("mixed", "vocal") and "layer" not in case.source.text],
    ids=lambda case: case.name,
)
def test_octaves_are_restored_the_same_on_an_instrument_of_another_size(case: Case) -> None:
    one = _case(case)
    for semitones, fifths in INTERVALS:
        now = read_bars(lowered(one.piece, semitones, fifths))
        for before, after in zip(one.bars, now, strict=True):
            assert [reading.octaves for reading in before] == [reading.octaves for reading in after]
