"""The events document: its schema, the place of every sign, facts and readings apart."""

from __future__ import annotations

import pytest
from lxml import etree

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.record import replace
from pipeline.model.voiced import Decided, Restored, VoicedPiece
from pipeline.writers.events import write_events
from tests.made import HEADING, resolved, text
from tests.outside.readback import differences, from_events, written
from tests.outside.schemas import events_schema, valid_events

NS = {"e": "urn:longneck:events:1"}

FULL = """longneck 1
title Trial
composer Anonymous
remark one
source A = Trial book
source B = Trial manuscript
editor EB = E. B.
instrument theorbo in A
course 7 = G2+G3
pitch 440
metre C
mark T = "t" trill, after
"""


def made(music: str, heading: str = FULL) -> VoicedPiece:
    return spell(lead(resolved(music, heading)[0]))


def one(music: str, path: str, heading: str = FULL) -> etree._Element:
    """The only element at a path."""
    (found,) = valid_events(made(music, heading)).xpath(path, namespaces=NS)
    return found  # type: ignore[no-any-return]


def plain(element: etree._Element) -> dict[str, str]:
    """Its attributes without its place."""
    return {name: value for name, value in element.attrib.items() if name not in {"line", "column", "end"}}


# --- facts ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("course", "semitones", "hertz"),
    [(1, "57", "220.00"), (2, "52", "164.81"), (3, "59", "246.94"), (4, "55", "196.00"), (5, "50", "146.83"),
     (6, "45", "110.00"), (14, "31", "49.00")],
)  # fmt: skip
def test_frequencies_at_440(course: int, semitones: str, hertz: str) -> None:
    """Source: theorbo in A at A4 = 440 Hz (calc from MIDI note numbers with ISO 16, PS)."""
    string = one(f"| 1={course}{':0' if course < 7 else ''}", "//e:stop/e:string")
    assert dict(string.attrib) == {"semitones": semitones, "hertz": hertz}


def test_no_frequency_without_a_pitch_standard() -> None:
    assert "hertz" not in one("| 1=3:2", "//e:stop/e:string", HEADING).attrib


def test_both_strings_of_a_course() -> None:
    """A course strung in octaves sounds both; each has its spelling, and the course is one stop."""
    stop = one("| 1=7", "//e:stop")
    assert [string.get("semitones") for string in stop.iterfind("e:string", NS)] == ["43", "55"]
    assert stop.find("e:reading", NS).get("spelling") == "G2 G3"


def test_places_cover_the_signs() -> None:
    """The text at each place is the sign itself."""
    music = '| 4!8"a=X,4:2!3:5 _3:3\'T ?:1 !2:0 - |||\n"a EB: reason'
    source = text(music, FULL)
    root = valid_events(made(music))
    lines = source.lines

    def at(element: etree._Element) -> str:
        return lines[int(element.get("line")) - 1][int(element.get("column")) - 1 : int(element.get("end")) - 1]

    stops = [at(stop) for stop in root.iterfind(".//e:stop", NS)]
    assert stops == ["X", "4:2!3:5", "_3:3'T", "?:1", "!2:0"]
    assert [at(event) for event in root.iterfind(".//e:event", NS)] == [
        '4!8"a=X,4:2!3:5', "_3:3'T", "?:1", "!2:0", "-",
    ]  # fmt: skip
    assert [at(value) for value in root.iterfind(".//e:value", NS)] == ['4!8"a']
    assert [at(mark) for mark in root.iterfind(".//e:mark", NS)] == ["'T"]
    assert [at(line) for line in root.iterfind(".//e:barline", NS)] == ["|||"]
    assert [at(note) for note in root.iterfind(".//e:note", NS)] == ['"a EB: reason']


