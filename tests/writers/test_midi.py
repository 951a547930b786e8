"""MIDI files, read back by an independent reader."""

from __future__ import annotations

from bisect import bisect_right
from io import BytesIO
from pathlib import Path

import mido
import pytest

from pipeline.edition.lead import lead
from pipeline.edition.perform import perform
from pipeline.edition.spell import spell
from pipeline.folder.files import PieceFile, discover, headings_above, read_file
from pipeline.model.performance import Manner, Performance, PlayedNote, PlayedPart, Sounder
from pipeline.model.pitch import SpelledPitch
from pipeline.model.song import Song, SungLine, SungNote
from pipeline.model.text import Span
from pipeline.model.time import WHOLE, Value
from pipeline.model.voiced import VoicedPiece
from pipeline.source.read import sounding_piece
from pipeline.source.sing import sing
from pipeline.writers.midi import write_midi
from pipeline.writers.midi.document import DIVISION
from tests.made import HEADING, sounding, voiced

MEASURED = HEADING + "metre C\n"
ANTHOLOGY = discover([Path(__file__).parents[2] / "fixtures" / "anthology"])


def read(content: bytes) -> mido.MidiFile:
    return mido.MidiFile(file=BytesIO(content))


def notes(track: mido.MidiTrack) -> list[tuple[int, int, int]]:
    """Onset and end in MIDI ticks, and number, of every note; each must end before the track does."""
    now, begun, found = 0, {}, []
    for message in track:
        now += message.time
        if message.type == "note_on":
            assert message.note not in begun
            begun[message.note] = now
        elif message.type == "note_off":
            found.append((begun.pop(message.note), now, message.note))
    assert not begun
    return sorted(found)


def expected(piece: VoicedPiece) -> set[tuple[int, int]]:
    """Onset in MIDI ticks and pitch of every string, from the records alone; for pieces played straight through."""
    return {
        (round(4 * DIVISION * note.led.onset / WHOLE), pitch) for note in piece.notes for pitch in note.led.stop.strings
    }


def test_tracks_tempo_and_metre() -> None:
    content = write_midi(perform(voiced("| 1=7,3:0\n| 1=8,3:0", MEASURED), manner=Manner(80)))
    file = read(content)
    assert (file.type, file.ticks_per_beat) == (1, DIVISION)
    assert [track.name for track in file.tracks] == ["Trial", "theorbo in A", "Click"]
    kinds = {message.type: message for message in file.tracks[0]}
    assert mido.tempo2bpm(kinds["set_tempo"].tempo) == 80
    assert (kinds["time_signature"].numerator, kinds["time_signature"].denominator) == (4, 4)
    assert {message.channel for message in file.tracks[2] if message.type == "note_on"} == {9}
    assert [onset for onset, _, _ in notes(file.tracks[2])] == [beat * DIVISION for beat in range(8)]
    assert content == write_midi(perform(voiced("| 1=7,3:0\n| 1=8,3:0", MEASURED), manner=Manner(80)))


def test_onsets_and_pitches_are_those_of_the_records() -> None:
    piece = voiced(
        "| 4=X,4:2,3:3,2:1 8=3:5 3:6 8/3=2:0 2:1 2:3 4=7,3:0\n| 16/5:4=1:0 1:1 1:2 1:3 1:5 2.=8,3:2", MEASURED
    )
    track = notes(read(write_midi(perform(piece))).tracks[1])
    assert {(onset, pitch) for onset, _, pitch in track} == expected(piece)
    ends = {(onset, pitch): end for onset, end, pitch in track}
    for note in piece.notes:
        onset = round(4 * DIVISION * note.led.onset / WHOLE)
        end = ends[onset, note.led.stop.pitch]
        assert end <= round(4 * DIVISION * (note.led.onset + note.led.length) / WHOLE)


@pytest.mark.parametrize("file", ANTHOLOGY, ids=lambda file: file.path.stem)
def test_the_anthology_sounds_as_its_records_say(file: PieceFile) -> None:
    """Passage by passage: the same pitches on the same written onsets. A spread or strummed string comes late, but
    before half of its event is over, so notes are counted to the written onset at or before them."""
    above = tuple(read_file(heading.path, heading.name).source for heading in headings_above(file))
    piece = spell(lead(sounding_piece(read_file(file.path, file.name).source, above).value))
    performance = perform(piece)
    content = write_midi(performance)
    assert content == write_midi(perform(piece))
    heard = {(onset, pitch) for onset, _, pitch in notes(read(content).tracks[1])}
    onsets = sorted({onset for onset, _ in expected(piece)})
    wanted = set()
    found = set()
    for number, passage in enumerate(performance.passages):
        start, end = (round(4 * DIVISION * ticks / WHOLE) for ticks in (passage.start, passage.end))
        shift = round(4 * DIVISION * passage.shift / WHOLE)
        wanted |= {(number, onset, pitch) for onset, pitch in expected(piece) if start <= onset < end}
        for onset, pitch in heard:
            if start + shift <= onset < end + shift:
                found.add((number, onsets[bisect_right(onsets, onset - shift) - 1], pitch))
    assert found == wanted


