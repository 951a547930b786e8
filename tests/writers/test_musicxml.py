"""The MusicXML writer: the standard's schema, its own worked example, two independent readers, and each sign.

Where no other source stands beside a value, it is how the standard says a thing is written (W3C, MusicXML 4.0
reference).
"""

from __future__ import annotations

import re

import pytest
from lxml import etree

from pipeline.model.notes import Notehead, Ornament, Place
from pipeline.model.record import replace
from pipeline.model.score import Score
from pipeline.model.signs import Signs
from pipeline.model.time import Value
from pipeline.writers.musicxml import document, write_musicxml
from pipeline.writers.musicxml.pen import Pen
from tests.made import score as typed
from tests.outside.readback import (
    as_music21_places,
    differences,
    heads_by_partitura,
    heard_by_music21,
    heard_by_partitura,
    tablature_by_music21,
    tablature_written,
    written,
    written_heads,
)
from tests.outside.schemas import valid_musicxml
from tests.writers import scores

FRENCH = "longneck 1\ntitle Trial\ninstrument theorbo in A\nsigns french\nmetre none\n"


@pytest.fixture(scope="module")
def everything() -> etree._Element:
    return valid_musicxml(scores.everything())


# --- the whole ----------------------------------------------------------------------------------------------


def test_worked_example_of_the_standard() -> None:
    """Source: MusicXML 4.0 tutorial, tablature (PS): string 3, frets 5 7 8 7 5 on a guitar are C4 D4 Eb4 D4 C4, with
    durations 2 2 1 1 2 at divisions 2."""
    quarter, eighth = Value(4), Value(8)
    frets = ((5, "C4", quarter), (7, "D4", quarter), (8, "Eb4", eighth), (7, "D4", eighth), (5, "C4", quarter))
    root = valid_musicxml(scores.line([(3, fret, name, value) for fret, name, value in frets], scores.GUITAR))
    for part in root.findall("part"):
        assert part.findtext(".//divisions") == "2"
        notes = part.findall(".//note")
        assert [note.findtext("duration") for note in notes] == ["2", "2", "1", "1", "2"]
        assert [note.findtext("pitch/step") for note in notes] == ["C", "D", "E", "D", "C"]
        assert [note.findtext("pitch/alter") for note in notes] == [None, None, "-1", None, None]
        assert [note.findtext("pitch/octave") for note in notes] == ["4"] * 5
        assert [note.findtext("notations/technical/string") for note in notes] == ["3"] * 5
        assert [note.findtext("notations/technical/fret") for note in notes] == ["5", "7", "8", "7", "5"]


def test_readers_hear_what_the_score_holds() -> None:
    score = scores.everything()
    document_ = write_musicxml(score)
    assert differences(as_music21_places(score), heard_by_music21(document_)) == []
    assert differences(written(score), heard_by_partitura(document_)) == []
    assert differences(written_heads(score), heads_by_partitura(document_)) == []
    assert tablature_by_music21(document_) == tablature_written(score)


@pytest.mark.parametrize(
    ("path", "change"),
    [
        ("pitch/octave", "7"),
        ("pitch/step", "C"),
        ("duration", "11"),
        ("voice", "2"),
        ("staff", "2"),
    ],
)
def test_readers_hear_a_wrong_note(path: str, change: str) -> None:
    """The comparison itself: one thing changed in one note, and both readers tell."""
    score = scores.everything()
    root = etree.fromstring(write_musicxml(score))
    root.find(f".//note[@id='n-b2e5c1']/{path}").text = change
    spoilt = etree.tostring(root)
    assert differences(as_music21_places(score), heard_by_music21(spoilt))
    assert differences(written(score), heard_by_partitura(spoilt))


def test_readers_hear_a_missing_tie() -> None:
    score = scores.everything()
    root = etree.fromstring(write_musicxml(score))
    note = root.find(".//note[@id='n-b2e1c10']")
    note.remove(note.find("tie"))
    note.find("notations").remove(note.find("notations/tied"))
    spoilt = etree.tostring(root)
    assert differences(as_music21_places(score), heard_by_music21(spoilt))
    assert differences(written(score), heard_by_partitura(spoilt))


