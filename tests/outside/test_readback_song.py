"""The edition of a song: valid MusicXML and MEI, and independent readers find voices, words, tablature, staves, bass.

Held against: the schemas of MusicXML 4.0 (W3C, as the package musicxml ships it) and MEI 5.1; the readers music21,
partitura and verovio, which reads both documents in a process of its own with a time limit.
"""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache

import pytest
from lxml import etree

from pipeline.edition.apparatus import apparatus
from pipeline.edition.casting import cast_off
from pipeline.edition.notate import notate
from pipeline.model.notes import Kind
from pipeline.model.score import Score
from pipeline.writers.mei import write_mei_forms
from pipeline.writers.musicxml import write_musicxml
from tests.outside.readback import (
    as_music21_places,
    differences,
    heads_by_partitura,
    heard_by_music21,
    partitura_part,
    written_heads,
)
from tests.outside.schemas import musicxml_schema
from tests.outside.sungback import figures_in, notes_by_partitura, notes_of, sung_by_music21, sung_written
from tests.outside.test_readback_copy import ARIA, sung
from tests.songs import song
from tests.writers.engrave.test_song import EDITED, MUSIC
from tests.writers.mei_schema import faults

SONGS = {"aria": "", "air": "", "dialogo": "", "sung": MUSIC, "edited": EDITED}
ANTHOLOGY = {"aria": ARIA, "air": "songs/12-air", "dialogo": "songs/13-dialogo"}
_SECONDS = 60


@cache
def made(name: str) -> tuple[Score, bytes, bytes]:
    """The score, and its MusicXML and MEI with the apparatus in them."""
    voiced, lines = sung(ANTHOLOGY[name]) if name in ANTHOLOGY else song(SONGS[name])
    score, acts = notate(voiced, lines), apparatus(voiced)
    return score, write_musicxml(score, acts), write_mei_forms(cast_off(score), acts).archive


@pytest.mark.parametrize("name", SONGS)
def test_valid(name: str) -> None:
    _, document, mei = made(name)
    schema = musicxml_schema()
    assert schema.validate(etree.fromstring(document)), schema.error_log
    assert faults(mei) == []


@pytest.mark.parametrize("name", SONGS)
def test_music21_and_partitura_find_every_note_and_word(name: str) -> None:
    score, document, _ = made(name)
    assert sung_by_music21(document) == sung_written(score)
    assert notes_by_partitura(document, score) == notes_of(sung_written(score))
    assert differences(as_music21_places(score), heard_by_music21(document)) == []
    assert differences(written_heads(score), heads_by_partitura(document)) == []
    figures = sum(figure.pitch is not None for m in score.measures for event in m.tab for figure in event.figures)
    assert len(partitura_part(document, "tablature").notes) == figures


@pytest.mark.parametrize("name", SONGS)
def test_parts_from_the_top(name: str) -> None:
    score, document, _ = made(name)
    above = [f"line-{staff.name}" for staff in score.vocal if not staff.bass]
    below = [f"line-{staff.name}" for staff in score.vocal if staff.bass]
    root = etree.fromstring(document)
    assert [part.get("id") for part in root.iterfind("part")] == [*above, "tablature", "staves", *below]
    assert [part.get("id") for part in root.iter("score-part")] == [*above, "tablature", "staves", *below]


def test_figures_of_the_aria() -> None:
    """As many columns as the bass has, in its part. Source: the fixture."""
    score, document, _ = made("aria")
    found = figures_in(document)
    assert {part for part, *_ in found} == {"line-b"}
    assert len(found) == sum(len(measure.figures) for measure in score.measures) >= 15


def test_chord_letters_stand_over_their_line_once() -> None:
    score, document, _ = made("aria")
    root = etree.fromstring(document)
    letters = [sign.text for measure in score.measures for sign in measure.chord_signs]
    printed = [words.text for words in root.iterfind(".//direction/direction-type/words")]
    assert [words for words in printed if words in set(letters)] == letters


def test_footnotes_stand_at_notes_and_words_in_the_standards_own_element() -> None:
    _, document, _ = made("edited")
    root = etree.fromstring(document)
    assert "read D5" in (root.findtext("part[@id='line-v']//note/footnote") or "")
    assert "read “to”" in (root.findtext("part[@id='line-v']//lyric/footnote") or "")
    assert "read G2" in (root.findtext("part[@id='line-b']//note/footnote") or "")
    assert root.findtext("part[@id='line-v']//lyric/level"), "the word that is added"


def test_the_archive_keeps_both_readings_of_a_sung_note_and_how_lines_begin() -> None:
    _, _, mei = made("edited")
    root = etree.fromstring(mei)
    space = {"m": "http://www.music-encoding.org/ns/mei"}
    (sic,) = root.findall(".//m:staff[@n='1']//m:choice/m:sic/m:note", space)
    assert (sic.get("pname"), sic.get("oct")) == ("e", "5")
    (first,) = [incip for incip in root.iterfind(".//m:work/m:incip", space) if incip.get("n") == "v"]
    definition, note = first.find(".//m:staffDef", space), first.find(".//m:note", space)
    assert definition is not None and note is not None
    assert (definition.get("clef.shape"), definition.get("clef.line")) == ("C", "1")
    assert (note.get("pname"), note.get("dur")) == ("e", "semiminima"), "as the source has it, before the emendation"


_READ = """
import json, re, sys, verovio
kind, path = sys.argv[1:]
toolkit = verovio.toolkit()
toolkit.setOptions({"inputFrom": kind, "svgFormatRaw": True})
assert toolkit.loadData(open(path, encoding="utf-8").read())
pages = "".join(toolkit.renderToSVG(number) for number in range(1, toolkit.getPageCount() + 1))
words = re.findall(r'class="syl[^"]*"><text [^>]*>(?:<tspan [^>]*>)*([^<]*)<', pages)
print(json.dumps({"notes": len(re.findall(r'class="note[ "]', pages)), "syllables": len(words)}))
"""


@pytest.mark.parametrize("name", SONGS)
@pytest.mark.parametrize("kind", ["mei", "musicxml"])
def test_verovio_reads_both_documents(name: str, kind: str, tmp_path: object) -> None:
    """Its count of notes and syllables is the score's; no document hangs or kills it."""
    score, document, mei = made(name)
    path = f"{tmp_path}/edition.{kind}"
    with open(path, "wb") as file:  # noqa: PTH123
        file.write(mei if kind == "mei" else document)
    run = subprocess.run(
        [sys.executable, "-c", _READ, "mei" if kind == "mei" else "xml", path],
        capture_output=True,
        timeout=_SECONDS,
        check=True,
    )
    read = json.loads(run.stdout.splitlines()[-1])
    words = [
        part
        for measure in score.measures
        for staff in measure.sung
        for event in staff.events
        for word in event.syllables
        for part in word.text.split("‿")
    ]
    sung_notes = sum(
        event.kind is Kind.NOTE for measure in score.measures for staff in measure.sung for event in staff.events
    )
    heads = sum(len(event.heads) for measure in score.measures for layer in measure.layers for event in layer.events)
    figures = sum(len(event.figures) for measure in score.measures for event in measure.tab)
    assert read["notes"] == sung_notes + heads + figures
    if kind == "mei":
        assert read["syllables"] == len(words)
