"""Ornaments over a voice, typed or from a notation file, and words under the notes of a file: music21 reads the
MusicXML that comes out, the published schema of MEI the MEI; sources are by music21, or by hand after ABC 2.1."""

from __future__ import annotations

from typing import Any

import pytest
from lxml import etree
from music21 import converter, expressions, meter, note, stream
from music21.musicxml.m21ToXml import GeneralObjectExporter

from pipeline.model.artefacts import Form
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.model.voicefile import VoiceFile
from pipeline.piece import build_piece
from tests.writers.mei_schema import faults

HEADING = 'longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\nmark T = "t" trill, above\n'
NAMESPACE = {"m": "http://www.music-encoding.org/ns/mei"}


def built(
    heading: str, music: str, file: VoiceFile | None = None, **asked: object
) -> tuple[dict[str, bytes], tuple[Diagnostic, ...]]:
    forms = (Form.MUSICXML, Form.MEI, Form.EVENTS)
    options = Options(forms=forms, **asked)  # type: ignore[arg-type]
    source = SourceText.of("trial.intav", f"{HEADING}{heading}\n{music}\n")
    made = build_piece(source, (), options, {file.name: file} if file else {})
    return dict(made.artefacts), made.diagnostics


def voice(content: bytes) -> list[Any]:
    """The notes of the first part."""
    return list(converter.parseData(content, format="musicxml").parts[0].flatten().notes)


def signs(each: Any) -> list[str]:
    return [type(sign).__name__ for sign in each.expressions]


@pytest.mark.parametrize("name", ["edition", "reduction"])
def test_a_typed_trill_stands_in_every_form(name: str) -> None:
    artefacts, found = built("layer v = Canto, clef C1", "| 2=7,3:0 8,3:1 |||\nv 2'T=D5 2'T!=C5")
    assert not found
    assert [signs(each) for each in voice(artefacts[f"{name}.musicxml"])] == [["Trill"], ["Trill"]]
    mei = etree.fromstring(artefacts[f"{name}.mei"])
    at = mei.xpath("//m:ornam[@staff='1']/@startid", namespaces=NAMESPACE)
    assert at == ["#v-b1n1", "#v-b1n2"]
    assert "t" in mei.xpath("string(//m:ornam[@startid='#v-b1n1'])", namespaces=NAMESPACE)
    assert "[t]" in mei.xpath("string(//m:ornam[@startid='#v-b1n2'])", namespaces=NAMESPACE), "added by the editor"
    assert faults(artefacts[f"{name}.mei"]) == []


def test_an_undeclared_mark_over_a_voice_is_a_finding() -> None:
    _, found = built("layer v = Canto, clef C1", "| 1=7,3:0 |||\nv 1'W=D5")
    assert [one.code.slug for one in found] == ["undeclared-mark"]


KINDS = {
    expressions.Trill: "trill",
    expressions.Turn: "turn",
    expressions.InvertedTurn: "turn",
    expressions.Mordent: "mordent",
    expressions.InvertedMordent: "mordent",
}


def part() -> stream.Part:
    made = stream.Part()
    made.append(meter.TimeSignature("5/4"))
    for kind in KINDS:
        sung = note.Note("C5", quarterLength=1)
        sung.expressions.append(kind())
        made.append(sung)
    return made


