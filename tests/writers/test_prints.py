"""What prints hold, through to every writer: an event left out, two signs, five lines, no sign of metre, a source that
omits a bar. The anthology's ricercar is held against the schemas of MEI and MusicXML elsewhere."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from pipeline.folder.batch import Job, build_one
from pipeline.folder.files import PieceFile
from pipeline.model.artefacts import Form
from pipeline.model.options import Options

PIECE = Path(__file__).parents[2] / "fixtures" / "anthology" / "lute" / "11-ricercar.intav"
MEI = "{http://www.music-encoding.org/ns/mei}"
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The written documents by name."""
    file = PieceFile(PIECE, "11-ricercar.intav", Path("ricercar"))
    options = Options(forms=(Form.MEI, Form.MUSICXML, Form.EVENTS))
    done = build_one(Job(file, tmp_path_factory.mktemp("out")), options)
    assert not done.fault
    return {
        path.name: etree.parse(path).getroot() for path in done.written if path.suffix in (".mei", ".musicxml", ".xml")
    }


def test_mei_has_five_lines_with_course_1_above_and_no_sign_of_metre(out: dict[str, Any]) -> None:
    staff = next(out["edition.mei"].iter(f"{MEI}staffDef"))
    assert (staff.get("lines"), staff.get("notationtype")) == ("5", "tab.lute.french")
    assert staff.find(f"{MEI}meterSig") is None


def test_mei_has_the_bar_and_the_chord_of_the_other_source(out: dict[str, Any]) -> None:
    readings = list(out["edition.mei"].iter(f"{MEI}rdg"))
    assert [reading.get("source") for reading in readings] == ["#source-B", "#source-B"]
    chord, omitted = readings
    assert [note.get("tab.fret") for note in chord.iter(f"{MEI}note")] == ["0", "3", "0"]
    assert not len(omitted)


def test_what_is_left_out_is_not_drawn_and_takes_no_time(out: dict[str, Any]) -> None:
    ids = [group.get(XML_ID) for group in out["edition.mei"].iter(f"{MEI}tabGrp")]
    assert {"g-b3e2", "g-b3e4"} < set(ids)
    assert "g-b3e3" not in ids
    third = out["edition.musicxml"].findall("part")[0].findall("measure")[2]
    divisions = int(out["edition.musicxml"].findtext("part/measure/attributes/divisions"))
    for voice in {note.findtext("voice") for note in third.iter("note")}:
        notes = [note for note in third.iter("note") if note.findtext("voice") == voice and note.find("chord") is None]
        assert sum(int(note.findtext("duration")) for note in notes) == 4 * divisions


def test_musicxml_orders_the_lines_from_the_highest_course_down(out: dict[str, Any]) -> None:
    details = next(out["edition.musicxml"].iter("staff-details"))
    assert details.findtext("staff-lines") == "5"
    tunings = {one.get("line"): one.findtext("tuning-step") for one in details.findall("staff-tuning")}
    assert tunings == {"5": "G", "4": "D", "3": "A", "2": "F", "1": "C"}
    assert [time.get("print-object") for time in out["edition.musicxml"].iter("time")].count("no") == 1


def test_events_name_the_second_sign_and_the_omission(out: dict[str, Any]) -> None:
    text = etree.tostring(out["events.xml"]).decode()
    for said in ('second="8"', 'omits="yes"', 'lines="5"', 'course-1-above="yes"'):
        assert said in text
