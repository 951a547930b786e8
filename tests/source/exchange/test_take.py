"""What is taken over from files that others have made, what is listed, and what is refused.

The small documents follow the descriptions of the standards. Where a file of another project is at hand with an
installed package, it is read as it stands.
"""

from __future__ import annotations

import io
import time
import zipfile
from pathlib import Path

import music21
import pytest

from pipeline.edition.leading import check_piece
from pipeline.model.diagnostics import Severity
from pipeline.model.text import SourceText
from pipeline.source.exchange import Taken, take
from tests.source.exchange.documents import TUNED, fret, group, mei, musicxml

MUSIC21 = Path(music21.__file__).parent / "musicxml"


def music(taken: Taken) -> list[str]:
    """The lines of the body."""
    return taken.text.partition("\n\n")[2].splitlines()


def slugs(taken: Taken) -> set[str]:
    return {one.code.slug for one in taken.diagnostics}


def lost(taken: Taken) -> str:
    return "\n".join(one.message for one in taken.diagnostics if one.code.slug == "not-taken-over")


def errors(text: str) -> list[str]:
    found = check_piece(SourceText.of("piece.intav", text))
    return [one.message for one in found if one.severity is Severity.ERROR]


# --- MEI -------------------------------------------------------------------------------------------------


def test_a_group_is_an_event_and_its_symbol_the_sign() -> None:
    """PS: MEI Guidelines, tablature chapter: ``tabDurSym`` is the sign, ``tabGrp`` the event, its ``dur`` the value."""
    taken = take("a.mei", mei(group((6, 0), (1, 3), dur="2") + group((2, 1), dur="2", sign=False)))
    assert music(taken) == ["| 2=6:0,1:3 2:1"]
    assert "instrument lute in G, 6 courses" in taken.text
    assert errors(taken.text) == []


def test_values_may_be_gestural() -> None:
    """As in examples of the standard's interest group for tablature, of version 3."""
    taken = take("a.mei", mei('<tabGrp dur.ges="2"><tabDurSym/><note tab.course="1" tab.fret="5"/></tabGrp>' * 2))
    assert music(taken) == ["| 2=1:5 2=1:5"]


@pytest.mark.parametrize(
    ("kind", "typed", "heading"),
    [
        ("tab.lute.italian", "| 2=6:0,1:3 6:0,1:3", "signs italian\n"),
        ("tab.lute.french", "| 2=6a,1d 6a,1d", "signs french\n"),
        ("tab.guitar", "| 2=6:0,1:3 6:0,1:3", "signs italian\nlines 6, course 1 above\n"),
    ],
)
def test_each_kind_of_tablature_has_its_signs(kind: str, typed: str, heading: str) -> None:
    """PS: MEI 5.1, data.NOTATIONTYPE."""
    taken = take("a.mei", mei(group((6, 0), (1, 3)) + group((6, 0), (1, 3), sign=False), kind=kind))
    assert music(taken) == [typed]
    assert heading.replace("lines 6, ", "lines ") in taken.text or heading in taken.text


def test_what_an_editor_did_is_typed_as_such() -> None:
    """PS: MEI Guidelines, editorial markup: choice, supplied, unclear, gap."""
    layer = group(
        more='<choice><sic><note tab.course="2" tab.fret="4"/></sic><corr><note tab.course="2" tab.fret="0"/></corr>'
        '</choice><supplied reason="lost"><note tab.course="1" tab.fret="5"/></supplied>'
    ) + group(
        more='<unclear><note tab.course="3" tab.fret="3"/></unclear><supplied><note tab.course="1" tab.fret="2"/>'
        '</supplied><gap reason="illegible"/>',
        sign=False,
    )
    assert music(take("a.mei", mei(layer))) == ["| 2=2:0!2:4,1:5!* 3:3?,1:2!,?"]


def test_readings_of_other_sources_become_note_lines() -> None:
    layer = group(
        more='<app><lem><note tab.course="2" tab.fret="0"/></lem><rdg source="#s9"><note tab.course="2" tab.fret="2"/>'
        "</rdg></app>"
    ) + group((1, 0), sign=False)
    taken = take("a.mei", mei(layer))
    assert music(taken) == ['| 2=2:0"a 1:0', '"a !A 2:2']
    assert "source A = s9" in taken.text
    assert "assumed-in-taking-over" in slugs(taken)
    assert errors(taken.text) == []


