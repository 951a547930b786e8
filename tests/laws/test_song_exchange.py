"""Laws of the singer's copy as MusicXML: whatever is sung, the document is valid and readers find it all.

Held against: the schema of MusicXML 4.0, and the readers music21 and partitura.
"""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from pipeline.edition.notate import notate_copy
from pipeline.edition.reduce import reduce
from pipeline.model.copy import Copy, Fullness
from pipeline.model.score import Score
from pipeline.model.time import ticks_to_fraction
from pipeline.writers.musicxml import write_musicxml
from tests.laws import songs
from tests.laws.test_exchange import law
from tests.outside.readback import (
    as_music21_places,
    differences,
    heads_by_partitura,
    heard_by_music21,
    written_heads,
)
from tests.outside.schemas import valid_musicxml
from tests.outside.sungback import figures_in, notes_by_partitura, notes_of, sung_by_music21, sung_written
from tests.songs import song

fullnesses = st.sampled_from(Fullness)


def made(heading: str, music: str, fullness: Fullness = Fullness.PLAYABLE) -> Score:
    voiced, sung = song(music, heading)
    return notate_copy(reduce(voiced, fullness), sung, Copy(fullness))


@law(100)
@given(songs.headings, songs.pieces, fullnesses)
def test_copies_are_valid(heading: str, music: str, fullness: Fullness) -> None:
    valid_musicxml(made(heading, music, fullness))


@law(60)
@given(songs.headings, songs.pieces, fullnesses)
def test_music21_finds_notes_and_words(heading: str, music: str, fullness: Fullness) -> None:
    score = made(heading, music, fullness)
    document = write_musicxml(score)
    assert sung_by_music21(document) == sung_written(score)
    assert differences(as_music21_places(score), heard_by_music21(document)) == []


@law(80)
@given(songs.headings, songs.pieces, fullnesses)
def test_partitura_finds_notes(heading: str, music: str, fullness: Fullness) -> None:
    score = made(heading, music, fullness)
    document = write_musicxml(score)
    assert notes_by_partitura(document, score) == notes_of(sung_written(score))
    assert differences(written_heads(score), heads_by_partitura(document)) == []


@law(80)
@given(songs.headings, songs.pieces)
def test_figures_stand_where_they_are_printed(heading: str, music: str) -> None:
    score = made(heading, music)
    expected: list[tuple[int, Fraction, int]] = [
        (index, ticks_to_fraction(column.offset), len(column.rows))
        for index, measure in enumerate(score.measures)
        for column in measure.figures
    ]
    found = figures_in(write_musicxml(score))
    assert [(index, at, len(rows)) for _, index, at, rows in found] == expected
