"""Figures over a bass, and names of chords.

Single figures: common practice, no source. A whole movement: the printed figures of ``corelli/opus3no1/1grave.xml`` in
music21's corpus. Chord names come from music21 itself: what is tested is that its naming arrives unharmed (spelling,
octaves, bass), not whether it is right; no independent naming of chords is at hand.
"""

from __future__ import annotations

import re
import warnings
from collections import Counter

import pytest

from pipeline.edition.figure import (
    BassNote,
    Tone,
    chord_name,
    columns,
    figure_for,
    figured,
    intended_bass,
    meant,
    named,
)
from pipeline.edition.figure.names import harmony_name
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import replace
from pipeline.model.song import Figure
from pipeline.model.time import WHOLE
from pipeline.model.voiced import Part
from tests.benchmarks import figures as benchmark
from tests.made import voiced


def pitch(name: str) -> SpelledPitch:
    match = re.fullmatch(r"([A-G])(#*|b*)(\d)", name)
    assert match
    return SpelledPitch(match[1], match[2].count("#") - match[2].count("b"), int(match[3]))


def pitches(names: str) -> list[SpelledPitch]:
    return [pitch(name) for name in names.split()]


SINGLE = [
    # bass, above, signature, figures
    ("C3", "E4 G4 C5", 0, ()),
    ("C3", "G4", 0, ()),
    ("C3", "", 0, ()),
    ("E3", "G4 C5", 0, ("6",)),
    ("G3", "C5 E5", 0, ("6", "4")),
    ("B2", "D4 F4 G4", 0, ("6", "5")),
    ("D3", "F4 G4 B4", 0, ("4", "3")),
    ("F3", "G4 B4 D5", 0, ("4", "2")),
    ("G3", "B4 D5 F5", 0, ("7",)),
    ("C3", "F4 G4", 0, ("4",)),
    ("C3", "E4 D5", 0, ("9",)),
    ("C3", "E4 D5 B4", 0, ("9", "7")),
    ("C3", "F4 G4 D5", 0, ("9", "4")),
    ("D3", "F#4 A4", 0, ("#",)),
    ("D3", "F#4 A4", 2, ()),
    ("G3", "B4 D5", -1, ("n",)),
    ("G3", "Bb4 D5", 0, ("b",)),
    ("E3", "G4 C#5", 0, ("#6",)),
    ("D3", "F#4 B4", 0, ("6", "#")),
    ("D3", "F#4 A4 C5", 0, ("7", "#")),
    ("C3", "Eb4 Ab4", 0, ("b6", "b")),
    ("B2", "D4 F4", 0, ("5",)),  # a diminished fifth is warned of
    ("C#3", "E4 G4", 0, ("6", "5")),  # over a raised leading note the sixth is added
    ("B2", "D4", 0, ("6",)),  # mi bears a sixth
    ("E3", "G4 B4", 0, ()),
]


@pytest.mark.parametrize(("bass", "above", "fifths", "rows"), SINGLE)
def test_what_a_continuo_player_expects(bass: str, above: str, fifths: int, rows: tuple[str, ...]) -> None:
    assert figure_for(pitch(bass), pitches(above), fifths) == rows


def test_a_second_over_a_bass_that_was_there_before() -> None:
    assert figure_for(pitch("F3"), pitches("G4"), 0, bass_held=True) == ("2",)
    assert figure_for(pitch("F3"), pitches("G4 B4"), 0, bass_held=True) == ("4", "2")


@pytest.mark.parametrize(
    ("rows", "chord"),
    [
        ((), {8, 5, 3}),
        (("#",), {8, 5, 3}),
        (("6",), {8, 6, 3}),
        (("6", "5"), {6, 5, 3}),
        (("4", "3"), {6, 4, 3}),
        (("4", "2"), {6, 4, 2}),
        (("5", "4"), {8, 5, 4}),
        (("7",), {8, 7, 5, 3}),
        (("9",), {9, 5, 3}),
    ],
)
def test_what_figures_stand_for(rows: tuple[str, ...], chord: set[int]) -> None:
    assert meant(rows) == chord