def test_marks_slurs_words_and_notes_stand_where_they_belong() -> None:
    layer = (
        group((1, 0), ident="g1", dur="4") + group((1, 2), ident="g2", dur="4", sign=False) + group((2, 0), ident="g3")
    )
    after = (
        '<slur startid="#g1c1" endid="#g2c1"/><fermata startid="#g3"/><trill startid="#g3c2"/>'
        '<dir startid="#g2">piano</dir><annot plist="#g3c2">smudged</annot><fing startid="#g1c1">2</fing>'
    )
    taken = take("a.mei", mei(layer, after=after, head="<title>P</title><editor>Ann Bee</editor>"))
    assert music(taken) == [
        "| 4=1:0'2 \"a_1:2".replace('"a_1:2', '"a=_1:2') + " 2'f=2:0\"b'T",
        '"a : piano',
        '"b AB: smudged',
    ]
    assert 'mark T = "tr" trill, after' in taken.text
    assert errors(taken.text) == []


def test_a_voice_comes_with_its_words() -> None:
    staff = (
        '<staff n="2"><layer><note pname="d" oct="5" dur="4"><verse n="1"><syl con="d" wordpos="i">lan</syl></verse>'
        "</note>"
        '<note pname="b" oct="4" dur="4" accid.ges="f"><verse n="1"><syl wordpos="t">gue</syl></verse></note>'
        '<note pname="b" oct="4" dur="2" accid="n"/></layer></staff>'
    )
    taken = take("a.mei", mei(group((1, 0)) + group((1, 2), sign=False), staff=staff))
    assert music(taken) == ["| 2=1:0 1:2", "v 4=D5 B4 2=Bn4", "1 lan- gue _"]
    assert "layer v = Canto, clef C1, 1 flat" in taken.text
    assert errors(taken.text) == []


def test_breaks_repeats_and_endings() -> None:
    data = mei(group((1, 0), dur="1"), group((1, 2), dur="1"), group((1, 3), dur="1"))
    text = data.decode()
    text = text.replace('<measure n="2" xml:id="m2">', '<sb/><ending n="1"><measure n="2" right="rptend">')
    text = text.replace(
        '</measure><measure n="3" xml:id="m3">',
        '</measure></ending><pb n="4v"/><ending n="2"><measure n="3" right="end">',
    )
    text = text.replace("</measure></section>", "</measure></ending></section>")
    taken = take("a.mei", text.encode())
    assert music(taken) == [
        "| 1=1:0",
        "&",
        "ending 1",
        "| 1=1:2 .||",
        "",
        "&4v",
        "ending 2",
        "| 1=1:3 |||",
        "ending end",
    ]
    assert errors(taken.text) == []


def test_what_cannot_be_typed_is_listed_with_its_place() -> None:
    after = '<octave xml:id="o1" startid="#x"/><pedal tstamp="1" staff="1"/>'
    taken = take("a.mei", mei(group((1, 0)) + "<custos/>" + group((1, 2), sign=False), after=after))
    assert "<octave>: measure 1 o1." in lost(taken)
    assert "<pedal>: measure 1." in lost(taken)
    assert "<custos> in the tablature: measure 1." in lost(taken)


def test_a_contradicted_pitch_is_found_at_both_places() -> None:
    note = '<note xml:id="n1" pname="a" oct="4" tab.course="1" tab.fret="3"/>'
    taken = take("a.mei", mei(f'<tabGrp dur="1"><tabDurSym/>{note}</tabGrp>'))
    (found,) = [one for one in taken.diagnostics if one.code.slug == "pitch-against-tuning"]
    assert "#n1: the file says A4, but fret 3 on course 1 (G4)" in found.message
    assert [other.message for other in found.related] == ["course 1 is tuned to G4 here"]
    right = note.replace('pname="a"', 'pname="b" accid.ges="f"')
    assert "pitch-against-tuning" not in slugs(take("a.mei", mei(f'<tabGrp dur="1"><tabDurSym/>{right}</tabGrp>')))


