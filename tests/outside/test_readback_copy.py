"""The singer's copy of every piece of the anthology: valid, and independent readers find notes and words as they are.

Held against: the schema of MusicXML 4.0 (W3C, as the package musicxml ships it); the readers music21 and partitura.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate_copy
from pipeline.edition.reduce import reduce
from pipeline.edition.spell import spell
from pipeline.folder.files import PieceFile, discover, headings_above, read_file
from pipeline.model.copy import Copy, Fullness
from pipeline.model.score import Score
from pipeline.model.song import Song
from pipeline.model.time import ticks_to_fraction
from pipeline.model.voiced import VoicedPiece
from pipeline.source.read import sounding_piece
from pipeline.source.sing import sing
from pipeline.writers.musicxml import write_musicxml
from tests.outside.readback import (
    as_music21_places,
    differences,
    heads_by_partitura,
    heard_by_music21,
    heard_by_partitura,
    written,
    written_heads,
)
from tests.outside.schemas import valid_musicxml
from tests.outside.sungback import figures_in, notes_by_partitura, notes_of, sung_by_music21, sung_written

ROOT = Path(__file__).parents[2] / "fixtures" / "anthology"
PIECES: dict[str, PieceFile] = {
    file.path.relative_to(ROOT).with_suffix("").as_posix(): file for file in discover([ROOT])
}
ARIA = "songs/06-aria"


@cache
def sung(name: str) -> tuple[VoicedPiece, Song]:
    file = PIECES[name]
    above = tuple(read_file(heading.path, heading.name).source for heading in headings_above(file))
    sounding = sounding_piece(read_file(file.path, name).source, above).value
    return spell(lead(sounding)), sing(sounding).value


@cache
def copied(name: str, fullness: Fullness = Fullness.PLAYABLE) -> Score:
    voiced, song = sung(name)
    return notate_copy(reduce(voiced, fullness), song, Copy(fullness))


@pytest.mark.parametrize("fullness", list(Fullness))
@pytest.mark.parametrize("name", PIECES)
def test_schema(name: str, fullness: Fullness) -> None:
    valid_musicxml(copied(name, fullness))


@pytest.mark.parametrize("name", PIECES)
def test_readers_hear_the_reduction(name: str) -> None:
    score = copied(name)
    document = write_musicxml(score)
    assert differences(as_music21_places(score), heard_by_music21(document)) == []
    assert differences(written(score), heard_by_partitura(document)) == []
    assert differences(written_heads(score), heads_by_partitura(document)) == []


@pytest.mark.parametrize("name", PIECES)
def test_readers_find_every_sung_note_and_word(name: str) -> None:
    score = copied(name)
    document = write_musicxml(score)
    assert sung_by_music21(document) == sung_written(score)
    assert notes_by_partitura(document, score) == notes_of(sung_written(score))


def test_words_of_the_aria_as_they_are_typed() -> None:
    """The words that music21 reads, put together again, are those of the typed text: words, hyphens taken out."""
    typed = {1: "", 2: "", 3: ""}
    for line in read_file(PIECES[ARIA].path, ARIA).source.lines:
        key, _, words = line.partition(" ")
        if key in {"1", "2", "3"}:
            typed[int(key)] += " " + words.replace('"a', "")
    heard = {1: "", 2: "", 3: ""}
    both = sung_by_music21(write_musicxml(copied(ARIA)))
    for stanza in heard:
        for note in both:
            heard[stanza] += "".join(text for number, text, _ in note.words if number == stanza)
    # Two voices sing at once in the last bars, so letters are counted, not their order.
    for stanza, words in typed.items():
        plain = [letter for word in words.split() if word not in {"-", "_"} for letter in word if letter not in "-_"]
        assert sorted(plain) == sorted(heard[stanza].replace("‿", ""))


def test_sung_notes_of_the_aria() -> None:
    """Source: the fixture; the first two bars of the canto, the last of each line."""
    both = sung_by_music21(write_musicxml(copied(ARIA)))
    canto = [note for note in both if note.part == "Canto"]
    assert [(note.midi, str(note.length)) for note in canto[:7]] == [
        (74, "1/2"), (74, "1/4"), (74, "1/4"), (72, "3/8"), (70, "1/8"), (69, "1/4"), (69, "1/4"),
    ]  # fmt: skip
    assert canto[4].words == ((1, "sa‿al", "end"), (2, "te‿o", "middle"), (3, "che", "single"))
    assert canto[-1].fermata and canto[-1].words[0] == (1, "o.", "end")
    tied = [note for note in both if note.tied_to]
    assert [(note.part, note.midi) for note in tied] == [("Canto", 67), ("Basso continuo", 43)]


def test_figures_of_the_aria() -> None:
    """Every printed figure, where it is printed. Source: the fixture."""
    score = copied(ARIA)
    found = figures_in(write_musicxml(score))
    assert {part for part, *_ in found} == {"line-b"}
    signs = {"#": "sharp", "b": "flat", "n": "natural", "": ""}
    expected = [
        ("line-b", index, ticks_to_fraction(column.offset), tuple(_row(row, signs) for row in column.rows))
        for index, measure in enumerate(score.measures)
        for column in measure.figures
    ]
    assert found == expected
    assert len(found) >= 15
    assert found[-2:] == [
        ("line-b", 19, Fraction(1, 4), (("sharp", "", ""),)),
        ("line-b", 20, Fraction(0), (("natural", "", ""),)),
    ]


def _row(row: str, signs: dict[str, str]) -> tuple[str, str, str]:
    number = row.lstrip("#bn")
    return signs[row[: len(row) - len(number)]], number, ""


def test_no_tablature_and_no_strings() -> None:
    root = etree.fromstring(write_musicxml(copied(ARIA)))
    assert [part.get("id") for part in root.iterfind("part")] == ["line-v", "line-v2", "staves", "line-b"]
    assert not root.xpath("//string | //fret | //staff-details | //scordatura | //clef[sign='TAB']")


def test_every_note_of_the_accompaniment_has_the_id_of_its_stop() -> None:
    voiced, _ = sung(ARIA)
    stops = {f"n-{note.led.id}" for note in voiced.notes}
    root = etree.fromstring(write_musicxml(copied(ARIA)))
    notes = root.iterfind("part[@id='staves']//note[pitch]")
    ids = {note.get("id") for note in notes if note.find("tie[@type='stop']") is None}
    assert ids and ids <= stops
