"""The joint reading of voices, lengths and octaves: hand-written bars with the right answer argued beside them, the
worked examples of published sources, and laws that hold for any tablature.

Tuning throughout: theorbo in A, A3 E3 B3 G3 D3 A2 and the diapasons G2 F2 … (PS: R. Spencer, Early Music 4/4, 1976;
course list common practice).
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.edition.lead.lines import (
    FREE,
    NEVER,
    Impossible,
    LineArrays,
    StopArrays,
    impossible_pins,
    read_lines,
    stop_arrays,
)
from pipeline.model.record import replace
from pipeline.model.time import WHOLE

OPEN = (57, 52, 59, 55, 50, 45, 43, 41, 40, 38, 36, 35, 33, 31)
CROTCHET = WHOLE // 4

Event = tuple[float, dict[int, int]]


def tablature(*events: Event, key: int = 0, re_entrant: tuple[int, ...] = (1, 2)) -> StopArrays:
    """Events of so many crotchets, each with frets by course."""
    rows: list[tuple[int, int, int]] = []
    now = 0
    for crotchets, stops in events:
        rows += [(now, course, stops[course]) for course in sorted(stops, reverse=True)]
        now += round(crotchets * CROTCHET)
    onset, course, fret = (np.array(column, dtype=np.int64) for column in zip(*rows, strict=True))
    pitch = np.array(OPEN)[course - 1] + fret
    bars = np.arange(0, now + 1, WHOLE)
    return stop_arrays(onset, pitch, course, fret, re_entrant=re_entrant, stopped=6, bars=bars, key=key)


def row_of(stops: StopArrays, event: int, course: int) -> int:
    onsets = np.unique(stops.onset)
    return int(np.flatnonzero((stops.onset == onsets[event]) & (stops.course == course))[0])


def voice_of(stops: StopArrays, read: LineArrays, event: int, course: int) -> int:
    return int(read.voice[row_of(stops, event, course)])


# --- worked examples ---


def test_bass_is_the_note_on_the_lowest_course() -> None:
    # Fleury 1660, p. 8 (second-hand; pitches calculated): fourth chord 4b 3a 2a = G#3 B3 E3. The bass is the G sharp
    # on course 4, though the E on course 2 sounds below it.
    stops = tablature(
        (2, {8: 0, 4: 2, 3: 1, 2: 1}),
        (2, {5: 4, 3: 3, 1: 0}),
        (2, {7: 0, 3: 3, 2: 3, 1: 1}),
        (2, {4: 1, 3: 0, 2: 0}),
        (2, {6: 0, 3: 1, 2: 1}),
        (2, {6: 1, 4: 3, 3: 3, 2: 1}),
    )
    read = read_lines(stops)
    for event, course in enumerate((8, 5, 7, 4, 6, 6)):  # the second and fourth chord have three parts only
        at_once = read.voice[stops.onset == np.unique(stops.onset)[event]]
        assert voice_of(stops, read, event, course) == at_once.max()
        assert (at_once == at_once.max()).sum() == 1


def test_displaced_cadence_is_lifted_or_asked() -> None:
    # Melii, Libro quinto, p. 51, close (second-hand): the line E3 D4 E3 F3 runs E D E F with its D an octave high as
    # it sounds, so E and F are meant an octave up, or the editor must be asked.
    stops = tablature(
        (2, {6: 0, 4: 2, 3: 1, 2: 1}),
        (1, {6: 3, 4: 0, 3: 1, 2: 1}),
        (1, {2: 0}),
        (0.5, {3: 3}),
        (0.5, {2: 0}),
        (1, {2: 1}),
        (1, {5: 3}),
        (4, {8: 0, 3: 1, 2: 1, 1: 0}),
    )
    read = read_lines(stops)
    for event in (2, 4, 5):
        row = row_of(stops, event, 2)
        assert read.octave[row] == 1 or read.asked[row]
    assert read.octave[row_of(stops, 3, 3)] == 0  # the D sounds where it is meant


# --- telling failures ---

#: Literal writing: the cantus C4 D4 E4 F4 G4 stands on course 3 up to fret 8, where a lutenist would have taken
#: courses 1 and 2; so the alto on course 1 is meant as it sounds, a third below.
LITERAL_BAR = tablature(
    (1, {6: 0, 2: 0, 1: 0, 3: 1}),
    (1, {7: 0, 5: 0, 1: 2, 3: 3}),
    (1, {6: 3, 4: 0, 1: 3, 3: 5}),
    (1, {5: 0, 4: 2, 1: 5, 3: 6}),
    (1, {6: 3, 4: 0, 1: 7, 3: 8}),
    (1, {5: 0, 4: 2, 1: 5, 3: 6}),
    (1, {6: 3, 4: 0, 1: 3, 3: 5}),
    (2, {6: 0, 2: 0, 1: 0, 3: 1}),
)


def test_open_first_course_is_not_lifted_out_of_the_alto() -> None:
    # An octave up it would run in sixths above the cantus, plausible by itself; but the frets say literal.
    read = read_lines(LITERAL_BAR)
    first_course = LITERAL_BAR.course == 1
    assert not read.octave[first_course].any()


def test_parts_of_equal_range_keep_apart_after_a_held_chord() -> None:
    # Two upper parts cross nothing: from C4 over A3 held, the upper goes on C4 D4, the lower A3 B3, by step both.
    # Exchanged, one would leap a fourth up and the other a second down through it.
    stops = tablature(
        (1, {6: 3, 4: 0, 3: 5}),
        (1, {5: 0, 4: 2, 3: 3}),
        (4, {6: 0, 4: 2, 3: 1}),
        (1, {7: 0, 4: 4, 3: 3}),
        (4, {6: 3, 4: 5, 3: 5}),
    )
    read = read_lines(stops)
    assert voice_of(stops, read, 3, 3) == voice_of(stops, read, 2, 3)
    assert voice_of(stops, read, 3, 4) == voice_of(stops, read, 2, 4)


def test_tenor_is_not_taken_for_the_silent_bass() -> None:
    # The bass is silent for two events; the tenor F3 G3 F3 is then the lowest note, but goes on by step to what it
    # was, and the bass comes back a fifth and more below it.
    stops = tablature(
        (1, {8: 0, 5: 3, 4: 2, 3: 1}),
        (1, {7: 0, 5: 5, 4: 4, 3: 3}),
        (1, {5: 3, 4: 2, 3: 1}),
        (1, {5: 5, 4: 4, 3: 3}),
        (1, {8: 0, 5: 3, 4: 2, 3: 1}),
        (1, {7: 0, 5: 5, 4: 4, 3: 3}),
        (2, {6: 3, 5: 2, 4: 0, 3: 1}),
    )
    read = read_lines(stops, voices=4)
    tenor = {voice_of(stops, read, event, 5) for event in range(7)}
    assert len(tenor) == 1
    assert voice_of(stops, read, 4, 8) == voice_of(stops, read, 0, 8) != tenor.pop()


def test_shared_stop_leaves_two_lines_behind() -> None:
    # Two parts meet on one stop, A3, and part again to B3 and G3: whichever is given the stop, afterwards there are
    # again two lines, and neither note falls to the bass.
    stops = tablature(
        (1, {6: 0, 4: 0, 3: 0}),
        (1, {8: 0, 4: 2}),
        (1, {7: 0, 4: 0, 3: 0}),
        (1, {8: 0, 4: 2}),
        (1, {7: 0, 4: 0, 3: 0}),
    )
    read = read_lines(stops, voices=3)
    for event in (0, 2, 4):
        assert voice_of(stops, read, event, 3) == 1
        assert voice_of(stops, read, event, 4) == 2


# --- textures ---


def test_single_line_is_one_voice() -> None:
    # A scale C4 D4 E4 F4 E4 D4 on course 3 alone: one voice, each note until the next.
    stops = tablature(*[(1, {3: fret}) for fret in (1, 3, 5, 6, 5, 3, 1, 0, 1)])
    read = read_lines(stops)
    assert read.voices == 1
    assert (read.length[:-1] == CROTCHET).all()


def test_bell_like_scale_is_one_voice() -> None:
    # G3 A3 B3 C4 D4 over courses 4, 1, 3 (open strings ring on, common practice): one line across courses.
    up: tuple[dict[int, int], ...] = ({4: 0}, {1: 0}, {3: 0}, {1: 3})
    stops = tablature(*[(0.5, stop) for stop in (*up, {3: 3}, *reversed(up))])
    read = read_lines(stops)
    assert set(read.voice.tolist()) == {1}


def test_arpeggio_is_a_bass_and_a_running_line() -> None:
    # Libro primo d'intavolatura di chitarone (Venice 1604), Toccata arpeggiata: chords broken 4-2-1-3. As musicians
    # write them (common practice): the lowest course rings as bass, the rest runs on above.
    events: list[Event] = []
    for low, second, first, third in ((0, 3, 2, 3), (2, 3, 2, 1), (0, 3, 2, 3), (2, 1, 0, 1)):
        events += [(0.5, {4: low}), (0.5, {2: second}), (0.5, {1: first}), (0.5, {3: third})]
    stops = tablature(*events)
    read = read_lines(stops)
    assert set(read.voice[stops.course == 4].tolist()) == {read.voices} == {2}
    assert set(read.voice[stops.course != 4].tolist()) == {1}
    assert (read.length[stops.course == 4] >= 2 * CROTCHET).all()


def _figures_under(*tops: int, again: int | None = None) -> StopArrays:
    """Minims of bass and top on course 1, in quavers with three more on courses 2 and 3; ``again``: the last of them
    on course 1, at this fret."""
    events: list[Event] = []
    for place, top in enumerate(tops):
        last = {2: 0} if again is None else {1: again}
        events += [(0.5, {6 - place % 2: 0, 1: top}), (0.5, {2: 0}), (0.5, {3: 2}), (0.5, last)]
    return tablature(*events)


def test_a_tune_over_figures_rings_and_what_lies_between_is_a_voice() -> None:
    # Notes that go on by step, struck with each bass on a string of their own, ring over the figure. Common practice,
    # no source.
    stops = _figures_under(4, 5, 4, 2, 4, 5)
    read = read_lines(stops)
    tune, struck_with = stops.course == 1, stops.course >= 5
    assert (read.voices, set(read.voice[tune].tolist()), set(read.voice[struck_with].tolist())) == (3, {1}, {3})
    between = ~tune & ~struck_with
    assert set(read.voice[between].tolist()) == {2}
    assert (read.length[tune][:-1] == 2 * CROTCHET).all() and (read.length[between][:-1] == CROTCHET // 2).all()


def test_a_top_note_whose_string_the_figure_needs_is_no_tune_that_rings() -> None:
    # The string is struck again within the figure: it cannot ring on (physics).
    read = read_lines(_figures_under(4, 5, 4, 2, 4, 5, again=1))
    assert read.voices == 2


def test_top_notes_that_leap_are_no_tune() -> None:
    # By an octave and back each time: the top of a wide figure. Common practice, no source.
    stops = _figures_under(2, 12, 0, 12, 1, 12)
    read = read_lines(stops)
    assert not (read.length[stops.course == 1][:-1] == 2 * CROTCHET).all()


def test_full_chord_among_three_parts_adds_no_line() -> None:
    # A last chord of six strings after three-part writing is a doubling, not three more parts. Common practice, no
    # source.
    stops = tablature(
        *[(1, {6: bass, 4: mid, 3: top}) for bass, mid, top in ((0, 2, 1), (2, 4, 3), (3, 5, 5), (2, 4, 3)) * 12],
        (4, {7: 0, 5: 0, 4: 0, 3: 0, 2: 3, 1: 2}),
    )
    assert read_lines(stops).voices == 3


# --- pins ---


def test_pins_are_followed_and_the_rest_read_around_them() -> None:
    free = LITERAL_BAR
    voice, octave, length = free.pin_voice.copy(), free.pin_octave.copy(), free.pin_length.copy()
    lifted, lowered = row_of(free, 2, 1), row_of(free, 4, 6)
    octave[lifted], voice[lifted], length[lifted] = 1, 1, CROTCHET // 2
    octave[lowered] = -1
    read = read_lines(replace(free, pin_voice=voice, pin_octave=octave, pin_length=length))
    assert read.octave[lifted] == 1 and read.voice[lifted] == 1 and read.length[lifted] == CROTCHET // 2
    assert read.octave[lowered] == -1
    assert not read.asked[lifted]


def test_pinned_voice_draws_its_neighbours() -> None:
    # Pinning a stop in the middle to voice 2 must not leave two stops of one event in one voice while a voice is
    # free.
    voice = LITERAL_BAR.pin_voice.copy()
    voice[row_of(LITERAL_BAR, 3, 3)] = 2
    read = read_lines(replace(LITERAL_BAR, pin_voice=voice))
    event = LITERAL_BAR.onset == np.unique(LITERAL_BAR.onset)[3]
    assert len(set(read.voice[event].tolist())) == int(event.sum())


def test_impossible_pins_are_named() -> None:
    voice, length = LITERAL_BAR.pin_voice.copy(), LITERAL_BAR.pin_length.copy()
    struck, overtaken, nowhere = row_of(LITERAL_BAR, 0, 3), row_of(LITERAL_BAR, 1, 5), row_of(LITERAL_BAR, 2, 4)
    length[struck] = 2 * CROTCHET  # course 3 is struck in every event
    length[overtaken], voice[overtaken], voice[row_of(LITERAL_BAR, 2, 6)] = 2 * CROTCHET, 4, 4
    voice[nowhere] = 0
    found = impossible_pins(replace(LITERAL_BAR, pin_voice=voice, pin_length=length))
    assert [(pin.row, pin.why) for pin in found] == [
        (struck, Impossible.STRUCK_AGAIN),
        (overtaken, Impossible.OVERTAKEN),
        (nowhere, Impossible.NO_SUCH_VOICE),
    ]
    assert found[0].at == CROTCHET


# --- laws ---


@st.composite
def tablatures(draw: st.DrawFn) -> StopArrays:
    def event() -> Event:
        courses = draw(st.lists(st.integers(1, 14), min_size=1, max_size=6, unique=True))
        return draw(st.sampled_from((0.25, 0.5, 1, 1.5, 2))), {
            course: draw(st.integers(0, 9)) if course <= 6 else 0 for course in courses
        }

    return tablature(
        *[event() for _ in range(draw(st.integers(1, 12)))], re_entrant=draw(st.sampled_from(((), (1,), (1, 2))))
    )


@settings(max_examples=60, deadline=None)
@given(tablatures())
def test_laws_of_any_reading(stops: StopArrays) -> None:
    read = read_lines(stops)
    assert len(read.voice) == len(stops)
    assert read.voice.min() >= 1 and read.voice.max() <= read.voices
    assert (read.length > 0).all()
    # struck again, a course is silent before
    assert (stops.onset + read.length <= stops.next_strike).all()
    # what sounds as it stands is not lifted where no course is tuned down
    assert not read.octave[~stops.re_entrant].any()
    assert not (read.asked & (read.octave != 0)).any()
    # a line goes forward in time
    behind = read.follows >= 0
    assert (stops.onset[read.follows[behind]] < stops.onset[behind]).all()
    assert (read.voice[read.follows[behind]] == read.voice[behind]).all()


@settings(max_examples=25, deadline=None)
@given(tablatures())
def test_same_in_same_out(stops: StopArrays) -> None:
    first, second = read_lines(stops), read_lines(stops)
    for name in ("voice", "follows", "length", "octave", "chance", "asked"):
        assert np.array_equal(getattr(first, name), getattr(second, name))


def test_nothing_in_nothing_out() -> None:
    none = np.zeros(0, dtype=np.int64)
    stops = stop_arrays(none, none, none, none, re_entrant=(), stopped=6, bars=none, key=0)
    assert len(read_lines(stops).voice) == 0


def test_next_strikes() -> None:
    stops = tablature((1, {3: 0}), (1, {4: 0}), (1, {3: 2}))
    assert stops.next_strike.tolist() == [2 * CROTCHET, NEVER, NEVER]
    assert (stops.pin_voice == FREE).all()


@pytest.mark.parametrize("voices", [1, 2, 3, 4])
def test_declared_number_of_voices_is_kept(voices: int) -> None:
    read = read_lines(LITERAL_BAR, voices=voices)
    assert read.voices == voices and read.voice.max() <= voices