@pytest.mark.parametrize(
    "tuning",
    [
        "",
        '<tuning tuning.standard="lute.of.mars"/>',
        TUNED.replace('n="6"', 'n="8"'),
        '<tuning><course n="1" pname="g" oct="4"/></tuning>',
    ],
)
def test_without_a_whole_tuning_no_pitch_is_claimed(tuning: str) -> None:
    taken = take("a.mei", mei(group((6, 0), (1, 3)) + group((1, 0), sign=False), tuning=tuning))
    assert "no-tuning" in slugs(taken)
    assert "instrument of unknown tuning" in taken.text
    assert music(taken) == ["| 2=6:0,1:3 1:0"]
    assert errors(taken.text) == []


def test_an_odd_tuning_is_declared_course_by_course() -> None:
    taken = take(
        "a.mei", mei(group((6, 0)) + group((1, 0), sign=False), tuning=TUNED.replace('"a" oct="3"', '"b" oct="3"'))
    )
    assert "instrument of 6 courses\ncourse 1 = G4\ncourse 2 = D4\ncourse 3 = B3\n" in taken.text
    assert errors(taken.text) == []


def test_a_tuning_that_the_standard_names() -> None:
    taken = take(
        "a.mei", mei(group((6, 0)) + group((1, 0), sign=False), tuning='<tuning tuning.standard="guitar.standard"/>')
    )
    assert "instrument mandora in E, 6 courses" in taken.text  # tuned alike, and the file gives no name


# --- MusicXML --------------------------------------------------------------------------------------------


def test_strings_and_frets_are_courses_and_figures() -> None:
    taken = take(
        "a.musicxml",
        musicxml(
            fret(1, 3, ("B", 4), "<fermata/>").replace("B</step>", "B</step><alter>-1</alter>") + fret(6, 0, ("G", 2))
        ),
    )
    assert music(taken) == ["| 2'f=1:3 6:0"]
    assert "instrument lute in G, 6 courses" in taken.text
    assert slugs(taken) == {"assumed-in-taking-over"}  # no stems are told, so every new value is a sign
    assert errors(taken.text) == []


def test_slurs_and_ornaments_of_musicxml() -> None:
    start, stop = ('<slur type="start"/>', '<slur type="stop"/><ornaments><trill-mark/></ornaments>')
    taken = take("a.musicxml", musicxml(fret(2, 0, ("D", 4), start) + fret(2, 2, ("E", 4), stop)))
    assert music(taken) == ["| 2=2:0 _2:2'T"]


def test_a_guitar_written_an_octave_higher_is_one_finding() -> None:
    notes = "".join(
        fret(6, at, pitch, kind="quarter", length=1)
        for at, pitch in ((0, ("G", 3)), (2, ("A", 3)), (4, ("B", 3)), (5, ("C", 4)))
    )
    taken = take("a.musicxml", musicxml(notes))
    assert [one.message for one in taken.diagnostics if one.code.slug == "pitch-against-tuning"] == [
        "Every pitch in the file is 12 semitones higher than course and fret on its tuning."
    ]


def test_packed_musicxml() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("a.xml", musicxml(fret(1, 0, ("G", 4)) * 2))
    assert music(take("a.mxl", packed.getvalue())) == ["| 2=1:0 1:0"]


def test_a_tablature_of_music21_without_pitches() -> None:
    """``testTab.xml`` of music21: four notes, D4 etc. by string and fret, no pitch, no tuning."""
    taken = take("testTab.xml", (MUSIC21 / "testTab.xml").read_bytes())
    assert music(taken) == ["| 4=4:7 4:4 1:0 2:3"]
    assert "no-tuning" in slugs(taken)
    assert errors(taken.text) == []


def test_the_tablatures_of_a_test_suite() -> None:
    """71e of the MusicXML test suite that music21 carries: eight parts without stems; the first is a guitar."""
    taken = take("71e.xml", (MUSIC21 / "lilypondTestSuite" / "71e-TabStaves.xml").read_bytes())
    assert music(taken) == ["| 4:5 2:17 2:1 4:2", "| 6:4,4:4,3:0 5:5 3:1 1:0 |||"]
    assert "instrument Guitar\nfrets 8, 17\ncourse 1 = E4\ncourse 2 = B3\n" in taken.text
    assert "further parts of tablature; split the file: part P2, part P3" in lost(taken)
    assert errors(taken.text) == []


