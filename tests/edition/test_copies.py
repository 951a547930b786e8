"""Where a copy goes: ranges of one voice and of several, clefs far from the source, what is said of it. Intervals by
music21; ledger lines counted here from the clefs (E4 and G2 on the lowest line of a G2 and an F4 clef)."""

from __future__ import annotations

from collections import defaultdict

import pytest
from music21 import interval, pitch

from pipeline.edition.copies import Moved, copy_of, moved_as_asked
from pipeline.edition.lead import lead
from pipeline.edition.reduce import reduce
from pipeline.edition.spell import spell
from pipeline.edition.transpose import transposed
from pipeline.model.copy import Fullness
from pipeline.model.interval import Interval, parse_interval, parse_ranges
from pipeline.model.notes import Kind
from pipeline.model.options import Options
from pipeline.model.score import Score
from pipeline.model.voiced import VoicedPiece
from pipeline.source.read import song_of
from tests import made

SOLO = made.HEADING + "metre C\nkey C major\nlayer v = Canto, clef C1\n"
DUET = SOLO + "layer v2 = Tenore, clef C4\n"
MUSIC = "| 2=7,4:0,3:0 7,4:0,3:0 |||\nv 2=D4 F5\nv2 2=G3 D4"


def piece(music: str, heading: str = DUET, **asked: object) -> tuple[Moved, Options]:
    sounding = made.resolved(music, heading)[0]
    options = Options(**asked)  # type: ignore[arg-type]
    return moved_as_asked(spell(lead(sounding)), song_of(sounding).value, options), options


def ranges(text: str) -> object:
    found = parse_ranges(text)
    assert isinstance(found, tuple)
    return found


def compass(moved: Moved, name: str) -> tuple[str, str]:
    (line,) = (line for line in moved.song.lines if line.name == name)
    pitches = [note.pitch for note in line.notes if note.pitch is not None]
    return min(pitches, key=lambda each: each.semitones).name, max(pitches, key=lambda each: each.semitones).name


def between(first: str, second: str) -> int:
    return interval.Interval(pitch.Pitch(first.replace("b", "-")), pitch.Pitch(second.replace("b", "-"))).semitones


def test_each_voice_of_a_duet_fits_its_own_range() -> None:
    """Together they span G3 to F5, more than either range: with one for each the duet goes a tone down."""
    moved, _ = piece(MUSIC, voice_range=ranges("C4:Eb5,F3:C4"))
    assert (compass(moved, "v"), compass(moved, "v2")) == (("C4", "Eb5"), ("F3", "C4"))
    assert not moved.diagnostics
    assert moved.words.endswith("for Canto from C4 to Eb5, Tenore from F3 to C4")
    before, after = ("D4", "F5", "G3", "D4"), (*compass(moved, "v"), *compass(moved, "v2"))
    assert {between(low, high) for low, high in zip(before, after, strict=True)} == {-2}


def test_one_range_is_that_of_the_first_voice_where_it_cannot_hold_all() -> None:
    moved, _ = piece(MUSIC, voice_range=ranges("C4:Eb5"))
    assert compass(moved, "v") == ("C4", "Eb5")
    (finding,) = moved.diagnostics
    assert finding.code.slug == "ranges-and-voices"
    assert finding.message == "The range asked for is that of Canto; none is given for Tenore."


def test_one_range_that_holds_all_is_theirs_together() -> None:
    moved, _ = piece(MUSIC, voice_range=ranges("F3:Eb5"))
    assert (compass(moved, "v2")[0], compass(moved, "v")[1]) == ("F3", "Eb5")
    assert not moved.diagnostics


def test_voices_that_no_one_transposition_fits() -> None:
    moved, _ = piece(MUSIC, voice_range=ranges("C5:G6,C3:G3"))
    assert [finding.code.slug for finding in moved.diagnostics] == ["range-too-narrow"]
    assert "No one transposition" in moved.diagnostics[0].message
    assert not moved.words


def test_more_ranges_than_voices_are_told() -> None:
    moved, _ = piece(MUSIC.partition("\nv2")[0], SOLO, voice_range=ranges("C4:Eb5,C3:C4"))
    assert [finding.code.slug for finding in moved.diagnostics] == ["ranges-and-voices"]


