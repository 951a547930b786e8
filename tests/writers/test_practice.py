"""The practice file as a singer opens it: mido reads it, music21 counts intervals; a sequencer's bars are counted from
the measure signatures alone, as the Standard MIDI File 1.0 defines them."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import mido
import pytest
from music21 import interval as outside

from pipeline.model.artefacts import Form
from pipeline.model.interval import Interval, parse_interval, parse_ranges
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from pipeline.writers.midi.document import DIVISION

FOLDER = Path(__file__).parents[2] / "fixtures" / "anthology" / "songs"
ARIA = SourceText.of("06-aria.intav", (FOLDER / "06-aria.intav").read_text(encoding="utf-8"))
ABOVE = SourceText.of("heading.intav", (FOLDER / "heading.intav").read_text(encoding="utf-8"))
HEADING = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\nlayer v = Canto, clef C1\n"


def practice(source: SourceText | str, *above: SourceText, **asked: object) -> mido.MidiFile:
    """The practice file alone."""
    text = source if isinstance(source, SourceText) else SourceText.of("trial.intav", source)
    options = Options(copy=False, forms=(Form.MIDI,), **asked)  # type: ignore[arg-type]
    artefacts = dict(build_piece(text, above, options).artefacts)
    return mido.MidiFile(file=BytesIO(artefacts["practice.mid"]))


def struck(track: mido.MidiTrack) -> list[tuple[int, int]]:
    """Onset in MIDI ticks and number of every note."""
    now, found = 0, []
    for message in track:
        now += message.time
        if message.type == "note_on":
            found.append((now, message.note))
    return found


def words(track: mido.MidiTrack) -> list[tuple[float, str]]:
    """Crotchet and syllable."""
    now, found = 0, []
    for message in track:
        now += message.time
        if message.type == "lyrics":
            found.append((now / DIVISION, message.text.encode("latin-1").decode().strip()))
    return found


def said(file: mido.MidiFile) -> str:
    return "\n".join(each.text.encode("latin-1").decode() for each in file.tracks[0] if each.type == "text")


def tempi(file: mido.MidiFile) -> list[tuple[float, int]]:
    now, found = 0, []
    for message in file.tracks[0]:
        now += message.time
        if message.type == "set_tempo":
            found.append((now / DIVISION, round(mido.tempo2bpm(message.tempo))))
    return found


def bar_lines(file: mido.MidiFile, until: float) -> list[float]:
    """The crotchets at which a sequencer draws a bar line: it counts on from each signature."""
    now, signatures = 0, []
    for message in file.tracks[0]:
        now += message.time
        if message.type == "time_signature":
            signatures.append((now / DIVISION, 4 * message.numerator / message.denominator))
    lines: list[float] = []
    for place, (start, length) in enumerate(signatures):
        end = signatures[place + 1][0] if place + 1 < len(signatures) else until
        at = start
        while at < end - 1e-9:
            lines.append(at)
            at += length
    return lines


@pytest.mark.parametrize("name", ["M2", "-M2", "-m3", "P4", "-P5", "P8"])
def test_it_sounds_in_the_key_of_the_copy_and_says_so(name: str) -> None:
    asked = parse_interval(name)
    assert isinstance(asked, Interval)
    plain, moved = practice(ARIA, ABOVE), practice(ARIA, ABOVE, transpose=asked)
    kind = outside.Interval(f"{name[1:]}" if name.startswith("-") else name)
    by = -kind.semitones if name.startswith("-") else kind.semitones
    for before, after in list(zip(plain.tracks, moved.tracks, strict=True))[1:-1]:
        assert sorted((onset, pitch + by) for onset, pitch in struck(before)) == sorted(struck(after))
    assert "Transposed" not in said(plain)
    assert f"Transposed {asked.words} from the source." in said(moved)
    assert asked.words in moved.tracks[0].name
    assert struck(plain.tracks[-1]) == struck(moved.tracks[-1]), "the click stays"


def test_a_range_moves_it_too() -> None:
    """The song has a compass from C4 to E flat 5."""
    voice = parse_ranges("A3:C5")
    assert isinstance(voice, tuple)
    pitches = [pitch for track in practice(ARIA, ABOVE, voice_range=voice).tracks[1:3] for _, pitch in struck(track)]
    assert (min(pitches), max(pitches)) == (57, 72)


STROPHES = (
    "| 2=7,3:0 8,3:2\nv 2=D5 E5\n1 Uno due\n2 Tre qua-\n"
    "ending 1\n| 1=7,3:0 .||\nv 1=F5\n1 fin.\n"
    "ending 2\n| 1=7,3:0\nv 1=G5\n2 ttro.\nending end\n"
    "| 1=8,3:2 |||\nv 1=A5\n1 Amen.\n"
)


def test_each_repeat_has_its_stanza() -> None:
    """Common practice: the second time the second stanza, in the second ending too; a refrain has its own words."""
    found = words(practice(HEADING + STROPHES).tracks[1])
    expected = ["Uno", "due", "fin.", "Tre", "qua-", "ttro.", "Amen."]
    assert [text for _, text in found] == expected
    assert [at for at, _ in found] == [0, 2, 4, 8, 10, 12, 16]


def test_da_capo_sings_the_next_stanza_and_what_is_left_is_said() -> None:
    """The anthology's song: as far as the double bar, its ritornello, and again from the start."""
    file = practice(ARIA, ABOVE)
    found = [text for _, text in words(file.tracks[1])]
    assert found[:5] == ["Lan-", "gue", "la", "ro-", "sa‿al"]
    again = found.index("Pas-")
    assert found[again : again + 3] == ["Pas-", "sa", "la"]
    assert "Au-" not in found
    assert "stanza 3 is not sung" in said(file)
    assert [line.partition(":")[0] for line in said(file).split("\n")][:3] == ["Tempo", "Words", "Words"]


