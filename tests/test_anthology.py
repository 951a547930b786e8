"""The demo anthology: no faults, canonical layout, and every feature of the encoding used somewhere.

What is held against: the tables of the encoding (common practice, no source: the music is invented), and for the
folder ``historical`` the worked examples quoted beside each expectation.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from pipeline.edition.lead import lead
from pipeline.edition.spell import spell
from pipeline.folder.files import HEADING, PieceFile, discover, headings_above, read_file
from pipeline.model.diagnostics import Outcome, Severity
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Tablature
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from pipeline.source.read import sounding_piece
from tests.features import FEATURES, features_of

ROOT = Path(__file__).parent.parent / "fixtures" / "anthology"
PIECES = {file.path.relative_to(ROOT).with_suffix("").as_posix(): file for file in discover([ROOT])}

#: Findings that the pieces are meant to have: frets beyond the tied ones are legal, and remarkable.
REMARKABLE = {
    "theorbo/03-prelude": ["fret-on-body"],
    "theorbo/07-bergamasca": ["fret-on-body"],
}


@cache
def _read(name: str) -> tuple[SourceText, tuple[SourceText, ...]]:
    file = PIECES[name]
    above = tuple(read_file(heading.path, heading.name).source for heading in headings_above(file))
    return read_file(file.path, name).source, above


@cache
def _parsed(name: str) -> Outcome[Tablature]:
    return parse(*_read(name))


@cache
def _features(name: str) -> frozenset[str]:
    return features_of(_parsed(name).value)


@cache
def _sounding(name: str) -> Outcome[SoundingPiece]:
    return sounding_piece(*_read(name))


def test_every_kind_of_piece_is_there() -> None:
    assert {name.rpartition("/")[0] for name in PIECES} == {"theorbo", "lute", "songs", "historical"}
    assert len(PIECES) >= 15


@pytest.mark.parametrize("name", PIECES)
def test_parses_without_findings(name: str) -> None:
    assert [(finding.span, finding.message) for finding in _parsed(name).diagnostics] == []


@pytest.mark.parametrize("name", PIECES)
def test_stands_in_its_canonical_layout(name: str) -> None:
    assert write_encoding(_parsed(name).value) == _read(name)[0].text


@pytest.mark.parametrize("file", [file for file in discover([ROOT], headings=True) if file.path.name == HEADING])
def test_headings_stand_in_their_canonical_layout(file: PieceFile) -> None:
    source = read_file(file.path, file.name).source
    parsed = parse(source)
    assert parsed.diagnostics == ()
    assert write_encoding(parsed.value) == source.text


@pytest.mark.parametrize("name", PIECES)
def test_has_no_fault_and_no_remark_but_the_meant(name: str) -> None:
    found = _sounding(name).diagnostics
    assert [finding.message for finding in found if finding.severity is Severity.ERROR] == []
    assert [finding.code.slug for finding in found] == REMARKABLE.get(name, [])


def test_the_long_toccata_fills_a_page_of_thirty_bars() -> None:
    assert len(_sounding("theorbo/01-toccata").value.bars) >= 30


def test_own_line_wins_over_the_folders_heading() -> None:
    piece = _sounding("theorbo/10-follia").value
    assert _sounding("theorbo/09-canzonetta").value.heading.instrument.name == "theorbo in A"
    assert piece.heading.instrument.name == "tiorbino in A"


@pytest.mark.parametrize("feature", sorted(FEATURES))
def test_every_feature_of_the_encoding_is_used(feature: str) -> None:
    used = [name for name in PIECES if feature in _features(name)]
    assert used, f"no piece of the anthology uses: {feature}"


#: Sounding pitches of each event, by course from the highest number to 1, as calculated from the tunings (calc); the
#: tablature is as quoted second-hand from the print named in each file.
QUOTED = {
    "historical/01-fleury": [
        "F2 A3 C4 F3",
        "F#3 D4 A3",
        "G2 D4 G3 Bb3",
        "G#3 B3 E3",
        "A2 C4 F3",
        "Bb2 Bb3 D4 F3",
    ],
    "historical/02-toccata-arpeggiata": ["G3 D4 G3 B3", "E3 B3 G3 C4"],
    "historical/03-melii": ["A2 A3 C4 F3", "C3 G3 C4 F3", "E3", "D4", "E3", "F3", "F3", "F2 C4 F3 A3"],
    "historical/04-first-notes": ["F4", "C5"],
    "historical/05-tablature-chapter": ["G2 G3"],
}


@pytest.mark.parametrize("name", QUOTED)
def test_the_quoted_examples_sound_as_calculated(name: str) -> None:
    voiced = spell(lead(_sounding(name).value))
    names = {note.led.id: note.spelling.name for note in voiced.notes}
    events = [event for bar in voiced.sounding.bars for event in bar.events if event.stops]
    assert [" ".join(names[stop.id] for stop in event.stops) for event in events] == QUOTED[name]
