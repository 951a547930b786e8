"""Contents: what is read back from ``events.xml`` is what the records say; spoiled documents are refused in words."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from pipeline.desk.compare.content import PieceContent
from pipeline.desk.compare.contents import NotEventsError, NotFindingsError, recall_content, recall_findings
from pipeline.desk.compare.differ import differences
from pipeline.model.record import replace
from pipeline.model.text import SourceText
from tests.desk.contents import both_ways
from tests.laws import rich, songs
from tests.made import text
from tests.outside.schemas import events_schema

ANTHOLOGY = sorted(Path("fixtures/anthology").rglob("*.intav"))
LABELS = (
    "source A = Book\nsource B = Manuscript\neditor EB = E. B.\nmetre C\nkey D minor\nvoices 3\nstrings 84 cm, 160 cm\n"
    'pitch 415\nwritten-out no\nmark T = "t" trill, after\n'
)
LABELLED = """\
opens ||.
| 2"a=X,4:2"b'T"c _8"d=3:3 "e=3:2 4'f"g=3:0 |!"h
"a EB: value
"b > voice 2, octave up, lasts to d
"c EB: mark
"d : adagio
"e !B 3:1
"g EB: fermata
"h EB: bar line
" EB: bar
!B 1=X,3:2
"""


def everything(piece: PieceContent) -> dict[str, object]:
    """With the fields that the records do not compare; lines that cannot be read are in no document."""
    return asdict(replace(piece, unread=()))


@settings(max_examples=60, deadline=None)
@given(rich.music, rich.headings)
def test_read_back_as_written(music: str, heading: str) -> None:
    made, recalled, _ = both_ways(text(music, heading))
    assert everything(recalled) == everything(made)


@settings(max_examples=40, deadline=None)
@given(songs.pieces, songs.headings)
def test_songs_read_back_as_written(music: str, heading: str) -> None:
    made, recalled, _ = both_ways(text(music, heading))
    assert everything(recalled) == everything(made)


def test_what_is_said_of_a_text_as_published_reads_back() -> None:
    head = "edition 1.2, 2026-11-30\nlicence CC BY 4.0, https://example.org/by\ncanvas 4r = https://example.org/4r\n"
    made, recalled, document = both_ways(SourceText.of("x.intav", f"longneck 1\n{head}instrument theorbo in A\n| 1=X"))
    assert everything(recalled) == everything(made)
    assert dict(made.heading.described) | {
        "edition": "1.2, 2026-11-30",
        "licence": "CC BY 4.0, https://example.org/by",
        "canvas 4r": "https://example.org/4r",
    } == dict(made.heading.described)
    events_schema().assertValid(etree.fromstring(document))


@pytest.mark.parametrize("path", ANTHOLOGY, ids=lambda path: path.stem)
def test_the_anthology_reads_back(path: Path) -> None:
    made, recalled, document = both_ways(SourceText.of(path.name, path.read_text(encoding="utf-8")))
    assert everything(recalled) == everything(made)
    schema = events_schema()
    from lxml import etree  # noqa: PLC0415

    assert schema.validate(etree.fromstring(document)), schema.error_log


def test_notes_go_back_to_their_signs() -> None:
    """Which letter ties a note to its sign says nothing; which event a pinned note lasts to does."""
    made, recalled, _ = both_ways(text(LABELLED, f"longneck 1\ntitle Trial\ninstrument theorbo in A\n{LABELS}"))
    assert everything(recalled) == everything(made)
    bar = made.bars[0]
    first, second, third, fourth = bar.items
    assert [note.text for note in first.notes] == ["value"]
    assert [note.text for note in first.stops[1].notes] == ["voice 2, octave up, lasts to event 2"]
    assert [note.text for note in first.stops[1].marks[0].notes] == ["mark"]
    assert [note.text for note in second.notes] == ["adagio"]
    assert [note.text for note in third.notes] == ["3:1"]
    assert [note.text for note in fourth.marks[0].notes] == ["fermata"]
    assert [note.text for note in bar.closing.notes] == ["bar line"]
    assert [note.text for note in bar.notes] == ["bar"]
    assert not made.closing and bar.variants[0].witness == "B"


def test_a_beam_without_a_value_and_labels_of_an_event_are_in_the_document() -> None:
    _, recalled, document = both_ways(text('| 16=1:0 _=1:2 "a=1:3\n"a EB: why'))
    assert b'joined="yes"' in document and b'labels="a"' in document
    assert recalled.bars[0].items[1].beamed and recalled.bars[0].items[2].notes


# --- spoiled documents ----------------------------------------------------------------------------------

GOOD = both_ways(text("| 2=X,4:2,3:3 4=3:5 3:6\n| 1=7,3:0 |||", f"longneck 1\ninstrument theorbo in A\n{LABELS}"))[2]
NAMESPACE = b'xmlns="urn:longneck:events:1"'


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "not well-formed XML"),
        (b"<x", "not well-formed XML (line 1)"),
        (GOOD[:-20], "not well-formed XML"),
        (b"<score/>", "not an events document of this form"),
        (GOOD.replace(b'form="1"', b'form="2"'), "not an events document of this form"),
        (b'<events form="1" ' + NAMESPACE + b"/>", "no heading"),
        (b'<!DOCTYPE events [<!ENTITY a "b">]>' + GOOD.split(b"?>", 1)[1], "document type"),
        (b'<!DOCTYPE events SYSTEM "http://127.0.0.1:9/x.dtd">' + GOOD.split(b"?>", 1)[1], "document type"),
        (re.sub(rb'act="printed"', b'act="strange"', GOOD), "does not hold"),
        (re.sub(rb'onset="0"', b'onset="1/0"', GOOD), "does not hold"),
        (re.sub(rb'pitch="A3"', b'pitch=""', GOOD), "does not hold"),
        (re.sub(rb'sign="2"', b'sign="7"', GOOD), "does not hold"),
        (re.sub(rb"<barline[^>]*/>", b"", GOOD), "does not hold"),
    ],
)
def test_a_spoiled_document_is_refused_in_words(data: bytes, said: str) -> None:
    with pytest.raises(NotEventsError, match=re.escape(said)):
        recall_content(data)


def test_entities_are_never_unfolded() -> None:
    """Ten steps of tenfold entities: nothing is unfolded, at once."""
    steps = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 10))
    data = f'<!DOCTYPE events [<!ENTITY e0 "x">{steps}]><events form="1" {NAMESPACE.decode()}>&e9;</events>'
    with pytest.raises(NotEventsError):
        recall_content(data.encode())


_VALUES = st.sampled_from(["", "0", "-1", "7", "1/0", "x", "²", "٣", "yes", "9" * 40, "added", "lost", "G9", "b1e1c1"])


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_any_spoiled_attribute_is_refused_or_compared(data: st.DataObject) -> None:
    places = [match.span(1) for match in re.finditer(rb'\w="([^"]*)"', GOOD)][2:]
    spoiled = GOOD
    for start, end in sorted(data.draw(st.lists(st.sampled_from(places), min_size=1, max_size=3, unique=True)))[::-1]:
        spoiled = spoiled[:start] + data.draw(_VALUES).encode() + spoiled[end:]
    with suppress(NotEventsError):
        differences(recall_content(GOOD), recall_content(spoiled))


@pytest.mark.parametrize(
    "data",
    [b"", b"[]", b"{", b'{"piece": "x"}', b'{"piece": "x", "findings": [1]}', b"[" * 100_000,
     b'{"piece":"x","findings":[{"code":"a","severity":"b","message":"c","place":{"file":"x","line":1e999}}]}'],
)  # fmt: skip
def test_spoiled_findings_are_refused(data: bytes) -> None:
    with pytest.raises(NotFindingsError):
        recall_findings(data)