def test_same_score_same_bytes() -> None:
    first, second = write_musicxml(scores.everything()), write_musicxml(scores.everything())
    assert first == second
    assert not re.search(rb"\d{4}-\d\d-\d\d", first)


class _Forgetful(dict[object, object]):
    """Keeps nothing."""

    def __setitem__(self, key: object, value: object) -> None:
        pass


def test_copied_notes_are_as_if_built(monkeypatch: pytest.MonkeyPatch) -> None:
    """Notes are copied from like ones; without that, the same bytes must come out."""

    class Slow(Pen):
        def __init__(self, score: Score) -> None:
            super().__init__(score)
            self.models = _Forgetful()  # type: ignore[assignment]

    music = "\n".join(
        [
            "| 4=X,4:2,3:3 8=3:5 _3:6 4'r=7,4:3,3:3 16=2:0 _2:1 1:0 _1:2",
            "| 8/3=X,4:2 3:3 _3:5 4.=5:3,3:2 8=1:0 2=8,4:2!,3:1?",
            "| 4=X-,4:2 3:3 8=3:3'2 3:3'i 3:3. 3:3..",
        ]
    )
    made = [scores.everything(), typed(music)]
    quick = [write_musicxml(score) for score in made]
    monkeypatch.setattr(document, "Pen", Slow)
    assert [write_musicxml(score) for score in made] == quick


def test_empty_score_is_valid() -> None:
    """A part must have a measure (MusicXML 4.0, element part): it has one with a rest."""
    assert [len(part) for part in valid_musicxml(scores.score(())).iter("part")] == [1, 1]


# --- each sign: what everything() holds, and how it is written ---------------------------------------------

STAVES = "part[@id='staves']"
TAB = "part[@id='tablature']"


