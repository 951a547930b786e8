"""An edition with some of its staves: the music of the others untouched, valid documents, no note at the foot lost."""

from __future__ import annotations

import re
from functools import cache

import pytest
from lxml import etree

from pipeline.edition.apparatus import apparatus
from pipeline.edition.casting import cast_off
from pipeline.edition.notate import notate
from pipeline.model.score import Score
from pipeline.model.staves import Staves
from pipeline.writers.engrave import engrave
from pipeline.writers.mei import write_mei, write_mei_forms
from pipeline.writers.musicxml import write_musicxml
from tests.outside.readback import differences, heard_by_music21, partitura_part, written
from tests.outside.schemas import musicxml_schema
from tests.outside.sungback import sung_by_music21, sung_written
from tests.songs import song
from tests.writers.engrave.test_song import EDITED, MUSIC, foot_of
from tests.writers.mei_schema import faults

#: Footnotes on a rhythm sign, a bar and a stop; a change of key; a retuning; chord letters over the tablature alone.
PLAYED = """\
section Prima
| 4!8"a=X,3:3 3:2 3:1 3:5!3:6
c A - - B
"a EB: sign too short
"" EB: on the whole bar
key D major
retune 8 = F#2
| 1=8,3:2 |||
"""
#: A number in its ring, over the music or at the foot.
_RINGED = re.compile(r'class="ink reference"[^>]*/><text [^>]*>(\d+)</text>')
PIECES = {"sung": MUSIC, "edited": EDITED, "played": PLAYED.replace('"" EB', '" EB')}
STAVES = {
    Staves.ALL: ["line-v", "line-v2", "tablature", "staves", "line-b"],
    Staves.SOURCE: ["line-v", "line-v2", "tablature", "line-b"],
    Staves.NOTES: ["line-v", "line-v2", "staves", "line-b"],
    Staves.TABLATURE: ["tablature"],
}


@cache
def made(name: str, staves: Staves) -> tuple[Score, bytes, bytes]:
    """The score, its MusicXML, its MEI, both with the apparatus."""
    voiced, lines = song(PIECES[name])
    score, acts = notate(voiced, lines, staves), apparatus(voiced)
    return score, write_musicxml(score, acts), write_mei_forms(cast_off(score), acts).archive


@pytest.mark.parametrize("staves", list(Staves))
@pytest.mark.parametrize("name", PIECES)
def test_valid(name: str, staves: Staves) -> None:
    """Sources: the schemas of MusicXML 4.0 and MEI 5.1."""
    _, document, mei = made(name, staves)
    schema = musicxml_schema()
    assert schema.validate(etree.fromstring(document)), schema.error_log
    assert faults(mei) == []


@pytest.mark.parametrize("staves", list(Staves))
def test_just_the_staves_that_are_asked_for(staves: Staves) -> None:
    _, document, mei = made("sung", staves)
    assert [part.get("id") for part in etree.fromstring(document).iterfind("part")] == STAVES[staves]
    wanted = len(STAVES[staves]) + ("staves" in STAVES[staves])
    measure = next(etree.fromstring(mei).iterfind(".//{*}body//{*}measure"))
    assert [staff.get("n") for staff in measure.iterfind("{*}staff")] == [str(n) for n in range(1, wanted + 1)]


@pytest.mark.parametrize("staves", list(Staves))
@pytest.mark.parametrize("name", PIECES)
def test_readers_hear_the_same_music_on_what_is_printed(name: str, staves: Staves) -> None:
    """music21 and partitura, against the edition of everything."""
    whole, document = made(name, Staves.ALL)[0], made(name, staves)[1]
    if staves.pair:
        assert differences(written(whole), heard_by_music21(document)) == []
    if staves.tablature:
        figures = [figure for measure in whole.measures for event in measure.tab for figure in event.figures]
        assert len(partitura_part(document, "tablature").notes) == sum(figure.pitch is not None for figure in figures)
    if staves.sung and name != "played":
        assert sung_by_music21(document) == sung_written(whole)


@pytest.mark.parametrize("staves", list(Staves))
@pytest.mark.parametrize("name", PIECES)
def test_every_number_of_the_foot_stands_in_the_music(name: str, staves: Staves) -> None:
    score = made(name, staves)[0]
    engraved = engrave(write_mei(cast_off(score)), score)
    assert engraved.warnings == ()
    (page,) = engraved.pages
    if not score.footnotes:
        assert 'class="footnotes"' not in page
        return
    foot, ringed = foot_of(page), _RINGED.findall(page)
    for note in score.footnotes:
        assert ringed.count(note.letter) > foot.count(note.letter) == 1, note


def test_chord_letters_over_the_tablature_stay_with_it() -> None:
    for staves in Staves:
        root = etree.fromstring(made("played", staves)[1])
        printed = [words.text for words in root.iterfind(".//direction-type/words")]
        assert printed.count("A") == printed.count("B") == 1, staves


def test_the_tablature_sounds_where_it_stands_alone() -> None:
    """Beside the two staves it is silent: the same music."""
    silent = {staves: b"<volume>0</volume>" in made("played", staves)[1] for staves in Staves}
    assert silent == {Staves.ALL: True, Staves.SOURCE: False, Staves.NOTES: False, Staves.TABLATURE: False}


def test_the_key_to_the_signs_speaks_of_what_is_there() -> None:
    said = {
        staves: {entry.sign for entry in made("sung", staves)[0].legend} & {"Tablature:", "Staves:"}
        for staves in Staves
    }
    assert said == {
        Staves.ALL: {"Tablature:", "Staves:"},
        Staves.SOURCE: {"Tablature:"},
        Staves.NOTES: {"Staves:"},
        Staves.TABLATURE: {"Tablature:"},
    }