def test_sung_lines_have_tracks_of_their_own() -> None:
    quarter = WHOLE // 4
    tones = [SpelledPitch("D", 0, 5), SpelledPitch("C", 1, 5), None, SpelledPitch("D", 0, 5)]
    sung = tuple(
        SungNote(f"v-b1n{place}", place * quarter, quarter, Value(4), tone, Span("x", 1, 1, 1))
        for place, tone in enumerate(tones)
    )
    song = Song((SungLine("v", "Canto", "C1", 0, False, sung), SungLine("b", "Basso", "F4", 0, True, sung)))
    file = read(write_midi(perform(voiced("| 1=7,3:0", MEASURED), song)))
    assert [track.name for track in file.tracks] == ["Trial", "Canto", "Basso", "theorbo in A", "Click"]
    for track in file.tracks[1:3]:
        assert notes(track) == [
            (0, DIVISION, 74),
            (DIVISION, 2 * DIVISION, 73),
            (3 * DIVISION, 4 * DIVISION, 74),
        ]
    channels = [{message.channel for message in track if hasattr(message, "channel")} for track in file.tracks]
    assert channels == [set(), {0}, {1}, {2}, {9}]
    programs = [message.program for track in file.tracks for message in track if message.type == "program_change"]
    assert programs == [53, 42, 24]  # General MIDI, from 0: voice oohs, cello, acoustic guitar (nylon)


def test_the_words_of_the_first_stanza_are_lyrics() -> None:
    """Form: lyric meta events of the Standard MIDI File, a hyphen where the word goes on (common practice)."""
    music = "| 2=X,3:0 X,3:0\nv 4=D5 E5 2=F5\n1 Lan- gue già\n2 Pas- sa mai\n| 1=X,3:0 |||\nv 1=D5\n1 sì\n2 no"
    piece = sounding(music, MEASURED + "layer v = Canto, clef C1\n")
    file = read(write_midi(perform(spell(lead(piece)), sing(piece, {}).value)))
    track = file.tracks[1]
    now, words = 0, []
    for message in track:
        now += message.time
        if message.type == "lyrics":
            words.append((now // DIVISION, message.text.encode("latin-1").decode()))
    assert words == [(0, "Lan-"), (1, "gue "), (2, "già "), (4, "sì ")]
    assert len(notes(track)) == 4


def test_unisons_sound_once_and_restrikes_end_what_sounds() -> None:
    lute = PlayedPart(
        "lute",
        Sounder.LUTE,
        (PlayedNote(0, WHOLE, 55), PlayedNote(0, WHOLE // 2, 55), PlayedNote(WHOLE // 4, WHOLE, 55)),
    )
    file = read(write_midi(Performance("", None, ((0, 72),), (), (lute,), (), (), WHOLE)))
    assert notes(file.tracks[1]) == [(0, DIVISION, 55), (DIVISION, 5 * DIVISION, 55)]


@pytest.mark.parametrize(("hertz", "cents"), [(392, -199.98), (415, -101.27), (465, 95.69), (442.5, 9.81)])
def test_pitch_standard(hertz: float, cents: float) -> None:
    """calc: 1200 · log2(f / 440). The registered parameters 1 and 2 as MIDI 1.0 defines them (PS)."""
    file = read(write_midi(perform(voiced("| 1=7,3:0", MEASURED + f"pitch {hertz}\n"))))
    controls = [(each.control, each.value) for each in file.tracks[1] if each.type == "control_change"]
    state = {"coarse": 64, "fine": 64, "low": 0}
    parameter: dict[int, int] = {}
    for control, value in controls:
        if control in (100, 101):
            parameter[control] = value
        elif control == 6:
            state["coarse" if parameter == {101: 0, 100: 2} else "fine"] = value
        elif control == 38:
            state["low"] = value
    tuned = 100 * (state["coarse"] - 64) + 100 * ((state["fine"] << 7 | state["low"]) - 8192) / 8192
    assert tuned == pytest.approx(cents, abs=0.02)
    assert parameter == {101: 127, 100: 127}


def test_concert_pitch_needs_no_tuning() -> None:
    for line in ("", "pitch 440\n"):
        file = read(write_midi(perform(voiced("| 1=7,3:0", MEASURED + line))))
        assert not [each for each in file.tracks[1] if each.type == "control_change"]
