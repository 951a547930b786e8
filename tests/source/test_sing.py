"""Sung lines, basses, words and chord letters in time: what is typed comes out, what is wrong is said in its place.

Expected values without a source are common practice, no source: they follow from the rules of the encoding.
"""

from __future__ import annotations

import pytest

from pipeline.model.diagnostics import Diagnostic
from pipeline.model.pitch import SpelledPitch
from pipeline.model.song import Figure, Song, SungLine, WordPlace
from pipeline.model.text import SourceText, Span
from pipeline.model.time import WHOLE, Value
from pipeline.source.read import song_of, sounding_piece
from pipeline.source.sing import sing
from pipeline.source.sing.drafts import Draft
from pipeline.source.sing.moving import moved
from tests.made import resolved, sounding

HEADING = (
    "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n"
    "layer v = Canto, clef C1, 1 flat\nlayer v2 = Tenore, clef C4\nlayer b = Basso, clef F4, 1 flat\n"
)
HALVES = HEADING.replace("metre C\n", "metre 3/2\nvalues 1:2\n")
BAR = "| 1=7,4:0,3:0\n"


def song(music: str, heading: str = HEADING) -> Song:
    """The song of music that must be without fault."""
    outcome = sing(sounding(music, heading))
    assert not outcome.diagnostics, [finding.message for finding in outcome.diagnostics]
    return outcome.value


def line(music: str, name: str = "v", heading: str = HEADING) -> SungLine:
    return next(each for each in song(music, heading).lines if each.name == name)


def faults(music: str, heading: str = HEADING) -> list[tuple[str, int, int, int]]:
    """Slug, line of the music (from 1), first and last column."""
    piece, _ = resolved(music, heading)
    above = heading.count("\n") + 1
    return [_short(finding, above) for finding in sing(piece).diagnostics]


def _short(finding: Diagnostic, above: int) -> tuple[str, int, int, int]:
    return finding.code.slug, finding.span.line - above, finding.span.start, finding.span.end


