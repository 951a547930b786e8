"""The first chord of a passage of spread chords in small notes.

Source of the chords and their order: Libro primo d'intavolatura di chitarone (Venice 1604), Toccata seconda arpeggiata
(PS-inf): bar 1 is played 4-2-1-3, bar 6 is E3 G3 C4 B3 by the fixed order and E3 G3 B3 C4 rising.
"""

from __future__ import annotations

import pytest
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.model.notes import StaffEvent
from pipeline.writers.mei import write_mei
from pipeline.writers.musicxml import write_musicxml
from tests import made

MEASURED = made.HEADING.replace("title Trial", "title Trial") + "metre C\nkey C major\n"
PASSAGE = "| 2'r=4:0,3:3,2:3,1:2 'r=5:2,3:0,2:3,1:3\n| 1=4:0 |||"
FIRST_IS_BAR_6 = "| 2'r=5:2,3:0,2:3,1:3 'r=4:0,3:3,2:3,1:2\n| 1=4:0 |||"


def small(music: str, line: str) -> list[list[str]]:
    """The small notes of each event that has some."""
    return [[head.pitch.name for head in event.small] for event in events(music, line) if event.small]


def events(music: str, line: str) -> list[StaffEvent]:
    score = made.score(music, f"{MEASURED}{line}\n")
    return [event for measure in score.measures for layer in measure.layers for event in layer.events]


@pytest.mark.parametrize(
    ("music", "line", "order"),
    [
        (PASSAGE, "arpeggio fingers, first written out", ["G3", "G3", "B3", "D4"]),
        (FIRST_IS_BAR_6, "arpeggio fingers, first written out", ["E3", "G3", "C4", "B3"]),
        (FIRST_IS_BAR_6, "arpeggio rising, first written out", ["E3", "G3", "B3", "C4"]),
    ],
)
def test_the_first_chord_in_the_order_it_is_played(music: str, line: str, order: list[str]) -> None:
    assert small(music, line) == [order]


def test_only_if_asked_and_only_for_a_passage() -> None:
    asked = "arpeggio fingers, first written out"
    assert small(PASSAGE, "arpeggio fingers") == []
    assert small("| 2'r=4:0,3:3,2:3,1:2 4:0\n| 2'r=4:0,3:3,2:3,1:2 4:0 |||", asked) == []
    twice = "| 4'r=4:0,3:3 'r=4:0,3:2 3:0 'r=4:0,3:3\n| 2'r=4:0,3:2 4:0 |||"
    assert len(small(twice, asked)) == 2


def test_they_have_no_time_of_their_own_and_stand_in_both_formats() -> None:
    score = made.score(FIRST_IS_BAR_6, f"{MEASURED}arpeggio fingers, first written out\n")
    plain = made.score(FIRST_IS_BAR_6, MEASURED)
    timed = [[(event.onset, event.ticks) for event in layer.events] for m in score.measures for layer in m.layers]
    assert timed == [
        [(event.onset, event.ticks) for event in layer.events] for m in plain.measures for layer in m.layers
    ]
    mei = etree.fromstring(write_mei(cast_off(score)))
    notes = mei.findall(".//{*}graceGrp//{*}note")
    assert [note.get("pname") for note in notes] == ["e", "g", "c", "b"]
    xml = etree.fromstring(write_musicxml(score))
    graces = [note for note in xml.iter("note") if note.find("grace") is not None]
    assert [note.findtext("pitch/step") for note in graces] == ["E", "G", "C", "B"]
    assert all(note.find("duration") is None for note in graces)
