"""Laws of the exchange formats: whatever is typed, the documents are valid and say the same.

Held against: the schema of MusicXML 4.0, and the readers music21 and partitura.
"""

from __future__ import annotations

from hypothesis import given, settings

from pipeline.model.score import Score
from pipeline.model.voiced import VoicedPiece
from pipeline.stages.lead import lead
from pipeline.stages.notate import notate
from pipeline.stages.spell import spell
from pipeline.writers.events import write_events
from pipeline.writers.musicxml import write_musicxml
from tests.laws.music import metres, pieces
from tests.made import resolved
from tests.outside.readback import (
    differences,
    from_events,
    heads_by_partitura,
    heard_by_music21,
    written,
    written_heads,
)
from tests.outside.schemas import valid_events, valid_musicxml


def made(music: str, metre: str) -> tuple[VoicedPiece, Score]:
    piece, _ = resolved(music, f"longneck 1\ntitle Law\ninstrument theorbo in A\nmetre {metre}\n")
    voiced = spell(lead(piece))
    return voiced, notate(voiced)


@settings(max_examples=100, deadline=None)
@given(pieces, metres)
def test_documents_are_valid(music: str, metre: str) -> None:
    voiced, score = made(music, metre)
    valid_musicxml(score)
    valid_events(voiced)


@settings(max_examples=100, deadline=None)
@given(pieces, metres)
def test_events_say_what_the_score_holds(music: str, metre: str) -> None:
    voiced, score = made(music, metre)
    assert differences(from_events(write_events(voiced, score)), written(score)) == []


@settings(max_examples=30, deadline=None)
@given(pieces, metres)
def test_music21_hears_what_the_score_holds(music: str, metre: str) -> None:
    _, score = made(music, metre)
    assert differences(written(score), heard_by_music21(write_musicxml(score))) == []


@settings(max_examples=60, deadline=None)
@given(pieces, metres)
def test_partitura_sees_what_the_score_holds(music: str, metre: str) -> None:
    """Heads one by one: it knows one tie of each pitch at a time, and loses a unison that two voices tie at once."""
    _, score = made(music, metre)
    assert differences(written_heads(score), heads_by_partitura(write_musicxml(score))) == []