@pytest.mark.parametrize(
    ("typed", "expected", "source"),
    [
        ("3:2", {"course": "3", "fret": "2", "typed": "2", "sounds": "struck", "act": "printed"}, None),
        ("3:2?", {"course": "3", "fret": "2", "typed": "2", "sounds": "struck", "act": "printed", "doubtful": "yes"},
         None),
        ("3:2!", {"course": "3", "fret": "2", "typed": "2", "sounds": "struck", "act": "added"}, None),
        ("3:2!3:5", {"course": "3", "fret": "2", "typed": "2", "sounds": "struck", "act": "emended"},
         {"course": "3", "fret": "5", "typed": "5"}),
        ("3:2!?", {"course": "3", "fret": "2", "typed": "2", "sounds": "struck", "act": "supplied-illegible"}, None),
        ("3:2!*", {"course": "3", "fret": "2", "typed": "2", "sounds": "struck", "act": "supplied-lost"}, None),
        ("!3:5", {"sounds": "no", "act": "removed"}, {"course": "3", "fret": "5", "typed": "5"}),
        ("3:?", {"course": "3", "state": "illegible", "sounds": "no", "act": "printed"}, None),
        ("3:*", {"course": "3", "state": "lost", "sounds": "no", "act": "printed"}, None),
        ("?:2", {"course": "?", "fret": "2", "typed": "2", "sounds": "no", "act": "printed"}, None),
        ("?", {"sounds": "no", "act": "illegible"}, None),
        ("*", {"sounds": "no", "act": "lost"}, None),
        ("X", {"course": "10", "fret": "0", "typed": "X", "sounds": "struck", "act": "printed"}, None),
        ("3:X", {"course": "3", "fret": "10", "typed": "X", "sounds": "struck", "act": "printed"}, None),
        ("3:2..", {"course": "3", "fret": "2", "typed": "2", "dots": "2", "sounds": "struck", "act": "printed"},
         None),
    ],
)  # fmt: skip
def test_what_the_source_has_and_what_is_read(
    typed: str, expected: dict[str, str], source: dict[str, str] | None
) -> None:
    stop = one(f"| 1={typed}", "//e:bar/e:event/e:stop")
    found = {name: value for name, value in plain(stop).items() if name != "id"}
    assert found == expected
    other = stop.find("e:source", NS)
    assert (None if other is None else dict(other.attrib)) == source


def test_a_refused_sign_is_kept_without_a_sound() -> None:
    """A fretted diapason sounds nothing, but is not lost; what stands beside it sounds."""
    root = valid_events(made("| 1=7:3,3:2"))
    stops = root.xpath("//e:stop", namespaces=NS)
    assert [(stop.get("course"), stop.get("sounds")) for stop in stops] == [("7", "no"), ("3", "struck")]
    assert len(root.xpath("//e:reading", namespaces=NS)) == 1


def test_struck_slurred_held() -> None:
    stops = valid_events(made("| 2=X,3:2 _3:3,X-")).xpath("//e:stop", namespaces=NS)
    assert [(stop.get("course"), stop.get("sounds")) for stop in stops] == [
        ("10", "struck"), ("3", "struck"), ("3", "slurred"), ("10", "held"),
    ]  # fmt: skip
    assert stops[2].get("slur") == "printed"
    assert stops[3].find("e:reading", NS) is None, "what is held has its reading where it is struck"


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("4=3:2", {"reads": "4", "act": "printed"}),
        ("4?=3:2", {"reads": "4", "act": "printed", "doubtful": "yes"}),
        ("4!=3:2", {"reads": "4", "act": "added"}),
        ("4.!8=3:2", {"reads": "4.", "act": "emended", "source": "8"}),
        ("!8=3:2", {"act": "removed", "source": "8"}),
        ("?=3:2", {"act": "illegible"}),
    ],
)
def test_rhythm_signs(typed: str, expected: dict[str, str]) -> None:
    assert plain(one(f"| 4=3:0 {typed}", "(//e:event)[2]/e:value")) == expected


def test_marks_say_what_they_mean() -> None:
    root = valid_events(made("| 4=3:2'2iT 4'rf=X,3:3 4=3:0'T! 3:0'!T"))
    marks = [plain(mark) for mark in root.xpath("//e:mark", namespaces=NS)]
    trill = {"printed": "t", "meaning": "trill", "place": "after"}
    assert marks == [
        {"reads": "2", "act": "printed"},
        {"reads": "i", "act": "printed"},
        {"reads": "T", "act": "printed", **trill},
        {"reads": "r", "act": "printed"},
        {"reads": "f", "act": "printed"},
        {"reads": "T", "act": "added", **trill},
        {"act": "removed", "source": "T", **trill},
    ]


