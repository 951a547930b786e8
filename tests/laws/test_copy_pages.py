"""Laws of the engraved copy: whatever is sung, the document is valid and is drawn, whole and without a word."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.model.copy import Fullness
from pipeline.model.notes import Kind
from pipeline.model.score import Score
from pipeline.writers.engrave import engrave
from pipeline.writers.mei import write_mei
from tests.laws import songs
from tests.laws.test_exchange import law
from tests.songs import copied
from tests.writers.mei_schema import faults

fullnesses = st.sampled_from(Fullness)


@law(80)
@given(songs.headings, songs.pieces, fullnesses)
def test_mei_is_valid(heading: str, music: str, fullness: Fullness) -> None:
    """Source: mei-all-5.1.rng of the Music Encoding Initiative."""
    assert faults(write_mei(cast_off(copied(music, heading, fullness)))) == []


def wanted(score: Score) -> set[str]:
    heads = {head.id for m in score.measures for layer in m.layers for e in layer.events for head in e.heads}
    return heads | {
        note.id for m in score.measures for staff in m.sung for note in staff.events if note.kind is Kind.NOTE
    }


@law(80)
@given(songs.headings, songs.pieces, fullnesses)
def test_every_note_is_drawn_once_without_a_warning(heading: str, music: str, fullness: Fullness) -> None:
    score = copied(music, heading, fullness)
    engraved = engrave(write_mei(cast_off(score)), score)
    assert engraved.warnings == ()
    for page in engraved.pages:
        etree.fromstring(page.encode())
        assert "Leipzig" not in page, "a letter of a music font that no reader has"
    drawn = [name for page in engraved.pages for name in re.findall(r'<g id="([^"]+)" class="note', page)]
    assert sorted(drawn) == sorted(wanted(score))