def notes(sung: SungLine) -> list[tuple[str, str, int, int]]:
    """Pitch (- for a rest), value, onset and length in 64ths."""
    unit = WHOLE // 64
    return [
        (note.pitch.name if note.pitch else "-", note.value.name, note.onset // unit, note.length // unit)
        for note in sung.notes
    ]


# --- notes -----------------------------------------------------------------------------------------------


def test_values_and_octaves_hold_within_the_bar() -> None:
    sung = line(BAR + "v 4.=D5 8=C 4=B4 C5")
    assert notes(sung) == [("D5", "4.", 0, 24), ("C5", "8", 24, 8), ("Bb4", "4", 32, 16), ("C5", "4", 48, 16)]
    assert [note.id for note in sung.notes] == ["v-b1n1", "v-b1n2", "v-b1n3", "v-b1n4"]
    assert (sung.title, sung.clef, sung.fifths, sung.bass) == ("Canto", "C1", -1, False)


def test_accidentals_stand_for_their_note_alone_over_the_signature() -> None:
    sung = line(BAR + "v 4=Bn4 B F# F")
    assert [note.pitch.name for note in sung.notes if note.pitch] == ["B4", "Bb4", "F#4", "F4"]
    assert [note.pitch.name for note in line(BAR + "v2 2=B3 Bb", "v2").notes if note.pitch] == ["B3", "Bb3"]


def test_ties_also_over_the_bar_line_and_slurs() -> None:
    sung = line(BAR + "v 2=E4 F#4\n" + BAR + "v 2=_F4 _E4\n" + BAR + "v 2=_E4 F4")
    assert [note.pitch.name for note in sung.notes if note.pitch] == ["E4", "F#4", "F#4", "E4", "E4", "F4"]
    assert [note.tied for note in sung.notes] == [False, False, True, False, True, False]
    assert [note.slurred for note in sung.notes] == [False, False, False, True, False, False]


def test_rests_and_a_rest_of_the_whole_bar() -> None:
    assert notes(line(BAR + "v 4=- D5 2=-")) == [("-", "4", 0, 16), ("D5", "4", 16, 16), ("-", "2", 32, 32)]
    assert notes(line(BAR + "v -")) == [("-", "1", 0, 64)]
    assert notes(line("| 1=7,3:0 2=8,3:0\nv -", heading=HALVES)) == [("-", "2.", 0, 48)]


def test_a_rest_through_a_bar_that_lasts_nothing_is_no_note() -> None:
    """Where no metre says how long it should be. Found by the laws; the empty bar is an error of the tablature."""
    heading = HEADING.replace("metre C\n", "")
    piece = sounding_piece(SourceText.of("trial.intav", f"{heading}\n|\nv -\n| 1=7\nv 1=D5")).value
    sung = song_of(piece).value.lines[0]
    assert [(note.bar, note.length > 0) for note in sung.notes] == [(1, True)]


def test_value_ratio() -> None:
    """1:2 makes a crotchet of a printed minim."""
    sung = line("| 1=7,4:0,3:0 2=8,4:2\nv 1=D5 4=C B4", heading=HALVES)
    assert notes(sung) == [("D5", "2", 0, 32), ("C5", "8", 32, 8), ("Bb4", "8", 40, 8)]


def test_groups() -> None:
    """Three quavers in the time of two, then plain quavers again."""
    sung = line(BAR + "v 8/3=C5 D E 8=D C 2=B4")
    assert [note.length for note in sung.notes[:3]] == [WHOLE // 12] * 3
    assert [(note.tuplet.starts, note.tuplet.ends) for note in sung.notes if note.tuplet] == [
        (True, False),
        (False, False),
        (False, True),
    ]
    assert sung.notes[3].length == WHOLE // 8 and sung.notes[0].value == Value(8)


def test_each_bar_begins_with_its_tablature() -> None:
    """The first line is too short; the second bar's line still begins at the second bar."""
    piece = sounding(BAR + "v 2=D5\n" + BAR + "v 1=C5", HEADING)
    outcome = sing(piece)
    assert [finding.code.slug for finding in outcome.diagnostics] == ["line-too-short"]
    assert [(note.onset, note.bar) for note in outcome.value.lines[0].notes] == [(0, 0), (WHOLE, 1)]


def test_blank_bars_and_dittos_repeat_no_layer() -> None:
    sung = line(BAR + "v 1=D5\n" + BAR + "| ditto\n| ditto\nv 1=C5")
    assert [(note.pitch.name, note.onset // WHOLE) for note in sung.notes if note.pitch] == [("D5", 0), ("C5", 3)]


def test_one_line_over_two_bars_said_again() -> None:
    sung = line(BAR + "v 1=D5\n" + BAR + "v 1=C5\n| ditto 2\nv 1=B4 A4")
    assert [(note.onset // WHOLE, note.bar) for note in sung.notes] == [(0, 0), (1, 1), (2, 2), (3, 3)]
    assert [note.id for note in sung.notes[2:]] == ["v-b3n1", "v-b3n2"]


def test_a_voice_may_fill_the_metre_where_the_tablature_does_not() -> None:
    """The fault is the tablature's, and is said there."""
    assert faults("| 2.=7,4:0,3:0\nv 1=D5") == []


def test_unmeasured_music_is_not_measured() -> None:
    heading = HEADING.replace("metre C", "metre none")
    assert faults("| 7,3:0 3:2 3:3\nv 1=D5 4=E5", heading) == []


def test_editorial_acts() -> None:
    sung = line(BAR + 'v 4=D5! E5?! F5!E5"a ?\n"a EB: misprint', heading=HEADING + "editor EB = E. B.\n")
    assert [(note.added, note.doubtful) for note in sung.notes] == [
        (True, False),
        (True, True),
        (False, False),
        (False, True),
    ]
    assert [note.pitch.name if note.pitch else "" for note in sung.notes] == ["D5", "E5", "F5", ""]
    labels = sung.notes[2].typed.labels if sung.notes[2].typed else ()
    assert [label.letter for label in labels] == ["a"]


def test_fermata() -> None:
    assert [note.fermata for note in line(BAR + "v 2=D5 2'f=C5").notes] == [False, True]


# --- words -----------------------------------------------------------------------------------------------


def words(sung: SungLine, stanza: int = 1) -> list[tuple[str, str, bool]]:
    return [
        (word.text, word.place.value, word.extends)
        for note in sung.notes
        for word in note.syllables
        if word.stanza == stanza
    ]


def test_hyphens_melismas_and_elisions() -> None:
    sung = line(BAR + "v 4=D5 E _E F\n1 Du- ri _ pian-\n" + BAR + "v 4=- D5 2=C\n1 ti_a -")
    assert words(sung) == [
        ("Du", "begin", False),
        ("ri", "end", True),
        ("pian", "begin", False),
        ("ti‿a", "end", False),
    ]
    assert [note.slurred for note in sung.notes] == [False] * 7


def test_a_melisma_within_a_word_and_over_the_bar_line() -> None:
    sung = line(BAR + "v 2=D5 E\n1 glo- _\n" + BAR + "v 2=D5 C\n1 _ ria")
    assert words(sung) == [("glo", "begin", True), ("ria", "end", False)]
    assert [note.slurred for note in sung.notes] == [False, True, True, False]


def test_a_note_is_slurred_only_if_no_stanza_has_a_syllable_there() -> None:
    sung = line(BAR + "v 2=D5 E\n1 sì _\n2 la- sso")
    assert [note.slurred for note in sung.notes] == [False, False]
    assert sung.stanzas == 2
    assert words(sung, 2) == [("la", "begin", False), ("sso", "end", False)]


def test_labels_of_syllables() -> None:
    sung = line(BAR + 'v 2=D5 E\n1 sì"a no\n"a EB: si', heading=HEADING + "editor EB = E. B.\n")
    assert [[label.letter for label in word.labels] for note in sung.notes for word in note.syllables] == [["a"], []]
    assert sung.notes[0].syllables[0].place is WordPlace.SINGLE


def test_stanzas_printed_apart() -> None:
    made = song(BAR + "v 1=D5\n1 sì\nstanza 2 Lieti prati / e fiori")
    assert made.verses == (("2", "Lieti prati / e fiori"),)


# --- bass and chord letters ------------------------------------------------------------------------------


def test_figures_in_time() -> None:
    bass = line(BAR + "b 2=D3'6,4 D'4-3", "b")
    assert bass.bass
    assert [(figure.offset, figure.rows, figure.printed) for note in bass.notes for figure in note.figures] == [
        (0, ("6", "4"), True),
        (0, ("4",), True),
        (WHOLE // 4, ("3",), True),
    ]


def test_figures_under_a_dotted_note() -> None:
    """The resolution comes with the dot: 4 for a minim, 3 for a crotchet."""
    bass = line(BAR + "b 2.=D3'4-# 4=G2", "b")
    assert [figure.offset for figure in bass.notes[0].figures] == [0, WHOLE // 2]


def test_chord_letters_over_the_tablature_and_over_a_line() -> None:
    made = song("| 2=7,4:0,3:0 8,4:2\nc A -\nv 2=D5 4=- C\nc O - B")
    assert [(letter.text, letter.over, letter.onset * 4 // WHOLE) for letter in made.chords] == [
        ("A", "", 0),
        ("O", "v", 0),
        ("B", "v", 3),
    ]


# --- faults ----------------------------------------------------------------------------------------------

FAULTS = {
    BAR + "v D5 E": [("value-missing", 2, 3, 5), ("line-too-short", 2, 1, 7)],
    BAR + "v 2=D E5": [("octave-missing", 2, 3, 6)],
    BAR + "v 2=- _E5": [("nothing-to-join", 2, 7, 10)],
    BAR + "v 1=D5\n" + BAR + BAR + "v 1=_D5": [("nothing-to-join", 5, 3, 8)],
    BAR + "v 2=D5 4=E": [("line-too-short", 2, 1, 11)],
    BAR + "v 2=D5 E F 4=G": [("line-too-long", 2, 10, 11)],
    BAR + "v 2=D5 E\n1 sì no no": [("too-many-syllables", 3, 9, 11)],
    BAR + "v 2=D5 _D\n1 sì no": [("too-many-syllables", 3, 6, 8)],
    BAR + "v 2=D5 E\n1 sì !sì": [("word-unclear", 3, 6, 9)],
    BAR + "c !O": [("word-unclear", 2, 3, 5)],
    BAR + "v 2=D5 E\n1 sì! sì!_o": [],
    BAR + "v 2=D5 E\n1 sì": [("too-few-syllables", 3, 1, 5)],
    BAR + "v 2=D5 E\n1 _ sì": [("too-few-syllables", 3, 3, 4)],
    BAR + "v 1=D5\n1 la-\n" + BAR + "v 1=D5": [("stanza-does-not-fit", 3, 3, 6)],
    BAR + "v 1=D5\n1 la-": [("stanza-does-not-fit", 3, 3, 6)],
    BAR + "v 1=D5\n1 sì\n2 no\nstanza 2 Lieti": [("stanza-does-not-fit", 5, 8, 15)],
    BAR + "c A B": [("chord-letters", 2, 1, 6)],
    BAR + "v 2=D5 E\nc A B C": [("chord-letters", 3, 1, 8)],
}


@pytest.mark.parametrize("music", FAULTS)
def test_faults_stand_at_their_place(music: str) -> None:
    assert faults(music) == FAULTS[music]


def test_faults_name_layer_and_bar() -> None:
    piece = sounding(BAR + BAR + "v 2=D5", HEADING)
    (finding,) = sing(piece).diagnostics
    assert finding.message == "The line v of bar 2 holds 1/2, the bar 1 (in the values as typed)."
    assert finding.bar == "2"


def test_all_that_can_be_read_is_kept() -> None:
    """Too many words, an unread note, a note too many: the rest of the bar stands."""
    piece, found = resolved(BAR + "v 2=D5 H5 C5\n1 sì no no no", HEADING)
    assert found
    outcome = sing(piece)
    assert outcome.diagnostics == ()  # the unread note is said by the parser; nothing can be counted
    assert [note.pitch.name if note.pitch else "" for note in outcome.value.lines[0].notes] == ["D5", "", "C5"]
    assert words(outcome.value.lines[0]) == [(text, "single", False) for text in ("sì", "no", "no")]


def test_an_undeclared_line_is_read_in_a_treble_clef() -> None:
    piece, _ = resolved(BAR + "v3 1=D5", HEADING)
    made = sing(piece).value.lines[0]
    assert (made.name, made.clef, made.fifths) == ("v3", "G2", 0)


def test_another_ending_may_break_a_word() -> None:
    music = f"ending 1\n{BAR}v 1=D5\n1 la-\nending 2\n{BAR}v 1=D5\n1 so\nending end"
    assert faults(music) == []


# --- voice and tablature at different pitches --------------------------------------------------------------

CHORDS = ("6:3,5:2,4:0,3:1", "5:3,4:2,3:1", "7,5:0,4:0,3:0", "6:3,5:2,4:0,3:1")  # C, F, G, C
TONES = ((64, 67, 72), (65, 69, 72), (67, 71, 74), (64, 67, 72))
NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def chorded(shift: int, bars: int = 3) -> str:
    """A voice of chord tones, written so many semitones above the tablature."""
    lines = []
    for bar in range(bars):
        sung = [tones[(bar + at) % 3] + shift for at, tones in enumerate(TONES)]
        lines.append("| " + " ".join(f"{'4=' if not at else ''}{chord}" for at, chord in enumerate(CHORDS)))
        lines.append("v " + " ".join(f"4={NAMES[pitch % 12]}{pitch // 12 - 1}" for pitch in sung))
    return "\n".join(lines)


PLAIN = HEADING.replace(", clef C1, 1 flat", ", clef C1")


@pytest.mark.parametrize("shift", range(-5, 7))
def test_the_voice_is_moved_to_the_tablature(shift: int) -> None:
    piece = sounding(chorded(shift), PLAIN)
    outcome = sing(piece)
    sung = outcome.value.lines[0]
    assert sung.moved == -shift
    truth = [tones[(bar + at) % 3] for bar in range(3) for at, tones in enumerate(TONES)]
    assert [note.pitch.semitones for note in sung.notes if note.pitch] == truth
    assert [finding.code.slug for finding in outcome.diagnostics] == ["voice-pitch-differs"] * bool(shift)
    if shift:
        assert outcome.diagnostics[0].span.line == 5  # the layer's heading line
        way = "up" if shift < 0 else "down"
        plural = "" if abs(shift) == 1 else "s"
        assert f"moved {way} by {abs(shift)} semitone{plural}" in outcome.diagnostics[0].message


def test_too_little_to_tell() -> None:
    assert sing(sounding(chorded(2, bars=1), PLAIN)).value.lines[0].moved == 0


@pytest.mark.parametrize(
    ("bass", "fifths", "rows", "shift", "moved_rows", "moved_fifths"),
    [
        ("G2", -1, ("n",), 2, ("#",), 1),  # B flat raised; then C raised
        ("D3", -1, ("#",), 2, ("#",), 1),
        ("A2", 2, ("n",), -2, ("b",), 0),  # C sharp lowered; then B lowered
        ("F2", -1, ("b6", "4"), -5, ("b6", "4"), 0),
        ("E2", 1, ("6", "5"), -2, ("6", "5"), -1),
    ],
)
def test_figures_move_with_their_bass(
    bass: str, fifths: int, rows: tuple[str, ...], shift: int, moved_rows: tuple[str, ...], moved_fifths: int
) -> None:
    """An accidental raises or lowers by as much as before, whatever sign that takes."""
    pitch = SpelledPitch(bass[0], 0, int(bass[1]))
    draft = Draft("b-b1n1", 0, 0, WHOLE, Value(1), pitch, Span("", 1, 1, 1), figures=(Figure(0, rows),))
    assert moved([draft], fifths, shift, None) == moved_fifths
    assert draft.figures[0].rows == moved_rows
    assert draft.pitch is not None and draft.pitch.semitones == pitch.semitones + shift
