"""A set for the rehearsal: that all its parts are the same music, in one key. A song and a solo of the anthology, each
in two keys and on three instruments."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from lxml import etree

from pipeline.desk.move.wish import Wish
from pipeline.folder.files import discover, read_texts
from pipeline.model.artefacts import Form
from pipeline.model.interval import UNISON, Interval, parse_interval
from pipeline.model.options import Options
from pipeline.model.presets import find_preset
from pipeline.model.signs import Signs
from pipeline.model.text import SourceText
from pipeline.piece import PieceResult
from pipeline.rehearsal import FORMS, Setting, rehearse_piece
from tests.desk.moved import HEADING, ROOT, anthology
from tests.outside.tabreader import pitch, struck

SONG, SOLO = "songs/06-aria", "theorbo/02-ground"
KEYS = {"-M2": -2, "m3": 3}
INSTRUMENTS = ("theorbo in A", "archlute in G", "lute in G, 8 courses")
#: Bars typed ``ditto Prima 3`` and ``ditto Prima 4``, and those that they repeat.
DITTO: dict[str, dict[int, int]] = {SONG: {}, SOLO: {20: 3, 21: 4}}
SETS = list(product((SONG, SOLO), KEYS, INSTRUMENTS))


def interval(name: str) -> Interval:
    found = parse_interval(name) if name else UNISON
    assert isinstance(found, Interval)
    return found


def setting(key: str = "", instrument: str = "", signs: Signs | None = None, *forms: Form) -> Setting:
    wish = Wish(interval(key), find_preset(instrument), signs)
    return Setting(wish, Options(forms=forms or (Form.MUSICXML,)))


@cache
def made(piece: str, key: str = "", instrument: str = "") -> PieceResult:
    """The set of a piece of the anthology; French letters on the lutes."""
    (file,) = discover([ROOT / "fixtures" / "anthology" / f"{piece}.intav"])
    texts = read_texts(file)
    signs = Signs.FRENCH if instrument.startswith("lute") else None
    return rehearse_piece(texts.text.source, texts.inherited, {}, setting(key, instrument, signs))


def typed(music: str, heading: str = HEADING, asked: Setting | None = None) -> PieceResult:
    return rehearse_piece(SourceText.of("trial.intav", f"{heading}\n{music}\n"), (), {}, asked or setting())


def artefact(result: PieceResult, name: str) -> bytes:
    return dict(result.artefacts)[name]


def plucked(document: bytes) -> dict[tuple[int, int], Counter[int]]:
    """Typed bar and event → what its strings sound: the tuning that the document itself tells, and its frets. That the
    pitch beside them is the same is seen on the way."""
    root = etree.fromstring(document)
    strings: dict[int, int] = {}
    found: dict[tuple[int, int], Counter[int]] = {}
    for element in root.find("part[@id='tablature']").iter("staff-details", "accord", "note"):
        if element.tag == "staff-details":
            lines, french = int(element.findtext("staff-lines")), element.get("show-frets") == "letters"
            for tuned in element.iter("staff-tuning"):
                line = int(tuned.get("line"))
                strings[lines + 1 - line if french else line] = _sounding(tuned, "tuning-")
        elif element.tag == "accord":
            strings[int(element.get("string"))] = _sounding(element, "tuning-")
        elif element.find(".//string") is not None:
            sounds = strings[int(element.findtext(".//string"))] + int(element.findtext(".//fret"))
            assert sounds == _sounding(element.find("pitch"), "")
            place = re.fullmatch(r"t-b(\d+)e(\d+)c\d+", element.get("id"))
            if place:  # else an event that sounds again, not typed again
                found.setdefault((int(place[1]), int(place[2])), Counter())[sounds] += 1
    return found


def _sounding(element: etree._Element, prefix: str) -> int:
    alter = int(element.findtext(f"{prefix}alter" if prefix else "alter") or 0)
    return pitch(f"{element.findtext(f'{prefix}step')}{element.findtext(f'{prefix}octave')}") + alter


def line(document: bytes, part: str) -> list[tuple[int, Fraction]]:
    """Pitch (0 for a rest) and length in crotchets of every note of a part of one voice."""
    found = []
    divisions = 1
    for element in etree.fromstring(document).find(f"part[@id='{part}']").iter("divisions", "note"):
        if element.tag == "divisions":
            divisions = int(element.text)
            continue
        length = Fraction(int(element.findtext("duration")), divisions)
        found.append((_sounding(element.find("pitch"), "") if element.find("pitch") is not None else 0, length))
    return found


@pytest.mark.parametrize(("piece", "key", "instrument"), SETS)
def test_the_player_s_tablature_stop_by_stop(piece: str, key: str, instrument: str) -> None:
    """Source: the pitches of the source's own tablature, by a reader of its own, moved by so many semitones."""
    result = made(piece, key, instrument)
    (file,) = discover([ROOT / "fixtures" / "anthology" / f"{piece}.intav"])
    source = anthology(file)
    wanted = {
        (event.bar, event.number): Counter(one + KEYS[key] for *_, one in event.stops)
        for event in struck(source.text, source.above)
        if event.stops
    }
    sounds = plucked(artefact(result, "player/part.musicxml"))
    kinds = Counter(one.code.slug for one in result.diagnostics)
    octaves = missing = 0
    assert wanted.keys() <= sounds.keys()
    assert {bar for bar, _ in sounds.keys() - wanted.keys()} == DITTO[piece].keys()
    for bar, as_bar in DITTO[piece].items():
        assert [sounds[place] for place in sounds if place[0] == bar] == [
            sounds[place] for place in sounds if place[0] == as_bar
        ]
    for place, pitches in wanted.items():
        lost, gained = pitches - sounds[place], sounds[place] - pitches
        missing += lost.total() - gained.total()
        octaves += gained.total()
        assert not Counter(one % 12 for one in gained.elements()) - Counter(one % 12 for one in lost.elements())
    assert missing == kinds["stop-left-out"]
    assert octaves <= kinds["octave-changed"] + source.restored