# --- in time ---------------------------------------------------------------------------------------------

BEAT = WHOLE // 4


def over(bass: str, length: int, *tones: tuple[int, int, str, int, int]) -> list[tuple[int, tuple[str, ...]]]:
    """Columns in eighths; tones are onset, length in eighths, pitch, steps from and to their neighbours."""
    eighth = BEAT // 2
    above = [Tone(at * eighth, long * eighth, pitch(name), came, goes) for at, long, name, came, goes in tones]
    (found,) = columns([BassNote(0, length * eighth, pitch(bass))], above, 0, BEAT)
    return [(figure.offset // eighth, figure.rows) for figure in found]


def test_suspensions_resolve() -> None:
    assert over("G3", 4, (0, 2, "C5", 0, -1), (2, 2, "B4", -1, 0)) == [(0, ("4",)), (2, ("3",))]
    assert over("C3", 4, (0, 2, "D5", 0, -1), (2, 2, "C5", -1, 0), (0, 4, "E4", 0, 0)) == [(0, ("9",)), (2, ("8",))]
    assert over("D3", 4, (0, 2, "C5", 0, -1), (2, 2, "B4", -1, 0)) == [(0, ("7",)), (2, ("6",))]
    assert over("D3", 4, (0, 2, "G4", 0, -1), (2, 2, "F#4", -1, 0), (0, 4, "A4", 0, 0)) == [(0, ("4",)), (2, ("#",))]


def test_passing_notes_make_no_figure() -> None:
    """C D E over C: the D stands off the beat between two chord notes."""
    assert over("C3", 4, (0, 1, "C5", 0, 1), (1, 1, "D5", 1, 1), (2, 2, "E5", 1, 0), (0, 4, "G4", 0, 0)) == []


def test_broken_chords_count_as_struck_together() -> None:
    assert over("E3", 2, (0, 1, "G4", 0, 3), (1, 1, "C5", 3, 0)) == [(0, ("6",))]


def test_a_passing_bass_is_not_figured() -> None:
    eighth = BEAT // 2
    bass = [BassNote(at * eighth, eighth, pitch(name)) for at, name in enumerate(("C3", "D3", "E3"))]
    above = [Tone(0, 2 * eighth, pitch("E4")), Tone(0, 4 * eighth, pitch("G4")), Tone(2 * eighth, BEAT, pitch("C5"))]
    assert [[figure.rows for figure in found] for found in columns(bass, above, 0, BEAT)] == [[], [], [("6",)]]


def test_agreement_with_printed_figures() -> None:
    """At least nine of ten columns; and not by writing figures everywhere."""
    rows, worked_out = benchmark.compared()
    counts = Counter(row.verdict for row in rows)
    assert len(rows) == 70
    assert (counts["equal"] + counts["implied"]) / len(rows) >= 0.9
    assert counts["equal"] / len(rows) >= 0.7
    assert worked_out <= 1.1 * len(rows)


# --- the bass of a piece -----------------------------------------------------------------------------------

HEADING = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\nkey D minor\n"


def test_the_intended_bass_is_the_note_on_the_lowest_course() -> None:
    """D minor on course 5 with F above; then A2 with C sharp, its third raised against the signature."""
    piece = voiced("| 2=5:0,4:2,3:3,2:1 6:0,5:2,4:2,3:2", HEADING)
    assert [note.spelling.name for note in intended_bass(piece)] == ["D3", "A2"]
    found = figured(piece)
    assert [[figure.rows for figure in figures] for _, figures in found] == [[], [("#",)]]
    assert not any(figure.printed for _, figures in found for figure in figures)


def test_nothing_to_figure() -> None:
    assert figured(voiced("| 1=-", HEADING)) == ()
    assert columns([], [], 0, BEAT) == []


# --- names of chords ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("notes", "name"),
    [
        ("C3 E4 G4", "C"),
        ("D3 F4 A4", "Dm"),
        ("B2 D4 G4", "G/B"),
        ("Bb2 D4 F4", "Bb"),
        ("G3 B4 D5 F5", "G7"),
        ("F#3 A4 C5", "F#dim"),
        ("C3", ""),
        ("", ""),
    ],
)
def test_chord_names(notes: str, name: str) -> None:
    """As any lead sheet has them (common practice, no source); a single note has none here."""
    assert chord_name(pitches(notes)) == name


def test_names_of_two_hundred_chords_are_music21s_own() -> None:
    """Chords of ``bach/bwv66.6`` and others as music21 stacks them, named by music21 directly, and through us."""
    from music21 import corpus, harmony  # noqa: PLC0415  heavy: only here

    tried = 0
    for number in ("bach/bwv66.6", "bach/bwv10.7", "bach/bwv101.7", "bach/bwv102.7"):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            chords = list(corpus.parse(number).chordify().flatten().getElementsByClass("Chord"))
        for chord in chords:
            if tried == 200:
                break
            own = harmony.chordSymbolFigureFromChord(chord)
            ours = chord_name([pitch(each.nameWithOctave.replace("-", "b")) for each in chord.pitches])
            single = len(set(chord.pitchClasses)) == 1
            expected = "" if single or own == "Chord Symbol Cannot Be Identified" else own.replace("-", "b")
            assert ours == expected, chord.pitches
            tried += 1
    assert tried == 200


@pytest.mark.parametrize(
    ("notes", "fifths", "name"),
    [
        ("C3 E4", 0, "C"),  # a bare third is taken as its chord
        ("B2 D4", 0, "Bdim"),  # in C major the fifth over B is F
        ("C3 A4", 0, "Am/C"),  # a bare sixth is a chord of the sixth
        ("C3 E4 B4", 0, "Cmaj7"),
        ("D3 F#4 A4 E5", 2, "D"),  # an added note is left to the figures
        ("C3 G4", 0, ""),  # a bare fifth may be anything
        ("E3 G#4 Bb4 D5", -1, "E7b5"),
        ("G#3 Bb4 D5 E5", -1, "E7b5/G#"),
        ("C3", 0, ""),
    ],
)
def test_names_of_harmonies(notes: str, fifths: int, name: str) -> None:
    """Common practice of keyboard players, no source."""
    assert harmony_name(pitches(notes), fifths) == name


def test_a_name_stands_where_the_chord_changes() -> None:
    """D minor twice, then its sixth chord and A major. Common practice, no source."""
    piece = voiced("| 4=5:0,4:2,3:3,2:1 5:0,4:2,3:3,2:1 2=4:3,3:3,1:2\n| 1=6:0,5:2,4:2,3:2", HEADING)
    assert [name for _, name in named(piece)] == ["Dm", "Bb", "A"]


def test_figures_are_not_printed_ones() -> None:
    (found,) = columns([BassNote(0, BEAT, pitch("E3"))], [Tone(0, BEAT, pitch("C5"))], 0, BEAT)
    assert found == (Figure(0, ("6",), printed=False),)


def test_a_name_is_said_anew_in_the_second_ending() -> None:
    """What was played before it is the beginning of the strain, not the first ending. Common practice, no source."""
    chord = "| 1=7,4:0,3:0"
    piece = voiced(f"{chord}\nending 1\n{chord} .||\nending 2\n{chord}\nending end\n{chord} |||", HEADING)
    assert [(note.led.id.partition("e")[0], name) for note, name in named(piece)] == [
        *(("b1", "G"), ("b2", "G"), ("b3", "G"), ("b4", "G")),
    ]


def test_a_chord_whose_bass_is_lost_has_its_name() -> None:
    """F4 C4 A3 with nothing below: F, and nothing is said of its bass; the next chord has one again."""
    reading = voiced("| 1=4:2,3:1,2:1\n| 1=7,4:0,3:0", HEADING)
    notes = tuple(
        replace(note, led=replace(note.led, part=Part.UPPER)) if note.led.id.startswith("b1") else note
        for note in reading.notes
    )
    assert [name for _, name in named(replace(reading, notes=notes))] == ["F", "G"]
