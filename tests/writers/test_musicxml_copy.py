"""The MusicXML of a singer's copy: parts, words, figures, chord letters, each as the standard writes it.

Where no other source stands beside a value, it is how the standard says a thing is written (W3C, MusicXML 4.0
reference).
"""

from __future__ import annotations

import pytest
from lxml import etree

from pipeline.model.copy import Fullness
from pipeline.model.record import replace
from pipeline.model.score import ChordSign, FigureColumn, Score
from pipeline.model.time import WHOLE
from pipeline.writers.musicxml import write_musicxml
from tests.outside.readback import as_music21_places, differences, heard_by_music21, heard_by_partitura, written
from tests.outside.schemas import valid_musicxml
from tests.outside.sungback import figures_in, notes_by_partitura, notes_of, sung_by_music21, sung_written
from tests.songs import HEADING, copied

MUSIC = """\
section Prima
tempo Adagio
opens ||.
| 2=X,3:3,2:1 7,3:0
v 4=D5 8=E _F 2'f=F#!
c A - -
1 ti_a- mo _ o_e-
2 Sa- lu- te _
b 4.=G2'6,4 8=F2'# 2=E2'4-3
ending 1
| 1=X,3:3 .||
v 2=D5 _D5
1 ter- _
v2 8/3=C4 D4 E4 4=- 2=Bb3?
1 la la la _
ending 2
| 1=X,3:3 |||
v 1=E5
1 no.
ending end
again start
stanza 3 Lieti prati, / verdi selve
"""


@pytest.fixture(scope="module")
def score() -> Score:
    return copied(MUSIC)


@pytest.fixture(scope="module")
def root(score: Score) -> etree._Element:
    return valid_musicxml(score)


def part(name: str) -> str:
    return f"part[@id='{name}']"


V, V2, B, STAVES = (part(name) for name in ("line-v", "line-v2", "line-b", "staves"))


def test_readers_hear_all(score: Score) -> None:
    document = write_musicxml(score)
    assert sung_by_music21(document) == sung_written(score)
    assert notes_by_partitura(document, score) == notes_of(sung_written(score))
    assert differences(as_music21_places(score), heard_by_music21(document)) == []
    assert differences(written(score), heard_by_partitura(document)) == []


@pytest.mark.parametrize(
    ("path", "change"),
    [
        ("pitch/octave", "3"),
        ("lyric[@number='1']/text", "wrong"),
        ("lyric[@number='1']/syllabic", "middle"),
        ("duration", "1"),
    ],
)
def test_readers_find_a_wrong_note_or_word(score: Score, path: str, change: str) -> None:
    """The comparison itself: one thing changed, and the reader tells."""
    root = etree.fromstring(write_musicxml(score))
    root.find(f".//note[@id='v-b1n1']/{path}").text = change
    assert sung_by_music21(etree.tostring(root)) != sung_written(score)


@pytest.mark.parametrize("tag", ["tie", "slur", "fermata", "lyric"])
def test_readers_miss_what_is_missing(score: Score, tag: str) -> None:
    root = etree.fromstring(write_musicxml(score))
    for element in root.xpath(f"{V}//{tag}"):
        element.getparent().remove(element)
    assert sung_by_music21(etree.tostring(root)) != sung_written(score)


def test_parts_from_the_top(root: etree._Element) -> None:
    found = [
        (each.get("id"), each.findtext("part-name"), each.find("part-name").get("print-object"))
        for each in root.iterfind("part-list/score-part")
    ]
    assert found == [
        ("line-v", "Canto", None), ("line-v2", "Tenore", None), ("staves", "Theorbo", None),
        ("line-b", "Basso", None),
    ]  # fmt: skip
    assert [each.get("id") for each in root.iterfind("part")] == [name for name, *_ in found]


