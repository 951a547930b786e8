"""The engraver is kept from piece to piece, and remembers nothing of the last."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor

import pytest
import verovio

from pipeline.edition.casting import cast_off
from pipeline.edition.notate import notate_copy
from pipeline.edition.reduce import reduce
from pipeline.model.copy import Copy, Fullness
from pipeline.model.song import Song
from pipeline.writers.engrave.drawing import COPY_OPTIONS, EDITION_OPTIONS, SONG_OPTIONS, Drawing, draw
from pipeline.writers.mei import write_mei
from tests import made
from tests.writers.pieces import piece

EDITION = write_mei(cast_off(piece("editing"))).decode()
OTHER = write_mei(cast_off(piece("french"))).decode()
SUNG = write_mei(
    cast_off(notate_copy(reduce(made.voiced("| 4=7,3:2 3:3 2:1 1:0 |||"), Fullness.PLAYABLE), Song(), Copy()))
).decode()


def fresh(mei: str, options: Mapping[str, object] = EDITION_OPTIONS) -> Drawing:
    """Drawn in a thread of its own, whose toolkit has drawn nothing yet."""
    with ThreadPoolExecutor(max_workers=1) as thread:
        return thread.submit(draw, mei, 1.0, options).result()


@pytest.mark.parametrize("before", ["copy", "smaller", "another", "no document"])
def test_what_was_drawn_before_does_not_show(before: str) -> None:
    match before:
        case "copy":
            draw(SUNG, 1.0, COPY_OPTIONS)
        case "smaller":
            draw(EDITION, 0.9)
        case "another":
            draw(OTHER)
        case _:
            assert draw("<mei").warnings
    assert draw(EDITION) == fresh(EDITION)


def test_a_copy_after_an_edition() -> None:
    draw(EDITION)
    assert draw(SUNG, 1.0, COPY_OPTIONS) == fresh(SUNG, COPY_OPTIONS) != fresh(SUNG)


def test_an_edition_says_anew_whatever_a_copy_changes() -> None:
    """And as the engraver itself has it, where the edition asks for nothing."""
    assert EDITION_OPTIONS.keys() == COPY_OPTIONS.keys() == SONG_OPTIONS.keys()
    own = verovio.toolkit().getDefaultOptions()
    assert EDITION_OPTIONS["defaultBottomMargin"] == own["defaultBottomMargin"]
