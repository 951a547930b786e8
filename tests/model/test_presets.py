"""The presets against the tunings of the facts of the trade, with their sources."""

from __future__ import annotations

import pytest

from pipeline.model.pitch import frequency
from pipeline.model.presets import PRESETS, find_preset

#: Name, pitches from course 1 on, source of the list.
TUNINGS = [
    # PS: R. Spencer, "Chitarrone, Theorbo and Archlute", Early Music 4/4 (1976) 407–423; course list CP
    ("theorbo in A", "A3 E3 B3 G3 D3 A2 G2 F2 E2 D2 C2 B1 A1 G1"),
    # CP
    ("theorbo in G", "G3 D3 A3 F3 C3 G2 F2 Eb2 D2 C2 Bb1 A1 G1 F1"),
    # PS-inf
    ("théorbe de pièces in D", "D4 A3 E4 C4 G3 D3 C3 B2 A2 G2 F2 E2 D2 C2"),
    # PS-inf
    ("archlute in G", "G4 D4 A3 F3 C3 G2 F2 Eb2 D2 C2 Bb1 A1 G1 F1"),
    # PS-inf; CP
    ("lute in G, 6 courses", "G4 D4 A3 F3 C3 G2"),
    ("lute in G, 7 courses", "G4 D4 A3 F3 C3 G2 F2"),
    ("lute in G, 7 courses, low D", "G4 D4 A3 F3 C3 G2 D2"),
    ("lute in G, 8 courses", "G4 D4 A3 F3 C3 G2 F2 D2"),
    ("lute in G, 10 courses", "G4 D4 A3 F3 C3 G2 F2 Eb2 D2 C2"),
    # CP
    ("lute in G, 9 courses", "G4 D4 A3 F3 C3 G2 F2 D2 C2"),
    # calc: a tone above, and a minor third below, the lutes in G
    ("lute in A, 6 courses", "A4 E4 B3 G3 D3 A2"),
    ("lute in A, 10 courses", "A4 E4 B3 G3 D3 A2 G2 F2 E2 D2"),
    ("lute in E, 8 courses", "E4 B3 F#3 D3 A2 E2 D2 B1"),
    # CP, no source
    ("mandora in E, 6 courses", "E4 B3 G3 D3 A2 E2"),
    ("mandora in D, 6 courses", "D4 A3 F3 C3 G2 D2"),
    ("baroque guitar, no bourdons", "E4 B3 G3 D4 A3"),
    # PS: MEI Guidelines, tablature chapter
    ("lute in D minor, 11 courses", "F4 D4 A3 F3 D3 A2 G2 F2 E2 D2 C2"),
    ("lute in D minor, 13 courses", "F4 D4 A3 F3 D3 A2 G2 F2 E2 D2 C2 B1 A1"),
]


@pytest.mark.parametrize(("name", "tuning"), TUNINGS)
def test_tunings(name: str, tuning: str) -> None:
    preset = find_preset(name)
    assert preset
    assert [course.pitch.name for course in preset.instrument.courses] == tuning.split()
    assert preset.instrument.name == preset.name == name


#: Semitones from the lute in G (calc).
MOVED = {"A": 2, "E": -3}


@pytest.mark.parametrize("key", MOVED)
def test_lutes_in_other_keys_are_lutes_in_g_moved(key: str) -> None:
    for count in range(6, 11):
        mine, plain = find_preset(f"lute in {key}, {count} courses"), find_preset(f"lute in G, {count} courses")
        assert mine
        assert plain
        pairs = zip(mine.instrument.courses, plain.instrument.courses, strict=True)
        assert {course.pitch.semitones - other.pitch.semitones for course, other in pairs} == {MOVED[key]}


@pytest.mark.parametrize(
    ("name", "strings"),
    # CP: bourdons an octave below on course 4, or on 4 and 5
    [
        ("baroque guitar, bourdon on 4", "E4 B3 G3 D3+D4 A3"),
        ("baroque guitar, bourdons on 4 and 5", "E4 B3 G3 D3+D4 A2+A3"),
    ],
)
def test_bourdons_of_the_guitar(name: str, strings: str) -> None:
    preset = find_preset(name)
    assert preset
    tuned = ["+".join(map(str, course.strings)) for course in preset.instrument.courses]
    assert tuned == strings.split()
    assert preset.instrument.stopped == 5


@pytest.mark.parametrize(
    ("name", "courses"),
    [
        ("lute in G, 8 courses", 8),  # CP: such lutes carry their basses over the fingerboard
        ("lute in A, 10 courses", 10),
        ("lute in D minor, 13 courses", 8),  # MEM: the seventh and eighth often lie there too
        ("theorbo in A", 6),  # CP: diapasons are never fretted
        ("archlute in G", 6),
    ],
)
def test_courses_over_the_fingerboard(name: str, courses: int) -> None:
    preset = find_preset(name)
    assert preset
    assert preset.instrument.over_fingerboard == courses
    assert preset.instrument.stopped == 6


def test_english_theorbo_has_only_its_first_course_down_an_octave() -> None:
    # PS-inf, after Mace 1676: G3 D4 A3 F3 C3 G2, diatonic basses
    preset = find_preset("theorbo in G, first course re-entrant")
    assert preset
    assert [course.pitch.name for course in preset.instrument.courses[:6]] == ["G3", "D4", "A3", "F3", "C3", "G2"]
    assert preset.instrument.re_entrant == (1,)


def test_tiorbino_sounds_an_octave_above_the_theorbo_in_a() -> None:
    # octave: Spencer 1976; list calc
    small, large = find_preset("tiorbino in A"), find_preset("theorbo in A")
    assert small
    assert large
    octaves = [
        high.pitch.semitones - low.pitch.semitones
        for high, low in zip(small.instrument.courses, large.instrument.courses, strict=True)
    ]
    assert octaves == [12] * 14


def test_re_entrant_courses() -> None:
    # CP: courses 1 and 2 of the theorbo sound an octave below where lute logic puts them; the archlute has none.
    def of(name: str) -> tuple[int, ...]:
        preset = find_preset(name)
        assert preset
        return preset.instrument.re_entrant

    assert of("theorbo in A") == (1, 2)
    assert of("théorbe de pièces in D") == (1, 2)
    assert of("archlute in G") == of("lute in D minor, 13 courses") == ()


def test_frequencies_of_the_theorbo_in_a() -> None:
    # calc, at A4 = 440, from f = 440 · 2^((n - 69) / 12) (PS: MIDI note numbers with ISO 16)
    preset = find_preset("theorbo in A")
    assert preset
    hertz = [round(frequency(course.pitch.semitones, 440), 2) for course in preset.instrument.courses]
    assert hertz[:8] == [220.00, 164.81, 246.94, 196.00, 146.83, 110.00, 98.00, 87.31]
    assert hertz[13] == 49.00


def test_names_are_unlike_and_aliases_are_found() -> None:
    names = [name.casefold() for preset in PRESETS for name in (preset.name, *preset.aliases)]
    assert len(names) == len(set(names))
    assert find_preset("theorbe de pieces in D") is find_preset("théorbe de pièces in D")
    assert find_preset("Liuto attiorbato in G") is find_preset("archlute in G")
    assert all(preset.source for preset in PRESETS)