@pytest.mark.parametrize(
    ("path", "count"),
    [
        # clefs and signatures are those of each staff
        (f"{V}//clef[sign='G'][line='2'][not(clef-octave-change)]", 1),
        (f"{V2}//clef[sign='G'][line='2'][clef-octave-change='-1']", 1),
        (f"{B}//clef[sign='F'][line='4']", 1),
        (f"{V}//key[fifths='0']", 1),
        (f"{V2}//key[fifths='-1']", 1),
        (f"{STAVES}//attributes[staves='2']", 1),
        # words
        (f"{V}//lyric[@number='1'][syllabic='single'][text='ti'][elision='‿']", 1),
        (f"{V}//note[@id='v-b1n1']/lyric[@number='1'][syllabic[1]='single'][syllabic[2]='begin'][text[2]='a']", 1),
        (f"{V}//note[@id='v-b1n2']/lyric[@number='1'][syllabic='end'][text='mo'][extend]", 1),
        (f"{V}//note[@id='v-b1n3']/lyric[@number='1']", 0),
        (f"{V}//lyric[@number='2'][text='lu'][syllabic='middle']", 1),
        (f"{V}//lyric[@number='1'][text='ter'][extend]", 0),
        # melisma, tie, fermata, beams
        (f"{V}//note[@id='v-b1n2']//slur[@type='start']", 1),
        (f"{V}//note[@id='v-b1n3']//slur[@type='stop']", 1),
        (f"{V}//note[@id='v-b2n1'][tie[@type='start']]/notations/tied[@type='start']", 1),
        (f"{V}//note[@id='v-b2n2'][tie[@type='stop']]/notations/tied[@type='stop']", 1),
        (f"{V}//note[@id='v-b1n4'][accidental='sharp']//fermata", 1),
        (f"{V}//note[@id='v-b1n2']/beam[.='begin']", 1),
        # the editor's hand
        (f"{V}//note[@id='v-b1n4'][level[@bracket='yes']][notehead[@parentheses='yes']]", 1),
        (f"{V2}//note[level='doubtful']", 1),
        (f"{V2}//direction[direction-type/words='?']", 1),
        # a group, a rest, an empty bar
        (f"{V2}//note[time-modification[actual-notes='3'][normal-notes='2']]", 3),
        (f"{V2}//tuplet[@type='start']", 1),
        (f"{V2}//note[rest][type='quarter']", 1),
        (f"{V2}/measure[1]/note/rest[@measure='yes']", 1),
        # chord letters are words: they may be shapes of the hand
        (f"{V}//direction/direction-type/words[.='A']", 1),
        ("//harmony", 0),
        # words of the piece stand at the top, once
        (f"{V}//direction[@placement='above']/direction-type/words[.='Prima'][@font-weight='bold']", 1),
        (f"{V}//words[.='Adagio']", 1),
        ("//words[.='Prima'] | //words[.='Adagio']", 2),
        # repeats and endings in every part
        ("part/measure[1]/barline[@location='left']/repeat[@direction='forward']", 4),
        ("part/measure[2]/barline[@location='right']/repeat[@direction='backward']", 4),
        ("part/measure[2]/barline/ending[@number='1'][@type='start']", 4),
        ("part/measure[3]/barline/ending[@number='2'][@type='start']", 4),
        # no tablature: no strings, no frets, no hands
        ("//string | //fret | //technical | //notations[not(*)]", 0),
    ],
)
def test_sign_is_written(root: etree._Element, path: str, count: int) -> None:
    assert len(root.xpath(path)) == count


def test_verses_and_method_stand_in_credits(root: etree._Element) -> None:
    said = {
        kind: [each.findtext("credit-words") for each in root.iterfind(f"credit[credit-type='{kind}']")]
        for kind in ("verses", "footnotes", "instrument")
    }
    assert said["verses"] == ["3. Lieti prati,", "verdi selve"]
    assert said["footnotes"][0].startswith("Method and cautions")
    assert "Canto: clef C1 in the source." in said["footnotes"]
    assert "At the pitch of the source" in said["instrument"]
    heights = [int(each.find("credit-words").get("default-y")) for each in root.iterfind("credit")]
    assert len(set(heights[4:])) == len(heights[4:]), "no line lies on another"


def test_without_a_song_there_are_two_staves() -> None:
    root = valid_musicxml(copied("section Prima\n| 1=X,3:3 |||\nagain start", HEADING))
    assert [each.get("id") for each in root.iterfind("part")] == ["staves"]
    assert root.find("part-list/score-part/part-name").get("print-object") == "no"
    assert root.xpath("//direction[@placement='above'][staff='1']/direction-type/words[.='Prima']")


# --- figured bass -----------------------------------------------------------------------------------------


def test_figures_of_a_printed_bass(score: Score) -> None:
    """6 over 4; a sharp alone; 4-3 in turn, the second a crotchet later."""
    sixth, quarter = ("", "6", ""), WHOLE // 4
    assert [(str(at), rows) for _, _, at, rows in figures_in(write_musicxml(score))] == [
        ("0", (sixth, ("", "4", ""))), ("3/8", (("sharp", "", ""),)), ("1/2", (("", "4", ""),)),
        ("3/4", (("", "3", ""),)),
    ]  # fmt: skip
    assert quarter == 2 * WHOLE // 8


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("6", ("", "6", "")), ("#", ("sharp", "", "")), ("b", ("flat", "", "")), ("n", ("natural", "", "")),
        ("#6", ("sharp", "6", "")), ("6#", ("", "6", "sharp")), ("4+", ("", "4", "plus")),
        ("##4", ("double-sharp", "4", "")),
        ("bb7", ("flat-flat", "7", "")), ("?", ("", "?", "")),
    ],
)  # fmt: skip
def test_every_figure(typed: str, expected: tuple[str, str, str]) -> None:
    score = _figured((FigureColumn("f1", "", 0, WHOLE, (typed,), "", True),))
    root = valid_musicxml(score)
    assert figures_in(write_musicxml(score)) == [("staves", 0, 0, (expected,))]
    assert root.findtext(f"{STAVES}//figured-bass/level") == "worked out from the tablature"


