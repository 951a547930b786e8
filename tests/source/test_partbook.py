"""Lines taken from notation files: read by music21, refused where they are broken or unsafe, laid bar by bar.

The little files are written here by hand after the formats' own descriptions (MusicXML 4.0, ABC 2.1, kern, Standard
MIDI Files 1.0), or by music21 from a stream.
"""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest

from pipeline.folder.batch import Job, check_one
from pipeline.folder.files import PieceFile, read_voice_file
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.song import Song
from pipeline.model.text import SourceText
from pipeline.model.voicefile import VoiceFile
from pipeline.source.declare import files_named
from pipeline.source.read import song_of, sounding_piece

TYPE = '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://x.invalid/partwise.dtd">'


def note(step: str, octave: int, divisions: int, kind: str, extra: str = "", alter: int = 0) -> str:
    sign = f"<alter>{alter}</alter>" if alter else ""
    pitch = f"<pitch><step>{step}</step>{sign}<octave>{octave}</octave></pitch>"
    return f"<note>{pitch}<duration>{divisions}</duration><type>{kind}</type>{extra}</note>"


def lyric(text: str, syllabic: str = "single", number: int = 1) -> str:
    return f'<lyric number="{number}"><syllabic>{syllabic}</syllabic><text>{text}</text></lyric>'


def part(name: str, *measures: str, fifths: int = -1) -> str:
    head = (
        f"<attributes><divisions>2</divisions><key><fifths>{fifths}</fifths></key>"
        "<time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
    )
    whole = "".join(
        f'<measure number="{number}">{head if number == 1 else ""}{measure}</measure>'
        for number, measure in enumerate(measures, start=1)
    )
    return f'<part id="{name}">{whole}</part>'


def score(*parts: tuple[str, str], before: str = TYPE) -> bytes:
    names = "".join(f'<score-part id="{name}"><part-name>{name}</part-name></score-part>' for name, _ in parts)
    body = "".join(text for _, text in parts)
    text = f'<score-partwise version="4.0"><part-list>{names}</part-list>{body}</score-partwise>'
    return f'<?xml version="1.0" encoding="UTF-8"?>{before}{text}'.encode()


BARS = (
    note("D", 5, 4, "half", lyric("Lan", "begin")) + note("B", 4, 4, "half", lyric("gue", "end"), -1),
    note("A", 4, 4, "half", lyric("la")) + note("G", 4, 4, "half"),
)
CANTO = score(("Canto", part("Canto", *BARS)))
TWO_BARS = "| 1=7,4:0,3:0\n| 1=7,4:0,3:0 |||\n"


def made(
    data: bytes | VoiceFile, name: str = "canto.musicxml", music: str = TWO_BARS, more: str = "", heading: str = ""
) -> tuple[Song, tuple[Diagnostic, ...]]:
    """The song of two bars with a line from this file."""
    text = (
        f"longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n{heading}"
        f"layer v = Canto, clef C1, from {name}{more}\n\n{music}"
    )
    file = data if isinstance(data, VoiceFile) else VoiceFile(name, data)
    sounding = sounding_piece(SourceText.of("trial.intav", text))
    assert [each.code.slug for each in sounding.diagnostics if each.code.slug == "heading-value"] == []
    outcome = song_of(sounding.value, {name: file})
    return outcome.value, outcome.diagnostics


def pitches(song: Song) -> list[str]:
    return [each.pitch.name if each.pitch else "-" for line in song.lines for each in line.notes]


# --- what is read ------------------------------------------------------------------------------------------


def test_musicxml_with_words() -> None:
    song, found = made(CANTO)
    assert found == ()
    (line,) = song.lines
    assert (line.title, line.clef, line.fifths, line.from_file, line.stanzas) == (
        "Canto",
        "C1",
        -1,
        "canto.musicxml",
        1,
    )
    assert pitches(song) == ["D5", "Bb4", "A4", "G4"]
    assert [[(word.text, word.place.value, word.extends) for word in each.syllables] for each in line.notes] == [
        [("Lan", "begin", False)],
        [("gue", "end", False)],
        [("la", "single", True)],
        [],
    ]
    assert [each.slurred for each in line.notes] == [False, False, False, True]
    assert {each.span.line for each in line.notes} == {5}


