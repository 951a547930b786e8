"""Worked examples from prints and standards, pitch for pitch.

The pitches are calculated from the named tuning; the tablature is as quoted second-hand from the named print.
"""

from __future__ import annotations

import pytest
from lxml import etree

from pipeline.model.arpeggio import spread
from pipeline.writers.events import write_events
from tests.made import HEADING, pitches, score, sounding, voiced

FRENCH = HEADING + "signs french\nmetre none\n"
FREE = HEADING + "metre none\n"
LUTE = "longneck 1\ntitle Trial\ninstrument lute in G, 6 courses\nmetre none\n"


def test_fleury_1660() -> None:
    """Source: Fleury 1660, p. 8 (PS-inf; pitches calc on the theorbo in A)."""
    chords = "| /a,4c,3b,2b 5e,3d,1a a,3d,2d,1b 4b,3a,2a 6a,3b,2b 6b,4d,3d,2b"
    assert pitches(voiced(chords, FRENCH)) == [
        ["F2", "A3", "C4", "F3"],
        ["F#3", "D4", "A3"],
        ["G2", "D4", "G3", "Bb3"],
        ["G#3", "B3", "E3"],
        ["A2", "C4", "F3"],
        ["Bb2", "Bb3", "D4", "F3"],
    ]


def test_fleury_bass_is_on_the_lowest_course() -> None:
    """The fourth chord: the bass is the G sharp on course 4, though E3 sounds below it. Source: as above."""
    piece = voiced("| 4b,3a,2a", FRENCH)
    assert [note.spelling.name for note in piece.notes if note.led.part.value == "bass"] == ["G#3"]


def test_arpeggio_of_1604() -> None:
    """Source: Libro primo d'intavolatura di chitarone (Venice 1604), Toccata seconda arpeggiata, bars 1 and 6
    (PS-inf): the order is 4-2-1-3; in bar 6 the fixed order is 5-2-1-3, the ascending one 5-2-3-1."""
    piece = sounding("| 'r=4:0,3:3,2:3,1:2 'r=5:2,3:0,2:3,1:3", FREE)
    first, sixth = (spread(event, piece.heading.instrument) for event in piece.bars[0].events)
    assert first is not None and sixth is not None
    assert [stop.course for stop in first.fingers] == [4, 2, 1, 3]
    assert [stop.pitch for stop in first.fingers] == [55, 55, 59, 62]  # G3 G3 B3 D4
    assert [stop.course for stop in sixth.fingers] == [5, 2, 1, 3]
    assert [stop.pitch for stop in sixth.fingers] == [52, 55, 60, 59]  # E3 G3 C4 B3
    assert [stop.course for stop in sixth.rising] == [5, 2, 3, 1]
    assert [stop.pitch for stop in sixth.rising] == [52, 55, 59, 60]  # E3 G3 B3 C4


@pytest.mark.parametrize(
    ("line", "played", "courses"), [("", "fingers", "5 2 1 3"), ("arpeggio rising\n", "rising", "5 2 3 1")]
)
def test_arpeggio_of_1604_as_chosen(line: str, played: str, courses: str) -> None:
    """Bar 6, in the events document and in the score: the heading chooses. Source: as above."""
    chord, heading = "| 'r=5:2,3:0,2:3,1:3", FREE + line
    element = etree.fromstring(write_events(voiced(chord, heading))).find(".//{*}event/{*}arpeggio")
    assert element is not None
    assert element.get("played") == played
    assert element.get("fingers") == "b1e1c5 b1e1c2 b1e1c1 b1e1c3"
    assert element.get("rising") == "b1e1c5 b1e1c2 b1e1c3 b1e1c1"
    (arpeggio,) = score(chord, heading).measures[0].arpeggios
    assert [name.rpartition("c")[2] for name in arpeggio.order] == courses.split()


def test_unison_on_two_courses_is_two_strings() -> None:
    """Courses 4 and 2 of the first chord sound in unison, and both are written. Source: as above."""
    heads = [
        head.pitch.name
        for measure in score("| 'r=4:0,3:3,2:3,1:2", FREE).measures
        for layer in measure.layers
        for event in layer.events
        for head in event.heads
    ]
    assert sorted(heads) == ["B3", "D4", "G3", "G3"]


def test_melii_close() -> None:
    """Source: Melii, Libro quinto, p. 51, the close (PS-inf; durations uncertain, so only pitches)."""
    close = "| 6:0,4:2,3:1,2:1 6:3,4:0,3:1,2:1 2:0 3:3 2:0 2:1 5:3 8,3:1,2:1,1:0"
    assert pitches(voiced(close, FREE)) == [
        ["A2", "A3", "C4", "F3"],
        ["C3", "G3", "C4", "F3"],
        ["E3"],
        ["D4"],
        ["E3"],
        ["F3"],
        ["F3"],
        ["F2", "C4", "F3", "A3"],
    ]


def test_first_notes_of_1536() -> None:
    """Source: singers' first-note rubrics, Verdelot/Willaert 1536 (PS-inf): lute in G, course 2 fret 3 = F4,
    course 1 fret 5 = C5."""
    assert pitches(voiced("| 2:3 1:5", LUTE)) == [["F4"], ["C5"]]


def test_mei_guidelines() -> None:
    """Source: MEI Guidelines, tablature chapter (PS), lute in G: c4/2 + c6/0 = G3 + G2."""
    assert pitches(voiced("| 6:0,4:2", LUTE)) == [["G2", "G3"]]


def test_musicxml_tutorial() -> None:
    """Source: MusicXML 4.0 tablature tutorial (PS): guitar, string 3 frets 5 7 8 7 5 = C4 D4 Eb4 D4 C4 with
    durations 2 2 1 1 2 at two divisions a quarter."""
    guitar = "longneck 1\ntitle Trial\ninstrument guitar\n" + "".join(
        f"course {number} = {pitch}\n" for number, pitch in enumerate(("E4", "B3", "G3", "D3", "A2", "E2"), start=1)
    )
    piece = voiced("| 4=3:5 3:7 8=3:8 3:7 4=3:5", guitar + "metre C\nkey C minor\n")
    assert pitches(piece) == [["C4"], ["D4"], ["Eb4"], ["D4"], ["C4"]]
    events = piece.sounding.bars[0].events
    assert [event.length * 2 // events[0].length for event in events] == [2, 2, 1, 1, 2]