def test_a_figure_that_begins_later_waits() -> None:
    """No place of its own: an empty figure lasts until it begins."""
    half = WHOLE // 2
    score = _figured((FigureColumn("f1", "", half, half, ("6", "5"), "", True),))
    valid_musicxml(score)
    (column,) = figures_in(write_musicxml(score))
    assert str(column[2]) == "1/2"


def test_a_figure_stands_with_the_lowest_voice() -> None:
    root = valid_musicxml(_figured((FigureColumn("f1", "", 0, WHOLE, ("6",), "", True),)))
    note = root.find(f"{STAVES}//figured-bass").getnext()
    assert note.findtext("staff") == "2"


def _figured(columns: tuple[FigureColumn, ...]) -> Score:
    score = copied("| 1=X,3:3 |||")
    (measure,) = score.measures
    return replace(score, measures=(replace(measure, figures=columns),))


# --- chord names ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "root_", "kind", "bass"),
    [
        ("C", ("C", None), "major", None), ("Gm", ("G", None), "minor", None), ("Bb", ("B", "-1"), "major", None),
        ("F#dim", ("F", "1"), "diminished", None), ("D7", ("D", None), "dominant", None),
        ("E-maj7", ("E", "-1"), "major-seventh", None), ("C/E", ("C", None), "major", ("E", None)),
        ("Am/C#", ("A", None), "minor", ("C", "1")), ("Gsus4", ("G", None), "suspended-fourth", None),
    ],
)  # fmt: skip
def test_names_of_chords(name: str, root_: object, kind: str, bass: object) -> None:
    root = valid_musicxml(_named(name))
    harmony = root.find(f"{STAVES}//harmony")
    assert (harmony.findtext("root/root-step"), harmony.findtext("root/root-alter")) == root_
    assert harmony.findtext("kind") == kind
    found = harmony.find("bass")
    assert (None if found is None else (found.findtext("bass-step"), found.findtext("bass-alter"))) == bass
    assert harmony.findtext("offset") is not None


@pytest.mark.parametrize("name", ["H", "Gm?", "N.C.", "", "Cadd9b13", "+"])
def test_other_names_are_words(name: str) -> None:
    root = valid_musicxml(_named(name))
    assert root.find(".//harmony") is None
    assert (root.findtext(f"{STAVES}//words") or "") == name


def _named(name: str) -> Score:
    score = copied("| 1=X,3:3 |||")
    (measure,) = score.measures
    sign = ChordSign("c1", "", WHOLE // 2, name, "", named=True)
    return replace(score, measures=(replace(measure, chord_signs=(sign,)),))


# --- octaves that are restored --------------------------------------------------------------------------------


@pytest.mark.parametrize(("pin", "printed", "placement", "way"), [
    ("octave up", "4", "below", "an octave lower"), ("octave down", "2", "above", "an octave higher"),
])  # fmt: skip
def test_restored_octaves(pin: str, printed: str, placement: str, way: str) -> None:
    """A pinned note of E3 stands where it is meant, with a small 8 on the side where it sounds."""
    root = valid_musicxml(copied(f'| 1=2:0"a\n"a > {pin}'))
    (note,) = root.iterfind(f"{STAVES}//note[pitch]")
    assert (note.findtext("pitch/step"), note.findtext("pitch/octave")) == ("E", printed)
    assert way in note.findtext("footnote")
    (sign,) = root.xpath(f"{STAVES}//direction[direction-type/words='8']")
    assert sign.get("placement") == placement
    assert sign.find("direction-type/words").get("font-size") == "7"
    assert not root.xpath("//words[.='(8)']")


# --- lines that do not fit their bar --------------------------------------------------------------------------


@pytest.mark.parametrize("line", ["v 1=D5 4=D5", "v 2=D5", "v 1=D5 D5 D5", "v 4=- D5"])
def test_parts_stay_together_where_a_line_does_not_fit(line: str) -> None:
    """A fault, and reported as such; all parts of the bar are still as long as each other."""
    score = copied(f"| 1=X,3:3\n{line}\nb 1=C2\n| 1=X,3:3\nv 1=E5")
    root = valid_musicxml(score)
    for number in (1, 2):
        lengths = {_length(each.find(f"measure[{number}]")) for each in root.iterfind("part")}
        assert len(lengths) == 1
    heard = sung_by_music21(write_musicxml(score))
    assert [note.midi for note in heard] == [note.midi for note in sung_written(score)]


def _length(measure: etree._Element) -> int:
    at = longest = 0
    for element in measure:
        length = int(element.findtext("duration") or 0)
        if element.tag == "backup":
            at -= length
        elif element.tag == "forward" or (element.tag == "note" and element.find("chord") is None):
            at += length
        longest = max(longest, at)
    return longest


def test_same_copy_same_bytes() -> None:
    assert write_musicxml(copied(MUSIC)) == write_musicxml(copied(MUSIC))


@pytest.mark.parametrize("fullness", list(Fullness))
def test_every_fullness_is_valid(fullness: Fullness) -> None:
    valid_musicxml(copied(MUSIC, fullness=fullness))