def test_compressed_musicxml() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="deep/score.xml"/></rootfiles></container>',
        )
        archive.writestr("deep/score.xml", CANTO)
    song, found = made(packed.getvalue(), "canto.mxl")
    assert found == () and pitches(song) == ["D5", "Bb4", "A4", "G4"]


def test_abc() -> None:
    song, found = made(b"X:1\nT:Canto\nM:4/4\nL:1/4\nK:F\nd2 B2|A2 G2|]\n", "canto.abc")
    assert found == () and pitches(song) == ["D5", "Bb4", "A4", "G4"]
    assert song.lines[0].fifths == -1


def test_kern() -> None:
    kern = b"**kern\n*clefG2\n*k[b-]\n*M4/4\n=1\n2dd\n2b-\n=2\n2a\n2g\n==\n*-\n"
    song, found = made(kern, "canto.krn")
    assert found == () and pitches(song) == ["D5", "Bb4", "A4", "G4"]


def test_midi_is_cut_at_the_tablatures_bars() -> None:
    """A note over the bar line becomes two, tied. File: format 0, 480 ticks a crotchet, four notes, 74 70 69 67."""
    events = b""
    for key, ticks in ((74, b"\x8b\x20"), (70, b"\x8f\x00"), (67, b"\x83\x60")):  # 1440, 1920, 480
        events += b"\x00\x90" + bytes([key, 80]) + ticks + b"\x80" + bytes([key, 0])
    events += b"\x00\xff\x2f\x00"
    data = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0MTrk" + len(events).to_bytes(4, "big") + events
    song, found = made(data, "canto.mid")
    assert found == ()
    assert [
        (each.pitch.semitones, each.value.name, each.tied, each.bar) for each in song.lines[0].notes if each.pitch
    ] == [
        (74, "2.", False, 0),
        (70, "4", False, 0),
        (70, "2.", True, 1),
        (67, "4", False, 1),
    ]


def test_a_file_in_the_sources_values_or_in_the_editions() -> None:
    halved = "| 1=7,4:0,3:0 1=7,4:0\n| 1=7,4:0,3:0 1=7,4:0\n"
    song, found = made(CANTO, music=halved, heading="values 1:2\n")
    assert found == () and [each.value.name for each in song.lines[0].notes] == ["2"] * 4
    printed = "| 1=7,4:0,3:0\n| 1=7,4:0,3:0\n"
    song, found = made(CANTO, music=printed, heading="metre 2/4\nvalues 1:2\n".replace("metre 2/4\n", ""))
    assert [each.value.name for each in song.lines[0].notes] == ["4"] * 4


def test_the_part_of_that_name_or_number() -> None:
    low = part("Basso", note("G", 2, 8, "whole"), note("D", 3, 8, "whole"))
    both = score(("Basso", low), ("Canto", part("Canto", *BARS)))
    assert pitches(made(both)[0]) == ["D5", "Bb4", "A4", "G4"]
    song, found = made(both, more=", part 1")
    assert found == () and pitches(song) == ["G2", "D3"]
    song, found = made(score(("Basso", low), ("Tenore", part("Tenore", *BARS))))
    assert [each.code.slug for each in found] == ["voice-file-part"] and pitches(song) == ["G2", "D3"]


def test_chords_and_grace_notes_are_told() -> None:
    chord = note("G", 4, 4, "half").replace("<note>", "<note><chord/>")
    grace = note("E", 5, 0, "eighth").replace("<note>", "<note><grace/>").replace("<duration>0</duration>", "")
    bars = (grace + note("D", 5, 4, "half") + chord + note("B", 4, 4, "half"), BARS[1])
    song, found = made(score(("Canto", part("Canto", *bars))))
    assert pitches(song)[:2] == ["D5", "B4"]
    assert [each.code.slug for each in found] == ["voice-file-part"] * 2
    assert "grace notes" in found[0].message + found[1].message and "chords" in found[0].message + found[1].message


