"""Bars with the reading that a musician would print, and why."""

from __future__ import annotations

from pipeline.edition.lead import lead
from pipeline.model.time import WHOLE
from pipeline.model.voiced import LedNote, LedPiece, Part
from pipeline.source.read import song_of
from tests.made import sounding

FOUR = "longneck 1\ntitle Trial\ninstrument archlute in G\nvoices 4\n"


def led(music: str, heading: str) -> LedPiece:
    return lead(sounding(music, heading))


def at(piece: LedPiece, moment: int) -> list[LedNote]:
    """The notes that begin together, from high to low."""
    onset = sorted({note.onset for note in piece.notes})[moment]
    return sorted((n for n in piece.notes if n.onset == onset), key=lambda n: -n.stop.pitch)


def test_highest_of_a_full_chord_is_never_the_bass() -> None:
    # Common practice, no source: of notes struck together the lowest course is the bass, the highest the tune.
    piece = led("| 1=6:5,5:4,4:2,3:3,1:0 |\n| 2=6:0,5:2,3:1,1:0 6:2,5:3,3:3,1:2 |", FOUR)
    chord = at(piece, 0)
    assert chord[0].part is Part.UPPER
    assert chord[-1].part is Part.BASS


def test_two_octaves_apart_are_two_voices() -> None:
    # Common practice, no source: C2 and C4 of one chord are bass and tune, never two notes of the bass.
    piece = led("| 2=10:0,3:3 9:0,3:1 |", "longneck 1\ntitle Trial\ninstrument archlute in G\nvoices 3\n")
    chord = at(piece, 0)
    assert chord[0].voice < chord[-1].voice


def test_a_pinned_length_is_kept_or_refused() -> None:
    # The editor's word is followed, or said not to be: a half note pinned on a quaver.
    heading = "longneck 1\ntitle Trial\ninstrument archlute in G\n"
    piece = led('| 8=6:0"a 3:0 3:2 3:3 3:2 3:0 4:2 4:0 |\n"a > lasts 2', heading)
    note = at(piece, 0)[0]
    assert note.length == WHOLE // 2 or note.id in dict(piece.refused)


def test_same_bar_between_same_bars_is_read_the_same() -> None:
    # A ground: what is printed alike is read alike (common practice, no source).
    bar = "4=6:0,3:0,1:2 1:3 5:3,2:1 1:0"
    heading = "longneck 1\ntitle Trial\ninstrument archlute in G\n"
    piece = led("| " + " |\n| ".join([bar] * 8) + " |", heading)
    read: dict[int, list[tuple[int, int, Part, int]]] = {}
    for note in piece.notes:
        read.setdefault(note.onset // WHOLE, []).append((note.onset % WHOLE, note.stop.course, note.part, note.length))
    assert all(sorted(map(str, read[number])) == sorted(map(str, read[2])) for number in range(2, 7))


def test_strummed_chords_are_blocks() -> None:
    # Common practice, no source: a chord struck with the hand is one chord of one length, the note on the lowest course
    # its bass; the same chord is written the same each time, and no octave is restored inside it.
    strummed = "4'd=7,5:0,4:0,3:0,2:3,1:2 8'd== 'u== 4'd=10,5:4,4:2,3:3,2:2,1:0 8'd== 'u=="
    piece = led(f"| {strummed} |\n| {strummed} |", "longneck 1\ntitle Trial\ninstrument theorbo in A\n")
    chords = [at(piece, moment) for moment in range(12)]
    for chord in chords:
        assert len({note.length for note in chord}) == 1
        assert [note.part for note in chord if note.stop.course >= 7] == [Part.BASS]
        assert not any(note.restored for note in chord)
    for first in (0, 3):
        same = [
            [note.voice for note in chord] for chord in (*chords[first : first + 3], *chords[first + 6 : first + 9])
        ]
        assert all(voices == same[0] for voices in same)


def test_a_voice_pinned_in_a_strummed_chord_is_kept() -> None:
    # The editor's word goes before the rule.
    heading = "longneck 1\ntitle Trial\ninstrument theorbo in A\n"
    piece = led("| 2'd=7,5:0,4:0\"a,3:0,2:3,1:2 'd=7,5:0,4:0,3:0,2:3,1:2 |\n\"a > voice 2", heading)
    assert next(note for note in at(piece, 0) if note.stop.course == 4).voice == 2


def test_a_figure_repeated_throughout_is_a_line_over_a_bass() -> None:
    # Common practice, no source: chords broken in one order run on in one line; the lowest string rings as bass.
    bars = ["8=5:0 2:1 3:3 1:0 5:0 2:1 3:3 1:0"] * 6
    heading = "longneck 1\ntitle Trial\ninstrument archlute in G\n"
    piece = led("| " + " |\n| ".join([*bars, "1=5:0,3:3,2:1,1:0"]) + " |||", heading)
    assert piece.voices == 2
    broken = [note for note in piece.notes if note.onset < 6 * WHOLE]
    assert {note.part for note in broken if note.stop.course == 5} == {Part.BASS}
    assert {note.part for note in broken if note.stop.course != 5} == {Part.UPPER}


def test_a_typed_bass_says_what_the_bass_is() -> None:
    # The source says itself which notes its bass has: here they are struck on the fourth course, within one run.
    heading = "longneck 1\ntitle Trial\ninstrument archlute in G\nmetre C\nlayer b = Basso, clef F4\n"
    bars = "| 4=4:0 3:0 4:2 3:2\n{}| 4=4:4 3:3 4:2 3:2\n{}| 1=4:0 |||\n{}"
    basses = ("b 2=F3 G3\n", "b 2=A3 G3\n", "b 1=F3\n")
    without = led(bars.format("", "", ""), heading)
    piece = lead(sounding(bars.format(*basses), heading), song_of(sounding(bars.format(*basses), heading)).value)
    typed = {note.id for note in piece.notes if note.stop.course == 4}
    assert {note.id for note in piece.notes if note.part is Part.BASS} == typed
    assert {note.id for note in without.notes if note.part is Part.BASS} != typed
