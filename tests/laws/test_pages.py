"""Laws of the engraved edition: whatever is typed, the document is valid and is drawn, whole and without a word."""

from __future__ import annotations

import re

from hypothesis import given
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.model.score import Score
from pipeline.writers.engrave import engrave
from pipeline.writers.mei import write_mei
from tests.laws.test_exchange import PIECES, law, made
from tests.writers.mei_schema import faults


@law(120)
@given(PIECES)
def test_mei_is_valid(piece: tuple[str, str]) -> None:
    """Source: mei-all-5.1.rng of the Music Encoding Initiative."""
    _, score = made(piece)
    assert faults(write_mei(cast_off(score))) == []


def wanted(score: Score) -> set[str]:
    figures = {figure.id for measure in score.measures for event in measure.tab for figure in event.figures}
    heads = {head.id for m in score.measures for layer in m.layers for e in layer.events for head in e.heads}
    return figures | heads


@law(120)
@given(PIECES)
def test_every_sign_is_drawn_once_without_a_warning(piece: tuple[str, str]) -> None:
    _, score = made(piece)
    engraved = engrave(write_mei(cast_off(score)), score)
    assert engraved.warnings == ()
    for page in engraved.pages:
        etree.fromstring(page.encode())
    drawn = [name for page in engraved.pages for name in re.findall(r'<g id="([^"]+)" class="note', page)]
    assert sorted(drawn) == sorted(wanted(score))