# --- far away ----------------------------------------------------------------------------------------------

LOW = "| 4=7,4:0,3:0,2:3 14,4:2,3:2 12,4:4,3:3 11,5:2,3:1 |||\nv 4=D4 E4 F4 G4\nb 4=G2 G1 B1 C2"
BOTTOM = {"G2": 30, "F4": 18}


def worst(score: Score) -> tuple[int, int]:
    """The most ledger lines on a staff of the instrument, and of a voice or bass."""
    played = sung = 0
    for measure in score.measures:
        for layer in measure.layers:
            for head in (head for event in layer.events for head in event.heads):
                clef = score.clefs[head.staff - 1]
                played = max(played, lines(head.pitch.diatonic, BOTTOM[clef.sign] + 7 * clef.octaves))
        for staff, held in zip(score.vocal, measure.sung, strict=True):
            for event in held.events:
                if event.kind is Kind.NOTE and event.pitch is not None:
                    sung = max(sung, lines(event.pitch.diatonic, BOTTOM[staff.clef] - 7 * staff.octave_down))
    return played, sung


def lines(place: int, bottom: int) -> int:
    return max(bottom - place, place - bottom - 8, 0) // 2


@pytest.mark.parametrize("name", ["-m3", "-P5", "-P8", "P5", "P8"])
def test_no_ledger_lines_pile_up(name: str) -> None:
    asked = parse_interval(name)
    assert isinstance(asked, Interval)
    moved, options = piece(LOW, SOLO + "layer b = Basso, clef F4\n", transpose=asked)
    played, sung = worst(copy_of(moved, options))
    assert played <= 3
    assert sung <= 3


def test_the_usual_clefs_stay_at_the_pitch_of_the_source() -> None:
    moved, options = piece(LOW, SOLO + "layer b = Basso, clef F4\n")
    score = copy_of(moved, options)
    assert [clef.sign for clef in score.clefs] == ["G2", "F4"]
    assert [(staff.clef, staff.octave_down) for staff in score.vocal] == [("G2", False), ("F4", False)]


CHORDS = "| 4=7,3:0 2:1,5:4,7 9,2:3,5:2,6:1 14,6:5,2:0 |||"


def lowest(voiced: VoicedPiece) -> dict[int, int]:
    low: dict[int, list[int]] = defaultdict(list)
    for note in voiced.notes:
        low[note.led.onset].append(note.meant.semitones)
    return {onset: min(pitches) for onset, pitches in low.items()}


@pytest.mark.parametrize("name", ["P1", "-M2", "-m3", "-M3", "-P5", "M3"])
def test_what_sounds_lowest_stays_in_every_key(name: str) -> None:
    """Also where no note of the chord is read as the bass."""
    asked = parse_interval(name)
    assert isinstance(asked, Interval)
    reading = made.voiced(CHORDS, made.HEADING + "metre C\n")
    moved = transposed(reading, asked)
    assert lowest(reduce(moved, Fullness.PLAYABLE)) == lowest(moved)


def test_a_sketch_has_a_melody_where_no_line_is_the_upper_one() -> None:
    """Every moment that has more than its bass has something in the upper staff."""
    reading = made.voiced("| 2=7,5:0,4:0 8,5:2,4:2 |||", made.HEADING + "metre C\n")
    sketch = reduce(reading, Fullness.SKETCH)
    for onset in {note.led.onset for note in reading.notes}:
        here = [note for note in sketch.notes if note.led.onset == onset]
        assert [note.led.part.value for note in here] == ["upper", "bass"]
        everything = [note.meant.semitones for note in reading.notes if note.led.onset == onset]
        assert {note.spelling.semitones for note in here} == {min(everything), max(everything)}


def test_chord_letters_that_go_are_told() -> None:
    asked = parse_interval("M2")
    music = "| 2=7,4:0,3:0 7,4:0,3:0 |||\nc G G"
    moved, options = piece(music, made.HEADING + "metre C\n", transpose=asked)
    said = " ".join(entry.text for entry in copy_of(moved, options).legend)
    assert "The chord letters of the source are left out" in said
    moved, options = piece(music, made.HEADING + "metre C\n")
    assert "left out: they" not in " ".join(entry.text for entry in copy_of(moved, options).legend)