@pytest.mark.parametrize(
    ("path", "count"),
    [
        # head of the document
        ("work/work-title", 1),
        ("identification/creator[@type='composer']", 1),
        ("identification/creator[@type='editor']", 1),
        ("credit[credit-type='title']", 1),
        ("credit[credit-type='subtitle']", 1),
        ("credit[credit-type='instrument']", 2),
        ("credit[credit-type='footnotes']", 3),
        # two staves and a brace
        (f"{STAVES}//attributes/staves", 1),
        (f"{STAVES}//attributes[part-symbol='brace']", 1),
        (f"{STAVES}//clef", 2),
        # ties are heard and seen
        (f"{STAVES}//tie[@type='start']", 2),
        (f"{STAVES}//tie[@type='stop']", 2),
        (f"{STAVES}//notations/tied[@type='start']", 2),
        (f"{STAVES}//notations/tied[@type='stop']", 2),
        # beams over two staves, groups, stems
        (f"{STAVES}//beam[@number='1'][.='begin']", 1),
        (f"{STAVES}//note[staff='2']/beam[@number='1'][.='end']", 1),
        (f"{STAVES}//tuplet[@type='start']", 1),
        (f"{STAVES}//tuplet[@type='stop']", 1),
        (f"{STAVES}//time-modification[actual-notes='3'][normal-notes='2']", 3),
        (f"{STAVES}//stem[.='none']", 1),
        # slurs: the editor's are dashed
        (f"{STAVES}//slur[@type='start'][@line-type='dashed']", 1),
        (f"{TAB}//slur[@type='start'][not(@line-type)]", 1),
        # an arpeggio over three voices and two staves
        (f"{STAVES}//arpeggiate[@number='1'][not(@direction)][@unbroken='yes']", 3),
        (f"{STAVES}//other-notation[@print-object='no'][.='courses in order: 10 3 2']", 1),
        # hands
        (f"{STAVES}//technical/up-bow", 1),
        # where a head is stopped is told, and not to be printed: slurs and the like stand before it
        (f"{STAVES}//notations[not(@print-object)]/technical[string or fret]", 0),
        (f"{STAVES}//notations[@print-object='no']/*[not(self::technical)]", 0),
        (f"{STAVES}//slur/../preceding-sibling::notations", 0),
        (f"{TAB}//notations[@print-object]/technical", 0),
        (f"{STAVES}//technical/fingering[.='2']", 1),
        (f"{STAVES}//technical/pluck[.='i']", 1),
        (f"{TAB}//other-notation[.='..'][@placement='below']", 1),
        (f"{TAB}//other-notation[.='barre']", 1),
        # ornaments
        (f"{STAVES}//ornaments/trill-mark[@placement='above']", 1),
        (f"{STAVES}//notations[level[@bracket='yes']]/ornaments/other-ornament[.='x']", 1),
        (f"{TAB}//ornaments/other-ornament[.='t']", 1),
        # the editor's hand
        (f"{STAVES}//note[level[@bracket='yes'][.='supplied']][notehead[@parentheses='yes']]", 1),
        (f"{STAVES}//note/level[.='doubtful'][not(@bracket)]", 1),
        (f"{STAVES}//accidental[@cautionary='yes'][@parentheses='yes'][.='sharp']", 1),
        (f"{STAVES}//direction/direction-type/words[.='?']", 1),
        (f"{TAB}//direction[direction-type/words='[' and direction-type/symbol='luteDurationHalf']", 1),
        # restored octaves: sign and note at the foot, at the note too
        (f"{STAVES}//direction[@placement='above'][direction-type/words='(8)'][contains(footnote,'above')]", 1),
        (f"{STAVES}//direction[direction-type/words='(8?)'][contains(footnote,'perhaps')]", 1),
        (f"{STAVES}//note[@id='n-b2e1c2'][contains(footnote,'(8)')][contains(footnote,'1 in the source')]", 1),
        (f"{STAVES}//dashes[@type='start']", 1),
        (f"{STAVES}//dashes[@type='stop']", 1),
        (f"{STAVES}//direction[direction-type/words='camp.']//bracket[@type='start'][@line-type='dashed']", 1),
        (f"{STAVES}//bracket[@type='stop']", 1),
        # form
        (f"{STAVES}//repeat[@direction='forward']", 1),
        (f"{STAVES}//repeat[@direction='backward']", 1),
        (f"{STAVES}//ending[@type='start']", 2),
        (f"{STAVES}//ending[@type='stop']", 2),
        (f"{STAVES}//bar-style[.='dashed']", 1),
        (f"{STAVES}//measure[@implicit='yes']", 1),
        (f"{STAVES}//rest[@measure='yes']", 1),
        (f"{STAVES}//fermata", 1),
        # words
        (f"{TAB}//words[@font-weight='bold'][.='Prima \ufffdparte']", 1),
        (f"{STAVES}//words[.='Adagio']", 1),
        (f"{TAB}//words[.='| f. 3v']", 1),
        (f"{TAB}//words[.='÷']", 1),
        (f"{TAB}//words[.='etc.']", 1),
        (f"{TAB}//words[.='Retune 8 to F sharp']", 1),
        (f"{STAVES}//direction[@placement='below'][staff='2'][direction-type/words='ut supra']", 1),
        # tablature
        (f"{TAB}//clef[sign='TAB']", 1),
        (f"{TAB}//note[@id='t-b2e1c10'][.//string='10'][.//fret='0'][.//other-notation='X']", 1),
        (f"{TAB}//note[rest]//other-notation[.='course 2: illegible']", 1),
        (f"{TAB}//bracket[@line-type='solid']", 2),
        (f"{TAB}//note[rest][not(@print-object)][not(.//other-notation)]", 1),
        (f"{TAB}//note[rest][@print-object='no']", 1),
        (f"{TAB}//symbol[.='luteDurationWhole']", 1),
        (f"{TAB}//scordatura", 2),
    ],
)  # fmt: skip
def test_sign_is_written(everything: etree._Element, path: str, count: int) -> None:
    assert len(everything.xpath(path)) == count


def test_tablature_stands_above_the_staves(everything: etree._Element) -> None:
    assert [part.get("id") for part in everything.iterfind("part-list/score-part")] == ["tablature", "staves"]
    assert [part.get("id") for part in everything.iterfind("part")] == ["tablature", "staves"]
    assert everything.findtext("part-list/part-group/group-barline") == "yes"


def test_words_between_notes_have_an_offset(everything: etree._Element) -> None:
    """``piano`` begins a semiquaver into the third beat: 3 divisions of 12 to the crotchet."""
    words = everything.xpath(f"{TAB}//direction[direction-type/words='piano']")[0]
    assert words.findtext("offset") == "3"
    assert words.getnext().get("id") == "t-b2e4c5"


