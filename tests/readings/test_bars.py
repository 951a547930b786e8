"""Bars with the reading that a musician would print, and why."""

from __future__ import annotations

from pipeline.edition.lead import lead
from pipeline.model.time import WHOLE
from pipeline.model.voiced import LedNote, LedPiece, Part
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
    read = {}
    for note in piece.notes:
        read.setdefault(note.onset // WHOLE, []).append((note.onset % WHOLE, note.stop.course, note.part, note.length))
    assert all(sorted(map(str, read[number])) == sorted(map(str, read[2])) for number in range(2, 7))
