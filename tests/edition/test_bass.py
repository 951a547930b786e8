"""The bass part: typed or read, its figures, one staff in every form."""

from __future__ import annotations

import pytest
from lxml import etree

from pipeline.edition.bass import bass_of
from pipeline.edition.casting import cast_off
from pipeline.model.notes import Kind
from pipeline.model.score import Score
from pipeline.writers.engrave import engrave
from pipeline.writers.mei import write_mei
from pipeline.writers.musicxml import write_musicxml
from tests.outside.readback import parts_by_music21
from tests.outside.schemas import musicxml_schema
from tests.songs import song
from tests.writers.mei_schema import faults

HEADING = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\nkey D minor\n"
TYPED = HEADING.replace("D minor", "G minor") + "layer v = Canto, clef C1, 1 flat\nlayer b = Basso, clef F4, 1 flat\n"
FIGURED = "| 2=7,5:0,4:0 X,4:2,3:3,2:2\nv 2=D5 D\nb 2=G2 D3'4-#\n"
UNFIGURED = FIGURED.replace("'4-#", "")
#: D minor as a broken chord, then A major; D and A on diapasons.
READ = "| 4=X 4:2 3:3 2:1 | 1=13,5:2,4:2,3:2 |||".replace(" | ", "\n| ")


def bass(music: str, heading: str = HEADING) -> Score:
    made = bass_of(*song(music, heading))
    assert made is not None
    return made


def notes(score: Score) -> list[str]:
    return [
        event.pitch.name if event.pitch is not None else "-"
        for measure in score.measures
        for staff in measure.sung
        for event in staff.events
        if event.kind is not Kind.SPACE
    ]


def figures(score: Score) -> list[tuple[str, ...]]:
    return [column.rows for measure in score.measures for column in measure.figures]


def test_a_typed_bass_stands_as_typed() -> None:
    made = bass(FIGURED, TYPED)
    assert notes(made) == ["G2", "D3"]
    assert figures(made) == [("4",), ("#",)]
    assert not any(column.editorial for measure in made.measures for column in measure.figures)
    assert [(staff.name, staff.clef, staff.fifths) for staff in made.vocal] == [("b", "F4", -1)]


def test_figures_are_worked_out_where_the_source_has_none() -> None:
    """G, then D major: the third over D is raised (common practice, no source). The signature is that of the bass, one
    flat."""
    made = bass(UNFIGURED, TYPED)
    assert notes(made) == ["G2", "D3"]
    assert figures(made) == [("#",)]
    assert all(column.editorial and column.staff == "b" for measure in made.measures for column in measure.figures)
    assert any("no figures there" in entry.text for entry in made.legend)


def test_the_bass_as_read() -> None:
    """It rings through the broken chord; A major in D minor: the third is raised."""
    made = bass(READ)
    assert notes(made) == ["D2", "A1"]
    assert figures(made)[-1] == ("#",)
    assert [(staff.name, staff.clef, staff.fifths) for staff in made.vocal] == [("b", "F4", -1)]
    assert any("read from the tablature" in entry.text for entry in made.legend)


def test_no_bass_no_part() -> None:
    assert bass_of(*song("| 1=- |||", HEADING)) is None


def test_a_new_signature_is_printed_and_figured_in() -> None:
    """D major: F sharp is in the signature, and over D no figure."""
    music = f"{READ.removesuffix(' |||')}\nkey D major\n| 1=X,4:2,3:2,2:2 |||"
    made = bass(music)
    assert made.measures[2].fifths == 2
    assert not [column for column in made.measures[2].figures if column.rows == ("#",)]
    root = etree.fromstring(write_musicxml(made))
    assert [(key.getparent().getparent().get("number"), key.findtext("fifths")) for key in root.iter("key")] == [
        ("1", "-1"), ("3", "2"),
    ]  # fmt: skip
    assert b'keySig sig="2s"' in write_mei(cast_off(made))


@pytest.mark.parametrize(("music", "heading"), [(FIGURED, TYPED), (UNFIGURED, TYPED), (READ, HEADING)])
def test_every_form_has_the_one_staff(music: str, heading: str) -> None:
    """Sources: the schema of MusicXML 4.0; the reader music21."""
    made = bass(music, heading)
    document = write_musicxml(made)
    assert musicxml_schema().validate(etree.fromstring(document))
    (part,) = parts_by_music21(document)
    assert [note.pitch.nameWithOctave.replace("-", "b") for note in part.flatten().notes if note.isNote] == notes(made)
    engraved = engrave(write_mei(cast_off(made)), made)
    assert engraved.warnings == () and len(engraved.pages) == 1
    assert engraved.pages[0].count('class="clef') == 1


@pytest.mark.parametrize(("music", "heading"), [(FIGURED, TYPED), (READ, HEADING)])
def test_its_document_is_valid(music: str, heading: str) -> None:
    """Source: the schema of MEI 5.1."""
    assert faults(write_mei(cast_off(bass(music, heading)))) == []