def test_triplets_keep_their_group() -> None:
    time = "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    tuplet = '<notations><tuplet type="{}"/></notations>'
    bar = (
        note("D", 5, 4, "quarter", time + tuplet.format("start"))
        + note("C", 5, 4, "quarter", time)
        + note("B", 4, 4, "quarter", time + tuplet.format("stop"))
        + note("A", 4, 12, "half")
    ).replace("<duration>12", "<duration>12")
    data = score(("Canto", part("Canto", bar, BARS[1].replace("<duration>4", "<duration>12"))))
    data = data.replace(b"<divisions>2", b"<divisions>6")
    song, found = made(data)
    assert found == ()
    groups = [each.tuplet for each in song.lines[0].notes]
    assert [(group.notes, group.time, group.starts, group.ends) for group in groups if group] == [
        (3, 2, True, False),
        (3, 2, False, False),
        (3, 2, False, True),
    ]


# --- what is refused ---------------------------------------------------------------------------------------

ENTITY = '<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file:///etc/hostname">]>'
LAUGHS = '<!DOCTYPE score-partwise [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
PARAMETER = '<!DOCTYPE score-partwise [<!ENTITY % x SYSTEM "http://x.invalid/x.dtd"> %x;]>'
INCLUDE = b'<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="/etc/hostname" parse="text"/>'

UNSAFE = {
    "external entity": score(("Canto", part("Canto", *BARS)), before=ENTITY),
    "external entity, used": score(("Canto", part("Canto", *BARS)), before=ENTITY).replace(b">Lan<", b">&x;<"),
    "entities in entities": score(("Canto", part("Canto", *BARS)), before=LAUGHS).replace(b">Lan<", b">&b;<"),
    "parameter entity": score(("Canto", part("Canto", *BARS)), before=PARAMETER),
    "undeclared entity": CANTO.replace(b">Lan<", b">&x;<"),
    "inclusion": CANTO.replace(b"<part-list>", INCLUDE + b"<part-list>"),
    "in UTF-16": score(("Canto", part("Canto", *BARS)), before=LAUGHS)
    .decode()
    .replace("UTF-8", "UTF-16")
    .encode("utf-16"),
}


@pytest.mark.parametrize("kind", UNSAFE)
def test_entities_and_inclusions_are_refused_at_the_heading_line(kind: str) -> None:
    song, found = made(UNSAFE[kind])
    assert [(each.code.slug, each.span.line) for each in found] == [("voice-file-unsafe", 5)], found
    assert song.lines == ()


def test_an_archive_that_unfolds_without_end_is_refused() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("score.xml", b" " * (33 * 2**20))
    assert len(packed.getvalue()) < 2**20
    assert [each.code.slug for each in made(packed.getvalue(), "canto.mxl")[1]] == ["voice-file-unsafe"]