def test_tempo() -> None:
    """A number behind tempo words; a minim of the source is a crotchet where values are halved."""
    music = "tempo Adagio 4=50\n| 1=7,3:0 ||.\ntempo Allegro (2=66)\n| 1=8,3:2 .||\ntempo Largo\n| 1=7,3:0 |||\n"
    assert tempi(practice(HEADING + music)) == [(0, 50), (4, 132), (12, 72)]
    assert tempi(practice(HEADING + music, tempo=44)) == [(0, 44)]
    halved = HEADING + "values 1:2\n"
    assert tempi(practice(halved + "tempo Adagio 2=50\n| 1=7,3:0 |||\n")) == [(0, 50)]
    plain = practice(HEADING + "| 1=7,3:0 |||\n")
    assert tempi(plain) == [(0, 72)]
    assert "72 crotchets a minute, assumed" in said(plain)
    assert "as asked" in said(practice(HEADING + music, tempo=44))


UPBEAT = (
    "|< 4=3:0\nv 4=D5\n| 1=7,3:0\nv 1=E5\n|< 2.=8,3:2 .||\nv 2.=F5\n"
    "|< 4=3:0\nv 4=G5\n| 1=7,3:0\nv 1=A5\n| 1=8,3:2 |||\nv 1=B5\n"
)


@pytest.mark.parametrize("count_in", [False, True])
def test_bars_of_a_sequencer_are_bars_of_the_piece(count_in: bool) -> None:
    """Every semibreve of this piece begins a bar, before and after the upbeats, each time it is played."""
    file = practice(HEADING + UPBEAT, count_in=count_in)
    notes = struck(file.tracks[1])
    lines = bar_lines(file, 60)
    full = [onset / DIVISION for onset, pitch in notes if pitch in (76, 81, 83)]  # E5, A5, B5
    assert len(full) == 4
    assert not set(full) - set(lines)
    assert (notes[0][0] / DIVISION in lines) is not count_in


def test_the_count_in() -> None:
    """Four strokes and, before an upbeat of one, three more (common practice); then the music."""
    clicks = [onset / DIVISION for onset, _ in struck(practice(HEADING + UPBEAT, count_in=True).tracks[-1])]
    assert clicks[:9] == list(range(9))
    assert struck(practice(HEADING + UPBEAT, count_in=True).tracks[1])[0] == (7 * DIVISION, 74)
    plain = practice(HEADING + "| 1=7,3:0\nv 1=D5\n", count_in=True)
    assert struck(plain.tracks[1]) == [(4 * DIVISION, 74)]
    free = practice(HEADING.replace("metre C", "metre none") + "| 1=7,3:0\nv 1=D5\n", count_in=True)
    assert struck(free.tracks[1]) == [(4 * DIVISION, 74)]