def test_bars() -> None:
    root = valid_events(made("|< 4=3:0\n| 2.=3:2 4=3:0 |!\n| 2=3:2 .||"))
    bars = [plain(bar) for bar in root.iterfind("e:bar", NS)]
    common = {"metre": "C", "beats": "4", "unit": "4"}
    assert bars == [
        {"index": "1", "onset": "0", "length": "1/4", "kind": "short", **common},
        {"index": "2", "label": "1", "onset": "1/4", "length": "1", "expected": "1", "kind": "measured", **common},
        {"index": "3", "label": "2", "onset": "5/4", "length": "1/2", "expected": "1", "kind": "measured", **common},
    ]
    lines = [plain(line) for line in root.xpath("//e:barline", namespaces=NS)]
    assert lines == [
        {"kind": "single", "act": "printed", "implied": "yes"},
        {"kind": "single", "act": "added"},
        {"kind": "repeat-end", "act": "printed"},
    ]


def test_rests_blanks_and_repeated_chords() -> None:
    root = valid_events(made("| 4=- - X,3:2 8== =\n| ditto"))
    found = [plain(event) for event in root.xpath("//e:bar[@index='1']/e:event", namespaces=NS)]
    again = {"length": "1/8", "body": "as-before", "repeated": "yes", "sign": "8"}
    assert found == [
        {"id": "b1e1", "onset": "0", "length": "1/4", "body": "nothing", "rest": "yes", "sign": "4", "drawn": "yes"},
        {"id": "b1e2", "onset": "1/4", "length": "1/4", "body": "nothing", "sign": "4"},
        {"id": "b1e3", "onset": "1/2", "length": "1/4", "sign": "4"},
        {"id": "b1e4", "onset": "3/4", **again, "drawn": "yes"},
        {"id": "b1e5", "onset": "7/8", **again},
    ]
    second = root.xpath("//e:bar[@index='2']", namespaces=NS)[0]
    assert second.get("ditto") == "ditto"
    assert len(second.xpath("e:event[@repeated='yes']", namespaces=NS)) == 5
    assert len(root.xpath("//e:stop", namespaces=NS)) == 12, "a chord that sounds again has its stops again"


def test_groups_and_fractions() -> None:
    root = valid_events(made("| 4/3=3:0 3:2 3:3 2=3:0"))
    times = [(event.get("onset"), event.get("length")) for event in root.xpath("//e:event", namespaces=NS)]
    assert times == [("0", "1/6"), ("1/6", "1/6"), ("1/3", "1/6"), ("1/2", "1/2")]
    assert plain(root.find(".//e:group", NS)) == {"notes": "3", "time": "2"}


def test_notes_other_readings_pins_and_what_cannot_be_read() -> None:
    music = "\n".join(
        [
            "section Prima",
            "| 2=3:2\"a 3:3\"b rubbish&",
            "! 2=3:2 3:5",
            "!B 1=3:2",
            "\"a EB: digits confused",
            "\"a !B 3:3",
            "\"a : adagio",
            "\"b > voice 1, octave up, lasts 4.",
            "\" on the whole bar",
        ]
    )  # fmt: skip
    root = valid_events(made(music))
    notes = [(plain(note), note.text) for note in root.xpath("//e:bar/e:note", namespaces=NS)]
    assert ({"kind": "reason", "label": "a", "who": "EB"}, "digits confused") in notes
    assert ({"kind": "witness", "label": "a", "who": "B"}, "3:3") in notes
    assert ({"kind": "printed-word", "label": "a"}, "adagio") in notes
    assert {"kind": "pin", "label": "b", "voice": "1", "octave": "1", "lasts": "4."} in [given for given, _ in notes]
    variants = root.xpath("//e:variant", namespaces=NS)
    assert [variant.get("witness") for variant in variants] == [None, "B"]
    assert [stop.get("fret") for stop in variants[0].iter("{*}stop")] == ["2", "5"]
    assert not variants[0].xpath(".//e:reading", namespaces=NS)
    assert [word.text for word in root.xpath("//e:unread", namespaces=NS)] == ["rubbish&"]
    assert root.find("e:directive", NS).get("text") == "Prima"


