"""What is played when: repeats, endings, da capo, spread and strummed chords, the click."""

from __future__ import annotations

import pytest

from pipeline.edition.perform import perform
from pipeline.edition.transpose import transposed, transposed_song
from pipeline.model.interval import Interval
from pipeline.model.performance import Manner, PlayedNote, Sounder
from pipeline.model.pitch import SpelledPitch
from pipeline.model.song import Song, SungLine, SungNote
from pipeline.model.text import Span
from pipeline.model.time import WHOLE, Value
from pipeline.source.passages import passages
from tests.made import HEADING, resolved, sounding, voiced

MEASURED = HEADING + "metre C\n"
FREE = HEADING + "metre none\n"
NOWHERE = Span("x", 1, 1, 1)


def bars_played(music: str) -> list[int]:
    """The numbers of the bars, each a whole note, in the order of playing."""
    plan = passages(resolved(music, MEASURED)[0])
    return [1 + bar // WHOLE for each in plan for bar in range(each.start, each.end, WHOLE)]


#: Each bar holds a semibreve. Common practice, no source.
FORMS = {
    "| 1=1:0\n| 1=1:1 |||": [1, 2],
    "| 1=1:0 .||\n| 1=1:1 |||": [1, 1, 2],
    "| 1=1:0 ||.\n| 1=1:1 .||\n| 1=1:2 |||": [1, 2, 2, 3],
    "| 1=1:0 .||.\n| 1=1:1 .||": [1, 1, 2, 2],
    "| 1=1:0\nopens ||.\n| 1=1:1\n| 1=1:3 .||\n| 1=1:2": [1, 2, 3, 2, 3, 4],
    "| 1=1:0\nending 1\n| 1=1:1 .||\nending 2\n| 1=1:2\nending end\n| 1=1:3": [1, 2, 1, 3, 4],
    "| 1=1:0\nending 1\n| 1=1:1 .||\nending 2\n| 1=1:2 .||\nending 3\n| 1=1:3\nending end\n| 1=1:0 .||": [
        *(1, 2, 1, 3, 1, 4),
        *(5, 5),
    ],
    "| 1=1:0\nending 1\n| 1=1:1 .||\nending end\n| 1=1:2": [1, 2, 1, 3],
    # Dots behind the last ending are not played.
    "| 1=1:0\nending 1\n| 1=1:1 .||\nending 2\n| 1=1:2 .||\nending end\n| 1=1:3": [1, 2, 1, 3, 4],
    # Removed by the editor: not played.
    "| 1=1:0\n| 1=1:1 !.|| |||": [1, 2],
    # A section without opening dots goes back to its title.
    "section Prima\n| 1=1:0 ||\nsection Seconda\n| 1=1:1 .||": [1, 2, 2],
    # Da capo to the final line, without repeats and with the last ending.
    "| 1=1:0 .||\n| 1=1:1 |||\n| 1=1:2 ||\nagain start": [1, 1, 2, 3, 1, 2],
    "| 1=1:0\n| 1=1:1 ||\nagain start": [1, 2, 1, 2],
    "| 1=1:0\nending 1\n| 1=1:1 .||\nending 2\n| 1=1:2\nending end\n| 1=1:3\nagain start": [1, 2, 1, 3, 4, 1, 3, 4],
    "section A\n| 1=1:0\nsection B\n| 1=1:1 .||\nagain A\nsection C\n| 1=1:2\nagain B": [1, 2, 2, 1, 3, 2],
    # A ditto of two bars has its sign after the second.
    "| 1=1:0\n| 1=1:1\n| ditto 2 .||\n| 1=1:2": [1, 2, 3, 4, 1, 2, 3, 4, 5],
}


@pytest.mark.parametrize("music", FORMS)
def test_forms(music: str) -> None:
    assert bars_played(music) == FORMS[music]


def test_a_repeat_in_the_middle_of_a_bar() -> None:
    plan = passages(sounding("|< 4=1:0\n| 2.=1:1 .|| 4=1:2\n|< 2.=1:3 .||", MEASURED))
    quarter = WHOLE // 4
    assert [(each.start // quarter, each.end // quarter) for each in plan] == [(0, 4), (0, 8), (4, 8)]


def notes(music: str, heading: str = MEASURED) -> list[tuple[int, int]]:
    """Onset in milliseconds at 60 crotchets a minute, and pitch, of the tablature part."""
    part = perform(voiced(music, heading), manner=Manner(60)).parts[-1]
    return [(round(note.onset * 4000 / WHOLE), note.pitch) for note in part.notes]


def test_the_arpeggio_of_1604_is_played_in_the_chosen_order() -> None:
    """Source: Libro primo d'intavolatura di chitarone (Venice 1604), Toccata seconda arpeggiata, bar 6 (PS-inf)."""
    chord = "| 1'r=5:2,3:0,2:3,1:3"
    assert notes(chord) == [(0, 52), (60, 55), (120, 60), (180, 59)]
    assert notes(chord, MEASURED + "arpeggio rising\n") == [(0, 52), (60, 55), (120, 59), (180, 60)]


def test_strums_and_short_chords() -> None:
    assert notes("| 1'd=3:0,2:0,1:0") == [(0, 59), (15, 52), (30, 57)]
    assert notes("| 1'u=3:0,2:0,1:0") == [(0, 57), (15, 52), (30, 59)]
    # A semiquaver of 250 ms leaves half of it to the two strings: 62 ms a string at most; a 32nd 31 ms.
    assert notes("|> 32'r=5:0,3:0") == [(0, 50), (31, 59)]


def test_stops_set_one_after_another_keep_their_written_times() -> None:
    piece = voiced("| 1=X>4:2>3:3>1:2", MEASURED)
    assert [note.onset for note in perform(piece).parts[-1].notes] == [note.led.onset for note in piece.notes]


def test_every_string_of_a_course_sounds() -> None:
    heading = HEADING + "course 7 = G2+G3\nmetre C\n"
    assert notes("| 1=7,4:0", heading) == [(0, 43), (0, 55)]  # G3 of course 4 and the octave string: one unison


def line(*sung: SungNote, bass: bool = False) -> Song:
    return Song((SungLine("v", "Canto", "C1", 0, bass, sung),))


def sung(number: int, onset: int, name: str, octave: int, *, tied: bool = False) -> SungNote:
    quarter = WHOLE // 4
    pitch = SpelledPitch(name, 0, octave)
    return SungNote(f"v-b1n{number}", onset * quarter, quarter, Value(4), pitch, NOWHERE, tied=tied)


def test_ties_are_joined_and_transposed_copies_sound_in_their_key() -> None:
    quarter = WHOLE // 4
    piece = voiced("| 1=7,3:0", MEASURED)
    song = line(sung(1, 0, "D", 5), sung(2, 1, "D", 5, tied=True), sung(3, 2, "D", 5))
    played = perform(piece, song)
    assert [part.sounder for part in played.parts] == [Sounder.VOICE, Sounder.LUTE]
    assert played.parts[0].notes == (PlayedNote(0, 2 * quarter, 74), PlayedNote(2 * quarter, quarter, 74))
    up = Interval(1, 2)
    moved = perform(transposed(piece, up), transposed_song(song, up))
    for before, after in zip(played.parts, moved.parts, strict=True):
        assert [note.pitch + 2 for note in before.notes] == [note.pitch for note in after.notes]


def test_the_click() -> None:
    quarter = WHOLE // 4
    beats = perform(voiced("|< 4=1:0\n| 1=1:1\n| 1=1:2", MEASURED)).beats
    assert [beat.onset // quarter for beat in beats] == list(range(9))
    assert [beat.onset // quarter for beat in beats if beat.first] == [1, 5]
    assert [beat.first for beat in perform(voiced("| 1=1:0\n| 2=1:0", FREE)).beats] == [True, True]


def test_metres_where_they_change() -> None:
    played = perform(voiced("| 1=1:0 ||.\nmetre 3/4\n| 2.=1:1 .||", MEASURED))
    assert [(at * 4 // WHOLE, metre.beats) for at, metre in played.metres] == [(0, 4), (4, 3)]