def test_lines_and_tuning_italian(everything: etree._Element) -> None:
    """Italian: the bottom line is course 1 (PS/CP); lines are counted from the bottom. Tuning: Spencer 1976 (PS)."""
    details = everything.find(f"{TAB}//staff-details")
    assert details.get("show-frets") == "numbers"
    assert _tuning(details) == {1: "A3", 2: "E3", 3: "B3", 4: "G3", 5: "D3", 6: "A2"}
    strings = {
        int(accord.get("string")): accord.findtext("tuning-step") + accord.findtext("tuning-octave")
        for accord in everything.find(f"{TAB}//scordatura")
    }
    assert strings == {7: "G2", 8: "F2", 9: "E2", 10: "D2", 11: "C2", 12: "B1", 13: "A1", 14: "G1"}


def test_lines_and_tuning_french() -> None:
    """French: the top line is course 1 (PS-inf)."""
    root = valid_musicxml(typed("| /a,4c,3b,2b 5e,3d,1a", FRENCH))
    details = root.find(f"{TAB}//staff-details")
    assert details.get("show-frets") == "letters"
    assert _tuning(details) == {6: "A3", 5: "E3", 4: "B3", 3: "G3", 2: "D3", 1: "A2"}
    frets = [note.findtext(".//fret") for note in root.iterfind(f"{TAB}//note")]
    assert frets == ["0", "2", "1", "1", "4", "3", "0"]
    assert root.xpath(f"{TAB}//other-notation[.='/a']")


def _tuning(details: etree._Element) -> dict[int, str]:
    return {
        int(line.get("line")): line.findtext("tuning-step") + line.findtext("tuning-octave")
        for line in details.iterfind("staff-tuning")
    }


def test_tuning_stays_until_it_is_changed() -> None:
    """A retuned course on the lines is told where it happens; a change of metre says nothing of the strings."""
    music = "| 1=3:0\nretune 3 = C4, 8 = F#2\n| 1=3:0\nmetre 3/2\n| 1.=3:0"
    root = valid_musicxml(typed(music, "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n"))
    first, second, third = root.find(TAB)
    assert _tuning(first.find(".//staff-details"))[3] == "B3"
    assert _tuning(second.find(".//staff-details"))[3] == "C4"
    assert [accord.get("string") for accord in second.iter("accord")] == ["3", "8"]
    assert third.find("attributes/time") is not None
    assert third.find(".//staff-details") is None
    assert [note.findtext("pitch/step") for note in root.iterfind(f"{TAB}//note")] == ["B", "C", "C"]


@pytest.mark.parametrize("signs", list(Signs))
def test_valid_in_both_systems_of_signs(signs: Signs) -> None:
    valid_musicxml(replace(scores.everything(), signs=signs))


@pytest.mark.parametrize(
    ("meaning", "tag"),
    [
        ("trill", "trill-mark"),
        ("tremblement", "trill-mark"),
        ("Mordent", "mordent"),
        ("turn", "turn"),
        ("slide", "schleifer"),
        ("trill from above", "other-ornament"),
        ("port de voix", "other-ornament"),
        ("", "other-ornament"),
    ],
)
def test_ornaments_by_declared_meaning(meaning: str, tag: str) -> None:
    """Only a meaning that the standard names itself becomes its element; else the sign is kept as printed."""
    stops = [(3, 5, "E4", Value(1))]
    score = scores.line(stops, scores.THEORBO)
    root = valid_musicxml(_with_heads(score, ornaments=(Ornament("#", meaning, Place.BELOW),)))
    (sign,) = root.find(f"{STAVES}//ornaments")
    assert sign.tag == tag
    assert sign.get("placement") == "below"
    assert sign.text == ("#" if tag == "other-ornament" else None)


def _with_heads(score: Score, **change: object) -> Score:
    """The score with every head changed."""

    def head(old: Notehead) -> Notehead:
        return replace(old, **change)  # type: ignore[arg-type]

    measures = tuple(
        replace(
            measure,
            layers=tuple(
                replace(
                    layer,
                    events=tuple(replace(event, heads=tuple(map(head, event.heads))) for event in layer.events),
                )
                for layer in measure.layers
            ),
        )
        for measure in score.measures
    )
    return replace(score, measures=measures)
