"""Transposed copies, held against music21's own transposition on scores of its corpus."""

from __future__ import annotations

from functools import cache

import pytest
from music21 import corpus, key, note, stream

from pipeline.edition.transpose import signatures, transposed, transposed_song
from pipeline.model.interval import Interval, fitted, parse_interval
from pipeline.model.pitch import SpelledPitch
from pipeline.model.song import ChordLetter, Figure, Song, SungLine, SungNote
from pipeline.model.text import Span
from pipeline.model.time import WHOLE, Value
from tests.made import HEADING, voiced

NOWHERE = Span("x", 1, 1, 1)
PLAIN = (
    *("P1", "A1", "m2", "M2", "A2", "d3", "m3", "M3", "d4", "P4", "A4"),
    *("d5", "P5", "A5", "m6", "M6", "A6", "d7", "m7", "M7", "d8", "P8"),
)
#: Every interval to an octave both ways, and the augmented and diminished ones that composers write.
NAMES = [f"{sign}{name}" for sign in ("", "-") for name in PLAIN if sign + name != "-P1"]
PIECES = ("monteverdi/madrigal.3.2", "bach/bwv66.6", "lusitano/allor_che_ignuda")


def made(name: str) -> Interval:
    interval = parse_interval(name)
    assert isinstance(interval, Interval)
    return interval


@cache
def part(name: str) -> stream.Stream[note.Note]:
    """The notes of the upper part of a corpus piece, its signature before them."""
    upper = corpus.parse(name).parts[0].flatten()
    kept: stream.Stream[note.Note] = stream.Stream()
    for signature in upper.getElementsByClass(key.KeySignature):
        kept.insert(0, key.KeySignature(signature.sharps))
        break
    for each in upper.getElementsByClass(note.Note):
        kept.append(note.Note(each.pitch.nameWithOctave, quarterLength=each.quarterLength))
    return kept


def read(notes: stream.Stream[note.Note]) -> list[SpelledPitch]:
    return [
        SpelledPitch(each.pitch.step, int(each.pitch.alter), each.pitch.implicitOctave)
        for each in notes.getElementsByClass(note.Note)
    ]


def fifths(notes: stream.Stream[note.Note]) -> int:
    return int(next(iter(notes.getElementsByClass(key.KeySignature))).sharps)


def song(notes: list[SpelledPitch], signature: int, figures: tuple[Figure, ...] = ()) -> Song:
    sung = tuple(
        SungNote(f"v-b{place}n1", place * WHOLE, WHOLE, Value(1), pitch, NOWHERE, figures=figures)
        for place, pitch in enumerate(notes)
    )
    line = SungLine("v", "Canto", "C1", signature, False, sung)
    return Song((line,), (ChordLetter(0, "A", "", NOWHERE),))


@pytest.mark.parametrize("piece", PIECES)
@pytest.mark.parametrize("name", NAMES)
def test_songs_transpose_as_music21_does(piece: str, name: str) -> None:
    """Names and octaves. Where the rule of fewest accidentals respells the interval, music21 is asked for that one;
    that the sound is as asked is asserted beside it."""
    given = part(piece)
    asked = made(name)
    assert [asked.of(pitch) for pitch in read(given)] == read(given.transpose(name))
    used = fitted(asked, {fifths(given)})
    ours = transposed_song(song(read(given), fifths(given)), used).lines[0]
    theirs = given.transpose(used.name)
    assert [each.pitch for each in ours.notes] == read(theirs)
    assert ours.fifths == fifths(theirs)
    assert [each.pitch.semitones for each in ours.notes if each.pitch] == [
        pitch.semitones for pitch in read(given.transpose(asked.semitones))
    ]


def test_a_voiced_piece_keeps_its_facts() -> None:
    piece = voiced("| 4=X,4:2,3:3,2:1 4=3:5 3:6 _3:7\nkey A major\n| 1=7,3:0", HEADING + "metre C\nkey D minor\n")
    copy = transposed(piece, made("M2"))
    assert [each.led for each in copy.notes] == [each.led for each in piece.notes]
    assert [each.spelling for each in copy.notes] == [made("M2").of(each.spelling) for each in piece.notes]
    assert (piece.fifths, copy.fifths) == (-1, 1)
    before, after = piece.sounding.bars, copy.sounding.bars
    assert [bar.events for bar in after] == [bar.events for bar in before]
    keys = [bar.key for bar in after]
    assert [(each.tonic, each.mode, each.fifths) for each in keys if each] == [
        ("E", "minor", 1),
        ("B", "major", 5),
    ]
    assert signatures(piece) == {-1, 3}
    assert signatures(piece, song([], -2)) == {-1, 3, -2}


@pytest.mark.parametrize(
    ("bass", "signature", "row", "name", "after"),
    [
        ("D", -1, "#", "m3", "n"),  # F sharp over D becomes A natural over F, in four flats
        ("D", -1, "#", "M2", "#"),  # G sharp over E
        ("G", -1, "#", "P5", "#"),  # B natural over G, which the source writes #, becomes F sharp over D, no flats
        ("G", -1, "b", "M2", "n"),  # B flat over G becomes C natural over A, in one sharp
        ("C", 0, "b6", "M6", "n6"),  # A flat over C becomes F natural over A, in three sharps
        ("D", 0, "6", "m3", "6"),
        ("F", 0, "#6", "M2", "#6"),  # D sharp over F becomes E sharp over G
        ("A", 3, "#", "A4", "##"),  # C sharp over A becomes F double sharp over D sharp, in nine sharps
    ],
)
def test_figures_follow_the_new_key(bass: str, signature: int, row: str, name: str, after: str) -> None:
    # common practice, no source
    given = song([SpelledPitch(bass, 0, 3)], signature, (Figure(0, (row, "4")),))
    line = transposed_song(given, made(name)).lines[0]
    assert line.notes[0].figures[0].rows == (after, "4")


def test_chord_letters_are_left_out() -> None:
    assert not transposed_song(song([SpelledPitch("C", 0, 4)], 0), made("M2")).chords
