"""Notes that only ask: basses that rise, an end without a final line, a bar typed twice."""

from __future__ import annotations

import pytest

from pipeline.source.checks import basses, last_bar, twice
from tests.source.checks.found import find

THEORBO = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n{}\n"


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("diapasons 8 = F3", "Course 8 is tuned to F3, above course 7 at G2."),
        ("course 10 = D3", "Course 10 is tuned to D3, above course 9 at E2."),
    ],
)
def test_a_bass_above_the_one_before_is_asked_about(line: str, message: str) -> None:
    (found,) = find(basses.check, "| 1=8,4:2 |||", THEORBO.format(line))
    assert (found.slug, found.message) == ("bass-rises", message)


@pytest.mark.parametrize(
    "line",
    # PS-inf: one early source tunes its 13th course to a high F sharp; usual and lowered basses descend
    ["course 13 = F#3", "diapasons 8 = F#2, 11 = C#2", "course 7 = G2+G3"],
)
def test_basses_that_sources_have_are_not_asked_about(line: str) -> None:
    assert not find(basses.check, "| 1=8,4:2 |||", THEORBO.format(line))


def test_a_bass_that_a_retune_line_raises_is_asked_about_there() -> None:
    (found,) = find(basses.check, "| 1=8,4:2\nretune 9 = G2\n| 1=9,4:2 |||")
    assert (found.line, found.under) == (2, "9 = G2")


BARS = "| 4=7,3:0 3:2 3:3 3:0\n"


@pytest.mark.parametrize(
    ("music", "asked"),
    [
        (BARS * 12, True),
        (BARS * 11, False),  # an opening
        (BARS * 11 + "| 1=7,4:0 |||\n", False),
        (BARS * 11 + "| 1=7,4:0 .||\n", False),
        (BARS * 12 + "again start\n", False),
        (BARS * 12 + "gap 3 bars, page lost\n", False),
    ],
)
def test_an_end_without_a_final_line(music: str, asked: bool) -> None:
    assert bool(find(last_bar.check, music)) is asked


RUN = "| 8=7,4:0 3:0 3:2 3:3 2:0 2:1 1:0 1:2\n"
OTHER = "| 8=8,4:2 3:0 3:2 3:3 2:0 2:1 1:0 1:3\n"
PLAIN = "| 4=7,3:0 3:2 3:3 3:0\n"


@pytest.mark.parametrize(
    ("music", "lines"),
    [
        (RUN + RUN + OTHER, [2]),
        (OTHER + RUN + RUN, [3]),
        (RUN + OTHER + RUN, []),
        (RUN * 3, []),  # an ostinato
        (PLAIN + PLAIN + OTHER, []),  # a bar of few notes
        ((RUN * 2 + OTHER * 2) * 2, []),  # pairs are the manner of the piece
        (RUN + "| ditto\n" + OTHER, []),
    ],
)
def test_a_bar_typed_twice(music: str, lines: list[int]) -> None:
    assert [found.line for found in find(twice.check, music)] == lines
