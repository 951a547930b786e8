"""The layers of a song in the events document: every note, syllable, figure and chord letter with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from lxml import etree

from pipeline.edition.lead import lead
from pipeline.edition.spell import spell
from pipeline.folder.files import discover, headings_above, read_file
from pipeline.model.record import replace
from pipeline.model.song import Song
from pipeline.model.time import show
from pipeline.model.voiced import VoicedPiece
from pipeline.source.read import sounding_piece
from pipeline.source.sing import sing
from pipeline.writers.events import write_events
from tests.laws import songs
from tests.laws.test_exchange import law
from tests.made import text
from tests.outside.schemas import events_schema
from tests.songs import HEADING, song

NS = {"e": "urn:longneck:events:1"}
MUSIC = """\
| 2=X,3:3,2:1 7,3:0
v 4=D5 8=E _F#!F 2'f=G?"a
c A - - B
1 ti_a- mo _ o
b 4.=G2'6,4 8=- 2=E2'4-3
c C - -
"a : forte
| 1=X,3:3
c D
v 1=rubbish"""


def written(voiced: VoicedPiece, sung: Song) -> etree._Element:
    root = etree.fromstring(write_events(voiced, song=sung))
    assert events_schema().validate(root), events_schema().error_log
    return root


@pytest.fixture(scope="module")
def root() -> etree._Element:
    return written(*song(MUSIC))


def plain(element: etree._Element) -> dict[str, str]:
    return {name: value for name, value in element.attrib.items() if name not in {"line", "column", "end"}}


def typed_at(element: etree._Element, source: tuple[str, ...]) -> str:
    return source[int(element.get("line")) - 1][int(element.get("column")) - 1 : int(element.get("end")) - 1]


def test_lines(root: etree._Element) -> None:
    assert [plain(line) for line in root.iterfind("e:song/e:line", NS)] == [
        {"name": "v", "title": "Canto", "clef": "C1", "fifths": "0"},
        {"name": "b", "title": "Basso", "clef": "F4", "fifths": "0", "bass": "yes"},
    ]


def test_notes(root: etree._Element) -> None:
    notes = root.findall("e:song/e:line[@name='v']/e:note", NS)
    assert plain(notes[0]) == {
        "id": "v-b1n1", "bar": "1", "onset": "0", "length": "1/4", "pitch": "D5", "semitones": "74", "act": "printed",
    }  # fmt: skip
    assert notes[2].get("act") == "emended" and notes[2].findtext("e:source", namespaces=NS) == "F"
    assert notes[2].get("slurred") == "yes"
    assert (notes[3].get("fermata"), notes[3].get("doubtful"), notes[3].get("labels")) == ("yes", "yes", "a")
    assert notes[3].find("e:value", NS).get("reads") == "2"
    assert "pitch" not in notes[4].attrib
    assert notes[4].get("unread") == "yes"


def test_every_sign_has_its_place(root: etree._Element) -> None:
    lines = text(MUSIC, HEADING).lines
    notes = [typed_at(note, lines) for note in root.iterfind(".//e:line/e:note", NS)]
    assert notes == ["4=D5", "8=E", "_F#!F", "2'f=G?\"a", "1=rubbish", "4.=G2'6,4", "8=-", "2=E2'4-3"]
    syllables = [
        (typed_at(each, lines), each.text, each.get("place"), each.get("extends"))
        for each in root.iterfind(".//e:syllable", NS)
    ]
    assert syllables == [
        ("ti_a-", "ti‿a", "begin", None), ("mo", "mo", "end", "yes"), ("o", "o", "single", None),
    ]  # fmt: skip
    chords = [(typed_at(each, lines), each.text, each.get("over")) for each in root.iterfind(".//e:chord", NS)]
    assert sorted(chords, key=str) == sorted(
        [("A", "A", "v"), ("B", "B", "v"), ("C", "C", "b"), ("D", "D", None)], key=str
    )


def test_figures_in_turn(root: etree._Element) -> None:
    found = [(each.get("offset"), each.text) for each in root.iterfind(".//e:figure", NS)]
    assert found == [("0", "6 4"), ("0", "4"), ("1/4", "3")]


def test_nothing_without_layers() -> None:
    voiced, sung = song("| 1=X,3:3")
    assert sung == Song()
    assert write_events(voiced, song=sung) == write_events(voiced)


def test_a_moved_line_says_so() -> None:
    """The tablature stays; the whole line moves. Its pitches are those after it."""
    voiced, sung = song("| 1=3:3\nv 1=C5")
    (line,) = sung.lines
    root = written(voiced, replace(sung, lines=(replace(line, moved=-2, from_file="canto.musicxml"),)))
    assert root.find("e:song/e:line", NS).get("moved") == "-2"
    assert root.find("e:song/e:line", NS).get("from") == "canto.musicxml"


ROOT = Path(__file__).parents[2] / "fixtures" / "anthology"


def test_the_aria_is_there_whole() -> None:
    """Every note and word of the fixture's layers, counted in the typed text itself."""
    (file,) = [file for file in discover([ROOT]) if file.path.name == "06-aria.intav"]
    source = read_file(file.path, "aria").source
    above = tuple(read_file(heading.path, heading.name).source for heading in headings_above(file))
    sounding = sounding_piece(source, above).value
    root = written(spell(lead(sounding)), sing(sounding).value)
    body = [line.split() for line in source.lines if line.strip()]
    layers = {"v": 0, "v2": 0, "b": 0}
    words = letters = 0
    for first, *rest in body:
        if first in layers:
            layers[first] += len(rest)
        elif first in {"1", "2", "3"}:
            words += sum(word not in {"-", "_"} for word in rest)
        elif first == "c":
            letters += sum(word != "-" for word in rest)
    found = {name: len(root.findall(f"e:song/e:line[@name='{name}']/e:note", NS)) for name in layers}
    assert found == layers
    assert len(root.findall(".//e:syllable", NS)) == words
    assert len(root.findall(".//e:chord", NS)) == letters


@law(60)
@given(songs.headings, songs.pieces)
def test_random_songs(heading: str, music: str) -> None:
    """Valid; and as many notes, syllables, figures and letters as the song holds, at their onsets."""
    voiced, sung = song(music, heading)
    root = written(voiced, sung)
    notes = [note for line in sung.lines for note in line.notes]
    assert [each.get("onset") for each in root.iterfind(".//e:line/e:note", NS)] == [show(note.onset) for note in notes]
    assert [each.text or "" for each in root.iterfind(".//e:syllable", NS)] == [
        word.text for note in notes for word in (*note.syllables, *note.unsung)
    ]
    assert len(root.findall(".//e:figure", NS)) == sum(len(note.figures) for note in notes)