@pytest.mark.parametrize(("key", "instrument"), list(product(KEYS, INSTRUMENTS)))
def test_singers_and_bass_move_along_note_for_note(key: str, instrument: str) -> None:
    before, after = made(SONG), made(SONG, key, instrument)
    for name, part in (
        ("singer/reduction.musicxml", "line-v"),
        ("singer/reduction.musicxml", "line-v2"),
        ("bass/bass.musicxml", "line-b"),
    ):
        moved = [(one and one + KEYS[key], length) for one, length in line(artefact(before, name), part)]
        assert line(artefact(after, name), part) == moved


@pytest.mark.parametrize("key", ["", *KEYS])
def test_the_bass_of_a_solo_is_the_one_on_its_diapasons(key: str) -> None:
    """The ground: open courses 10 to 13, of which 12 is tuned to B flat (heading), each a dotted minim."""
    result = made(SOLO, key, "lute in G, 8 courses" if key else "")
    ground = [pitch(name) + KEYS.get(key, 0) for name in ("D2", "C2", "Bb1", "A1")]
    bass = line(artefact(result, "bass/bass.musicxml"), "line-b")
    assert bass[:4] == [(one, Fraction(3)) for one in ground]


def test_a_solo_has_a_keyboard_and_the_player_practises() -> None:
    assert [name for name, _ in made(SOLO).artefacts] == [
        "keyboard/reduction.musicxml",
        "player/part.musicxml",
        "bass/bass.musicxml",
        "player/practice.mid",
        "cover.html",
        "cover.pdf",
    ]


def test_the_singer_practises_what_is_played() -> None:
    """Every note of the tablature part of the practice file is one that the player's part has."""
    mido = pytest.importorskip("mido")
    import io  # noqa: PLC0415

    result = made(SONG, "m3", "theorbo in A")
    file = mido.MidiFile(file=io.BytesIO(artefact(result, "singer/practice.mid")))
    (track,) = (track for track in file.tracks if track.name == "theorbo in A")
    notes = {message.note for message in track if message.type == "note_on" and message.velocity}
    assert notes == set(sum(plucked(artefact(result, "player/part.musicxml")).values(), Counter()))