def test_retuning_is_told_where_it_happens() -> None:
    root = valid_events(made("| 1=8\nretune 8 = F#2\n| 1=8"))
    first, second = root.iterfind("e:bar", NS)
    assert first.find("e:instrument", NS) is None
    assert second.find("e:instrument/e:course[@number='8']/e:string", NS).get("pitch") == "F#2"
    assert [string.get("semitones") for string in root.xpath("//e:stop/e:string", namespaces=NS)] == ["41", "42"]


def test_a_sign_from_another_file_names_it() -> None:
    """Places are those of the piece; only another file is named."""
    root = valid_events(made("| 1=3:2"))
    assert root.get("file") == "trial.intav"
    assert not root.xpath("//@file[not(parent::e:events)]", namespaces=NS)


def test_forbidden_characters_are_no_exception() -> None:
    root = valid_events(made('| 1=3:2 \x02x\n" a \x02 note', FULL.replace("title Trial", "title Tri\x01al")))
    assert root.find("e:heading/e:title", NS).text == "Tri\ufffdal"
    assert [word.text for word in root.iter("{*}unread")] == ["\ufffdx"]


# --- readings -------------------------------------------------------------------------------------------------


def test_reading_is_apart_from_the_facts() -> None:
    reading = one("| 1=3:2", "//e:stop/e:reading")
    assert plain(reading) == {
        "voice": "1", "part": "upper", "onset": "0", "length": "1", "spelling": "C#4",
        "decided": "rule", "staff": "1",
    }  # fmt: skip


@pytest.mark.parametrize(("octaves", "asked", "meant"), [(1, False, "C#5"), (1, True, "C#5"), (-1, False, "C#3")])
def test_restored_octave_has_both_pitches(octaves: int, asked: bool, meant: str) -> None:
    """What sounds stays the fact; the reading says what is meant, how surely, and who decided."""
    voiced = made("| 1=3:2")
    (note,) = voiced.notes
    led = replace(note.led, restored=Restored(octaves, 0.625, asked, Decided.EDITOR))
    root = valid_events(replace(voiced, notes=(replace(note, led=led),)))
    restored = root.find(".//e:reading/e:restored", NS)
    expected = {
        "octaves": str(octaves), "confidence": "0.625", "decided": "editor", "sounding": "C#4", "meant": meant,
    }  # fmt: skip
    assert dict(restored.attrib) == (expected | {"asked": "yes"} if asked else expected)
    assert root.find(".//e:stop/e:string", NS).get("semitones") == "61"


def test_without_a_score_there_are_no_staves() -> None:
    voiced = made("| 1=X,3:2")
    root = etree.fromstring(write_events(voiced))
    assert events_schema().validate(root), events_schema().error_log
    assert not root.xpath("//@staff")


def test_events_and_score_agree() -> None:
    voiced = made("| 4.=X,4:2,3:3 8=3:5 4/3=7,2:0 _2:1 3:0 4=- |!\n| 1'r=X,5:0,4:2 |||")
    score = notate(voiced)
    assert differences(written(score), from_events(write_events(voiced, score))) == []


def test_same_piece_same_bytes() -> None:
    assert write_events(made("| 1=X,3:2")) == write_events(made("| 1=X,3:2"))


def test_a_course_sounded_again_in_one_event() -> None:
    root = valid_events(made("| 1=7>3:0>2:1>3:1>3:3 |||"))
    ids = [stop.get("id") for stop in root.iterfind(".//e:stop", NS)]
    assert ids == ["b1e1c7", "b1e1c3", "b1e1c2", "b1e1c3r2", "b1e1c3r3"]