@pytest.mark.parametrize("suffix", ["musicxml", "krn"])
def test_ornaments_of_a_file_are_kept(suffix: str) -> None:
    if suffix == "musicxml":
        data, kinds = GeneralObjectExporter(part()).parse(), list(KINDS)
    else:  # kern: T t trills, S a turn, $ an inverted one, M m mordents, W w inverted ones (its reference)
        data, kinds = b"**kern\n*M5/4\n4ccT\n4ccS\n4cc\n4ccM\n4ccW\n=\n*-\n", list(KINDS)
        kinds[2] = None  # type: ignore[call-overload]
    file = VoiceFile(f"canto.{suffix}", data)
    music = "| 4=7,3:0 3:0 3:2 3:0 3:0 |||"
    heading = f"metre 5/4\nlayer v = Canto, clef C1, from canto.{suffix}"
    text = f"{HEADING.replace('metre C', 'metre 5/4')}"
    options = Options(forms=(Form.MUSICXML, Form.MEI, Form.EVENTS))
    source = SourceText.of("trial.intav", f"{text}{heading.partition(chr(10))[2]}\n{music}\n")
    artefacts = dict(build_piece(source, (), options, {file.name: file}).artefacts)
    for name in ("edition", "reduction"):
        got = [each.expressions[0] if each.expressions else None for each in voice(artefacts[f"{name}.musicxml"])]
        for sign, kind in zip(got, kinds, strict=True):
            assert sign is None if kind is None else isinstance(sign, kind)
        mei = etree.fromstring(artefacts[f"{name}.mei"])
        drawn = [etree.QName(each).localname for each in mei.iter("{*}trill", "{*}turn", "{*}mordent")]
        assert sorted(drawn) == sorted(KINDS[kind] for kind in kinds if kind)
        assert faults(artefacts[f"{name}.mei"]) == []


def test_what_is_not_read_is_named() -> None:
    """ABC 2.1, 4.14: T a trill, ~ a roll, M and P mordents, others by name."""
    heading = "layer v = Canto, clef C1, from canto.abc"
    tune = b"X:1\nT:Tune\nM:4/4\nL:1/4\nK:C\nTG ~A !turn!B !fermata!c |]\n"
    _, found = built(heading, "| 1=7,3:0 |||", VoiceFile("canto.abc", tune))
    said = [one.message for one in found if one.code.slug == "voice-file-part"]
    assert said == ["canto.abc: signs over its notes are not read: trill, roll, turn, fermata."]
    _, found = built(heading, "| 1=7,3:0 |||", VoiceFile("canto.abc", b"X:1\nT:Tune\nM:4/4\nL:1/4\nK:C\nG A B c |]\n"))
    assert not found


ABC = VoiceFile("canto.abc", b"X:1\nT:Tune\nM:4/4\nL:1/4\nK:C\nG2 A2 | B4 | c4 |]\n")


def test_words_are_typed_under_the_notes_of_a_file() -> None:
    music = "| 2=7,3:0 8,3:1\nv\n1 Lan- gue\n2 Pas- sa\n| 1=7,3:0\n| 1=8,3:1 |||\nv\n1 la\n2 no"
    artefacts, found = built("layer v = Canto, clef C1, from canto.abc", music, ABC)
    assert not found
    for name in ("edition", "reduction"):
        sung = voice(artefacts[f"{name}.musicxml"])
        assert [[(lyric.number, lyric.text) for lyric in each.lyrics] for each in sung] == [
            [(1, "Lan"), (2, "Pas")],
            [(1, "gue"), (2, "sa")],
            [],
            [(1, "la"), (2, "no")],
        ]


def test_they_are_counted_as_under_typed_notes() -> None:
    music = "| 2=7,3:0 8,3:1\nv\n1 Lan- gue la\n| 1=7,3:0\n| 1=8,3:1 |||"
    _, found = built("layer v = Canto, clef C1, from canto.abc", music, ABC)
    assert [(one.code.slug, one.span.line) for one in found] == [("too-many-syllables", 9)]


def test_a_line_without_notes_needs_a_file() -> None:
    _, found = built("layer v = Canto, clef C1", "| 1=7,3:0 |||\nv")
    assert [(one.code.slug, one.message) for one in found] == [("syntax", "Expected a note after “v”.")]


def test_a_stanza_that_is_typed_is_not_taken_from_the_file() -> None:
    sung = stream.Part()
    sung.append([meter.TimeSignature("4/4"), note.Note("C5", quarterLength=4, lyric="old")])
    file = VoiceFile("canto.musicxml", GeneralObjectExporter(sung).parse())
    artefacts, found = built("layer v = Canto, clef C1, from canto.musicxml", "| 1=7,3:0 |||\nv\n1 new", file)
    assert [each.lyric for each in voice(artefacts["edition.musicxml"])] == ["new"]
    assert [one.code.slug for one in found] == ["voice-file-unused"]
