"""Intervals as typed, the range of a voice, and the spelling that leaves fewest accidentals."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import interval as outside

from pipeline.model.interval import (
    UNISON,
    Interval,
    Refused,
    best_transposition,
    fitted,
    parse_interval,
    parse_range,
)
from pipeline.model.pitch import STEPS, SpelledPitch

PERFECT = ("P", "A", "d")
IMPERFECT = ("M", "m", "A", "d")
#: Every interval to a fifteenth that has a name of one letter; a diminished unison is none.
NAMES = [
    f"{sign}{kind}{size}"
    for sign in ("", "-")
    for size in range(1, 16)
    for kind in (PERFECT if (size - 1) % 7 in (0, 3, 4) else IMPERFECT)
    if (kind, size) != ("d", 1) and (sign, kind, size) != ("-", "P", 1)
]


def made(text: str) -> Interval:
    interval = parse_interval(text)
    assert isinstance(interval, Interval)
    return interval


def pitch(text: str) -> SpelledPitch:
    found = parse_range(f"{text}:{text}")
    assert not isinstance(found, Refused)
    return found[0]


@pytest.mark.parametrize("name", NAMES)
def test_intervals_are_as_wide_as_music21_says(name: str) -> None:
    ours, theirs = made(name), outside.Interval(name)
    assert ours.semitones == theirs.semitones
    assert ours.steps == theirs.diatonic.generic.staffDistance
    assert ours.name == name


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "Expected an interval, not “”"),
        ("2", "Expected an interval, not “2”"),
        ("M2 ", "Expected an interval, not “M2 ”"),
        ("H3", "Expected an interval, not “H3”"),
        ("M0", "Expected an interval, not “M0”"),
        ("--M2", "Expected an interval, not “--M2”"),
        ("P3", "There is no perfect third"),
        ("M4", "There is no major fourth"),
        ("m8", "There is no minor octave"),
        ("d1", "There is no diminished unison"),
        ("M16", "The interval M16 is wider than a fifteenth"),
    ],
)
def test_what_is_no_interval_is_refused(text: str, message: str) -> None:
    found = parse_interval(text)
    assert isinstance(found, Refused)
    assert found.message == message
    assert found.hint


@given(st.text(max_size=8))
def test_any_text_is_an_interval_or_refused(text: str) -> None:
    assert isinstance(parse_interval(text), Interval | Refused)
    assert isinstance(parse_range(text), tuple | Refused)


def test_words() -> None:
    assert made("M2").words == "a major second up"
    assert made("-m3").words == "a minor third down"
    assert made("-A4").words == "an augmented fourth down"
    assert made("P8").words == "an octave up"
    assert UNISON.words == "at pitch"


PITCHES = st.builds(SpelledPitch, st.sampled_from(STEPS), st.integers(-2, 2), st.integers(0, 6))


@given(PITCHES, st.sampled_from(NAMES))
def test_there_and_back(start: SpelledPitch, name: str) -> None:
    interval = made(name)
    back = Interval(-interval.steps, -interval.semitones)
    assert back.of(interval.of(start)) == start
    assert interval.of(start).semitones - start.semitones == interval.semitones
    assert interval.of(start).fifths - start.fifths == interval.fifths


# --- fewest accidentals -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fifths", "asked", "used"),
    [
        (4, "A1", "m2"),  # E major up a semitone is F major, not E sharp
        (4, "m2", "m2"),
        (0, "A1", "m2"),  # C: D flat (5 flats), not C sharp (7 sharps)
        (0, "A4", "A4"),  # six sharps or six flats: as asked
        (0, "d5", "d5"),
        (-5, "-A1", "-m2"),  # D flat down a semitone is C, not D double flat (12 flats)
        (2, "A4", "d5"),  # D: A flat (4 flats), not G sharp (8 sharps)
        (0, "d2", "P1"),
        (-1, "M2", "M2"),
    ],
)
def test_the_signature_needs_fewest_accidentals(fifths: int, asked: str, used: str) -> None:
    # common practice, no source
    assert fitted(made(asked), {fifths}).name == used


@given(st.integers(-7, 7), st.sampled_from(NAMES))
def test_no_signature_has_more_than_six(fifths: int, name: str) -> None:
    asked = made(name)
    used = fitted(asked, {fifths})
    assert used.semitones == asked.semitones
    assert abs(fifths + used.fifths) <= 6
    assert all(abs(fifths + used.fifths) <= abs(fifths + asked.twin(places).fifths) for places in (-1, 0, 1))


# --- a voice's range --------------------------------------------------------------------------------------------


def test_best_key_for_a_voice() -> None:
    # From G4-D6 (G major) to C4-G5: middles 74.5 + 6.5 (semitones 67-86 = 76.5) and 69.5. Seven semitones down is the
    # middle exactly, C major: no accidental.
    best = best_transposition(pitch("G4"), pitch("D6"), pitch("C4"), pitch("G5"), 1)
    assert isinstance(best, Interval) and best.name == "-P5"


def test_a_plain_key_within_a_semitone_of_the_middle() -> None:
    # D4-A4 in D major to C4-C5: exactly centred (66) would be 3.5 down of 69.5 + 0.5; among the three nearest,
    # counted by hand: 65.5 … 66.5 is reached by 0 - 1 (C sharp: 5 flats), + 0 (D: 2 sharps).
    best = best_transposition(pitch("D4"), pitch("A4"), pitch("C4"), pitch("C5"), 2)
    assert isinstance(best, Interval) and best == UNISON


def test_a_range_too_narrow() -> None:
    found = best_transposition(pitch("C4"), pitch("A5"), pitch("C4"), pitch("G5"), 0)
    assert isinstance(found, Refused)
    assert found.message == "The part spans 21 semitones (C4 to A5), the range C4:G5 only 19"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("C4-G5", "Expected the range of a voice, not “C4-G5”"),
        ("C4:H5", "Expected the range of a voice, not “C4:H5”"),
        ("C4", "Expected the range of a voice, not “C4”"),
        ("G5:C4", "The range G5:C4 ends below its beginning"),
    ],
)
def test_what_is_no_range_is_refused(text: str, message: str) -> None:
    found = parse_range(text)
    assert isinstance(found, Refused)
    assert found.message == message


@given(PITCHES, st.integers(0, 24), PITCHES, st.integers(0, 30), st.integers(-6, 6))
def test_the_best_fits_and_nothing_better_does(
    lowest: SpelledPitch, span: int, low: SpelledPitch, room: int, fifths: int
) -> None:
    highest = SpelledPitch("C", lowest.semitones + span - 60, 4)
    high = SpelledPitch("C", low.semitones + room - 60, 4)
    best = best_transposition(lowest, highest, low, high, fifths)
    assert isinstance(best, Refused) == (span > room)
    if isinstance(best, Interval):
        assert low.semitones <= lowest.semitones + best.semitones
        assert highest.semitones + best.semitones <= high.semitones
        assert abs(fifths + best.fifths) <= 6
        off = abs((lowest.semitones + highest.semitones) / 2 + best.semitones - (low.semitones + high.semitones) / 2)
        assert off <= 1
