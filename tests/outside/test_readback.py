"""Every piece of the anthology: valid MusicXML, and two independent readers hear what the events document says.

Held against: the schema of MusicXML 4.0 (W3C, as the package musicxml ships it); the readers music21 and partitura.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.folder.files import PieceFile, discover, headings_above, read_file
from pipeline.model.score import Score
from pipeline.model.voiced import VoicedPiece
from pipeline.source.read import sounding_piece
from pipeline.writers.events import write_events
from pipeline.writers.musicxml import write_musicxml
from tests.outside.readback import (
    as_music21_places,
    differences,
    from_events,
    heads_by_partitura,
    heard_by_music21,
    heard_by_partitura,
    written,
    written_heads,
)
from tests.outside.schemas import valid_events, valid_musicxml

ROOT = Path(__file__).parents[2] / "fixtures" / "anthology"
PIECES: dict[str, PieceFile] = {
    file.path.relative_to(ROOT).with_suffix("").as_posix(): file for file in discover([ROOT])
}


@cache
def made(name: str) -> tuple[VoicedPiece, Score]:
    """The reading and the score of one piece."""
    file = PIECES[name]
    above = tuple(read_file(heading.path, heading.name).source for heading in headings_above(file))
    voiced = spell(lead(sounding_piece(read_file(file.path, name).source, above).value))
    return voiced, notate(voiced)


def test_there_are_pieces() -> None:
    assert len(PIECES) >= 15


@pytest.mark.parametrize("name", PIECES)
def test_schemas(name: str) -> None:
    voiced, score = made(name)
    valid_musicxml(score)
    valid_events(voiced)


@pytest.mark.parametrize("name", PIECES)
def test_score_holds_what_was_read(name: str) -> None:
    voiced, score = made(name)
    assert differences(from_events(write_events(voiced, score)), written(score)) == []


@pytest.mark.parametrize("name", PIECES)
def test_music21_hears_the_events(name: str) -> None:
    """The score holds the events: see above."""
    _, score = made(name)
    assert differences(as_music21_places(score), heard_by_music21(write_musicxml(score))) == []


@pytest.mark.parametrize("name", PIECES)
def test_partitura_hears_the_events(name: str) -> None:
    voiced, score = made(name)
    document = write_musicxml(score)
    assert differences(written_heads(score), heads_by_partitura(document)) == []
    assert differences(from_events(write_events(voiced, score)), heard_by_partitura(document)) == []