def test_chord_diagrams_are_no_tablature() -> None:
    taken = take("71c.xml", (MUSIC21 / "lilypondTestSuite" / "71c-ChordsFrets.xml").read_bytes())
    assert taken.text == ""
    assert slugs(taken) == {"exchange-file-broken"}


# --- files that are refused ------------------------------------------------------------------------------

_DEEP = b"<mei>" + b"<section>" * 5_000 + b"</section>" * 5_000 + b"</mei>"
REFUSED = {
    "nothing": b"",
    "no XML": b"| 4=3:2",
    "cut off": mei(group((1, 0)))[:400],
    "another root": b"<html/>",
    "an entity": b'<!DOCTYPE mei [<!ENTITY a "b">]><mei>&a;</mei>',
    "a billion laughs": b'<!DOCTYPE mei [<!ENTITY a "aa"><!ENTITY b "&a;&a;&a;&a;">]><mei>&b;</mei>',
    "a file of the machine": b'<!DOCTYPE mei [<!ENTITY a SYSTEM "file:///etc/passwd">]><mei>&a;</mei>',
    "another document": b'<mei xmlns:xi="http://www.w3.org/2001/XInclude"><xi:include href="http://x.invalid/"/></mei>',
    "five thousand levels": _DEEP,
    "no tablature": b"<mei><music><body><mdiv><score/></mdiv></body></music></mei>",
    "half a million elements": b"<mei>" + b"<a/>" * 500_000 + b"</mei>",
    "names given twice": mei(group((1, 0), ident="g1") * 40),
    "an archive of nothing": b"PK\x03\x04" + bytes(40),
    "a note of a year": musicxml(fret(1, 0, ("G", 4), length=999_999_999)),
    "measures without tablature": mei("").replace(b"tab.lute.italian", b"cmn").replace(TUNED.encode(), b""),
}


@pytest.mark.parametrize("name", REFUSED)
def test_hostile_files_are_refused_with_one_finding(name: str) -> None:
    taken = take("a.mei", REFUSED[name])
    assert taken.text == ""
    (found,) = taken.diagnostics
    assert found.severity is Severity.ERROR
    assert len(found.message) < 300


BORNE = {
    "huge numbers": group((1, 0)).replace('tab.fret="0"', f'tab.fret="{"9" * 4_000}"') + group((1, 0), dur="9" * 4_000),
    "tuplets of nothing": '<tuplet num="0" numbase="0">'
    + group((1, 0))
    + "</tuplet>"
    + '<tuplet num="64" numbase="63">'
    + group((1, 0))
    + "</tuplet>",
    "a thousand slurs to one note": group((1, 0), ident="g1") + group((1, 2), ident="g2"),
    "choices in choices": "<choice><corr>" * 60 + group((1, 0)) + "</corr></choice>" * 60,
    "a title of a megabyte": group((1, 0)),
}


def test_a_bar_of_two_thousand_slurs_ends_soon() -> None:
    count = 2_000
    layer = "".join(group((1, 2), dur="4", sign=False, ident=f"g{at}-") for at in range(count))
    after = "".join(
        f'<slur startid="#g{at}-c1" endid="#g{at + 1}-c1"/><dir tstamp="{at + 1}" staff="1">so</dir>'
        for at in range(count - 1)
    )
    start = time.process_time()
    taken = take("a.mei", mei(layer, after=after))
    assert time.process_time() - start < 10
    assert taken.text.count("_1:2") == count - 1


@pytest.mark.parametrize("name", BORNE)
def test_hostile_music_is_borne(name: str) -> None:
    after = '<slur startid="#g1c1" endid="#g2c1"/>' * 1_000 if "slurs" in name else ""
    head = f"<title>{'T ' * 500_000}</title>" if "title" in name else "<title>T</title>"
    taken = take("a.mei", mei(BORNE[name], after=after, head=head))
    assert taken.text.startswith("longneck 1\n")
