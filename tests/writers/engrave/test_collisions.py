"""Small type at heads and figures keeps clear of what stands beside it.

Measured with the boxes of :mod:`tests.benchmarks.collisions`. Common practice of engraving, no source: no sign stands
upon another.
"""

from __future__ import annotations

import pytest

from pipeline.model.options import Options, Part
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from tests.benchmarks.collisions import collisions, crossings

FRENCH = "longneck 1\ntitle T\ninstrument theorbo in A\nsigns french\nmetre C\n"
LUTE = "longneck 1\ntitle T\ninstrument lute in G\nmetre C\n"
FIGURES = FRENCH.replace("signs french\n", "")


def on_pages(text: str, part: Part = Part.NONE) -> list[str]:
    built = build_piece(SourceText.of("piece.intav", text), (), Options(copy=True, part=part))
    pages = [content.decode() for name, content in built.artefacts if name.endswith(".svg")]
    return [str(each) for page in pages for each in (*collisions(page), *crossings(page))]


@pytest.mark.parametrize(
    "text",
    [
        FRENCH + "mark P = \"#\" plainte, below\n| 4=3f'P 3g'P 3c 3d |||\n",  # a letter that hangs under its line
        FRENCH + "mark X = \"x\" martellement, above\n| 4=3b'X _3c 3d'X _3f |||\n",  # a sign under a slur
        LUTE + "| 4=6:0,4:2'1,3:3'2,2:1'3 3:2'i 3:3'm 2:1'4 | 1=6:0 |||\n",  # fingers of both hands
    ],
)
def test_signs_beside_figures_keep_clear(text: str) -> None:
    assert on_pages(text) == []


def test_a_small_8_beside_two_voices_in_unison_has_a_place_of_its_own() -> None:
    """The head of another voice, and its dot, stand where the 8 would: it goes to where there is room."""
    text = FIGURES + "key D minor\nmetre 3/4\n| 4=13,5:2,2:0 4:2,1:0 3:2 | 2.=X,4:2 |||\n"
    assert [each for each in on_pages(text) if "8" in each] == []


def test_a_bar_number_in_a_part_keeps_clear_of_the_bass_under_it() -> None:
    """The player's line has no clef: its first sign begins at its edge, here a bass and a figure on a lost line."""
    text = FIGURES + "| 4=11,?:0,3:0 14,3:0 12,3:0 13,3:0\n" * 24 + "| 1=11,3:0 |||\n"
    assert on_pages(text, Part.SOURCE) == []