BROKEN = {
    "cut off": ("canto.musicxml", CANTO[:400]),
    "empty": ("canto.musicxml", b""),
    "no score": ("canto.xml", b"<html><body/></html>"),
    "by time": ("canto.xml", b"<score-timewise/>"),
    "no note": ("canto.xml", b"<score-partwise><part-list/></score-partwise>"),
    "no archive": ("canto.mxl", b"nothing"),
    "empty archive": ("canto.mxl", b"PK\x05\x06" + bytes(18)),
    "no abc": ("canto.abc", b"\xff\xfe nothing"),
    "no kern": ("canto.krn", b"nothing at all\n"),
    "no midi": ("canto.mid", b"nothing"),
    "cut off midi": ("canto.mid", b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0MTrk\x00\x00\x00\x40\x00\x90"),
}


@pytest.mark.parametrize("kind", BROKEN)
def test_broken_files_are_told_at_the_heading_line(kind: str) -> None:
    name, data = BROKEN[kind]
    song, found = made(data, name)
    assert [(each.code.slug, each.span.line) for each in found] == [("voice-file-broken", 5)], found
    assert song.lines == ()


def test_no_such_part() -> None:
    _, (finding,) = made(CANTO, more=", part 2")
    assert finding.code.slug == "voice-file-broken" and "it has 1 part, no part 2" in finding.message


def test_elisions_and_stanzas() -> None:
    """pian- ti_a, two syllables on one note; two stanzas."""
    joined = (
        '<lyric number="1"><syllabic>end</syllabic><text>ti</text><elision> </elision>'
        "<syllabic>single</syllabic><text>a</text></lyric>"
    )
    first = note("D", 5, 4, "half", lyric("pian", "begin") + lyric("no", "single", 2))
    song, found = made(score(("Canto", part("Canto", first + note("C", 5, 4, "half", joined), BARS[1]))))
    assert found == () and song.lines[0].stanzas == 2
    assert [(word.stanza, word.text, word.place.value) for each in song.lines[0].notes for word in each.syllables] == [
        (1, "pian", "begin"),
        (2, "no", "single"),
        (1, "ti‿a", "end"),
        (1, "la", "single"),
    ]


def test_words_of_kern() -> None:
    kern = (
        b"**kern\t**text\n*staff1\t*staff1\n*k[b-]\t*\n*M4/4\t*\n=1\t=1\n2dd\tLan-\n2b-\t-gue\n=2\t=2\n2a\tla\n2g\t.\n"
        b"==\t==\n*-\t*-\n"
    )
    song, found = made(kern, "canto.krn")
    assert found == ()
    assert [(word.text, word.place.value) for each in song.lines[0].notes for word in each.syllables] == [
        ("Lan", "begin"),
        ("gue", "end"),
        ("la", "single"),
    ]


def test_words_that_the_reader_leaves_out_are_told() -> None:
    _, found = made(b"X:1\nT:Canto\nM:4/4\nL:1/4\nK:F\nd2 B2|A2 G2|]\nw:Lan-gue la ro\n", "canto.abc")
    assert [(each.code.slug, each.message) for each in found] == [
        ("voice-file-part", "canto.abc: its words are not read; type them under its bars, or use MusicXML.")
    ]


def test_what_the_reader_passes_over_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    kern = b"**kern\n*clefG2\n*M4/4\n=1\n2dd\n2b\n=2\n2a\n\x7f\n2g\n==\n*-\n"
    song, found = made(kern, "canto.krn")
    assert [each.code.slug for each in found] == ["voice-file-part"] and "skipped" in found[0].message
    assert pitches(song) == ["D5", "B4", "A4", "G4"]
    assert capsys.readouterr() == ("", "")


WRONG_HEADINGS = (
    "Canto, clef C1, from canto.pdf",
    "Canto, clef C1, from canto.musicxml, 1 flat",
    "Canto, clef C1, from canto.musicxml, part",
    "Canto, clef C1, from canto.musicxml, part 0",
    "Canto, from canto.musicxml",
    "Canto, clef C1, from",
)


@pytest.mark.parametrize("layer", WRONG_HEADINGS)
def test_headings_that_name_no_file(layer: str) -> None:
    text = f"longneck 1\ninstrument theorbo in A\nmetre C\nlayer v = {layer}\n\n| 1=7,3:0\n"
    (finding,) = sounding_piece(SourceText.of("trial.intav", text)).diagnostics
    assert (finding.code.slug, finding.span.line, finding.span.start) == ("heading-value", 4, 11)
    assert "For example: layer v = Canto, clef C1, 1 flat" in finding.hint


# --- bars ----------------------------------------------------------------------------------------------------


def test_bars_are_checked_one_for_one() -> None:
    _, found = made(CANTO, music="| 1=7,4:0,3:0\n| 1=7,4:0,3:0\n| 1=7,4:0\n")
    assert [(each.code.slug, each.message) for each in found] == [
        ("voice-file-bars", "canto.musicxml has 2 bars, the tablature 3.")
    ]
    _, found = made(CANTO, music="| 1=7,4:0,3:0\n|< 2=7,4:0,3:0\n")
    assert [(each.code.slug, each.bar) for each in found] == [("line-too-long", "2")]
    _, found = made(CANTO, music="| 1=7,4:0,3:0\n|> 0=7,4:0,3:0\n")
    assert [(each.code.slug, each.message) for each in found] == [
        ("line-too-short", "canto.musicxml holds 1 in bar 2, the tablature 2.")
    ]


def test_what_is_typed_holds() -> None:
    song, found = made(CANTO, music="| 1=7,4:0,3:0\nv 1=C5\n| 1=7,4:0,3:0\n")
    assert [each.code.slug for each in found] == ["voice-file-unused"] and pitches(song) == ["C5"]


# --- where the file lies ---------------------------------------------------------------------------------------


def _piece(folder: Path, name: str) -> PieceFile:
    (folder / "book").mkdir(exist_ok=True)
    path = folder / "book" / "song.intav"
    path.write_text(
        f"longneck 1\ninstrument theorbo in A\nmetre C\nlayer v = Canto, clef C1, from {name}\n\n{TWO_BARS}"
    )
    return PieceFile(path, "song.intav", Path("song"))


def test_files_inside_the_collection_only(tmp_path: Path) -> None:
    root = tmp_path / "collection"
    root.mkdir()
    (root / ".git").mkdir()
    (tmp_path / "outside.musicxml").write_bytes(CANTO)
    (root / "shared.musicxml").write_bytes(CANTO)
    piece = _piece(root, "canto.musicxml")
    (root / "book" / "canto.musicxml").write_bytes(CANTO)
    (root / "book" / "link.musicxml").symlink_to(tmp_path / "outside.musicxml")
    (root / "book" / "folder.musicxml").mkdir()
    assert read_voice_file(piece, "canto.musicxml").data == CANTO
    assert read_voice_file(piece, "../shared.musicxml").data == CANTO
    outside = "it lies outside the collection"
    assert read_voice_file(piece, "../../outside.musicxml").refused == outside
    assert read_voice_file(piece, str(tmp_path / "outside.musicxml")).refused == outside
    assert read_voice_file(piece, "link.musicxml").refused == outside
    for name in ("none.musicxml", "folder.musicxml", "a\0b.musicxml"):
        assert read_voice_file(piece, name).refused == "there is no such file"


def test_without_a_mark_the_piece_folder_is_the_collection(tmp_path: Path) -> None:
    piece = _piece(tmp_path, "canto.musicxml")
    (tmp_path / "canto.musicxml").write_bytes(CANTO)
    assert read_voice_file(piece, "../canto.musicxml").refused == "it lies outside the collection"


def test_a_check_reads_the_files_that_the_heading_names(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    piece = _piece(tmp_path, "canto.musicxml")
    (finding,) = check_one(Job(piece)).diagnostics
    assert (finding.code.slug, finding.span.line) == ("voice-file-missing", 4)
    assert finding.message == "canto.musicxml cannot be read: there is no such file."
    (tmp_path / "book" / "canto.musicxml").write_bytes(CANTO)
    assert check_one(Job(piece)).diagnostics == ()


def test_names_of_files_in_the_heading() -> None:
    texts = [
        "longneck 1\nlayer v = Canto, clef C1, 1 flat, from parts/canto uno.krn, part 2 ; a comment, from x.mid\n",
        "layer v2 = Alto,\n+ clef C3, from alto.abc\nremark layer, from other.mid\nlayer b = Basso, clef F4\n",
    ]
    assert files_named(SourceText.of("a", text) for text in texts) == ("parts/canto uno.krn", "alto.abc")