def test_nothing_is_moved_where_nothing_is_asked_for() -> None:
    result = made(SONG)
    (file,) = discover([ROOT / "fixtures" / "anthology" / f"{SONG}.intav"])
    source = anthology(file)
    wanted = {
        (event.bar, event.number): Counter(one for *_, one in event.stops)
        for event in struck(source.text, source.above)
        if event.stops
    }
    assert plucked(artefact(result, "player/part.musicxml")) == wanted
    assert b"fingered anew" not in artefact(result, "player/part.musicxml")
    assert "as in the source" in artefact(result, "cover.html").decode()


def test_signs_of_restored_octaves_are_those_of_the_tablature_played() -> None:
    """They say what the theorbo of the source sounds; an archlute does not."""
    assert b"octave" in artefact(made("theorbo/02-ground"), "keyboard/reduction.musicxml")
    moved = made("theorbo/02-ground", "", "archlute in G")
    assert b"octave lower" not in artefact(moved, "keyboard/reduction.musicxml")


def test_all_forms_of_all_parts() -> None:
    song = "| 2=X,4:2,3:3 7,4:0,3:0 |||\nv 2=D5 C\n1 O no\n"
    result = typed(song, HEADING + "layer v = Canto, clef C1, 1 flat\n", setting("-M2", "", None, *FORMS))
    assert result.notation_warnings == ()
    assert {name for name, _ in result.artefacts} == {
        *(f"{folder}/{score}{end}" for folder, score in
          (("singer", "reduction"), ("player", "part"), ("bass", "bass"))
          for end in (".musicxml", "-001.svg", ".pdf")),
        "singer/practice.mid",
        "cover.html",
        "cover.pdf",
    }  # fmt: skip


def test_the_same_bytes_again() -> None:
    once = typed("| 1=X,4:2,3:3 |||", asked=setting("M2", "", None, *FORMS))
    again = typed("| 1=X,4:2,3:3 |||", asked=setting("M2", "", None, *FORMS))
    assert once == again


def test_what_the_moving_changes_is_marked_in_the_part() -> None:
    """An octave that the lute of six courses has no string for: the bar has a note at the foot, told once as a
    finding."""
    result = typed("| 1=14,4:2,3:3 |||", asked=setting("", "lute in G, 6 courses"))
    (told,) = (one for one in result.diagnostics if one.code.slug == "octave-changed")
    part = artefact(result, "player/part.musicxml").decode()
    assert "an octave higher than in the source" in told.message
    assert part.count("an octave higher than in the source") >= 1
    assert "in bar 1" in artefact(result, "cover.html").decode()


def test_a_piece_with_errors_has_no_set() -> None:
    result = typed("| 1=X,4:22 |||")
    assert result.artefacts == ()
    (told,) = (one for one in result.diagnostics if one.code.slug == "set-not-made")
    assert told.message == "No set for the rehearsal was made: the piece has 1 error."


def test_a_piece_that_suits_no_voice_has_no_set() -> None:
    wish = Wish(voice_range=(_pitch("C4"), _pitch("D4")))
    result = typed("| 1=X |||", asked=Setting(wish, Options()))
    assert [one.message for one in result.diagnostics if one.code.slug == "set-not-made"] == [
        "No set for the rehearsal was made: no line of the piece is sung."
    ]


def _pitch(name: str) -> object:
    from pipeline.model.pitch import SpelledPitch  # noqa: PLC0415

    return SpelledPitch(name[0], 0, int(name[1]))


def test_texts_of_the_set_name_no_folder_of_this_machine() -> None:
    for _, data in made(SONG, "-M2", "archlute in G").artefacts:
        assert str(Path.cwd()).encode() not in data
