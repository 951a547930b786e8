"""What the judge counts, on a bar of two voices worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.edition.lead.lines import LineArrays
from pipeline.model.time import WHOLE
from tests.benchmarks.voices import judge
from tests.benchmarks.voices.examples import Example, from_record


def _stop(course: int, sounding: int, intended: int, voice: int, length: str) -> dict[str, object]:
    place = {"course": course, "fret": 0, "sounding": sounding, "intended": intended}
    return place | {"voices": [voice], "lengths": [length], "filler": False}


#: Crotchets A4 (sounding A3, on course 1) and B3 over a minim A2.
PIECE = from_record(
    {
        "name": "trial",
        "habit": "mixed",
        "voices": 2,
        "tuned_down": [1, 2],
        "fretted": 6,
        "fifths": 0,
        "bars": [["0", "1"]],
        "events": [
            {"onset": "0", "stops": [_stop(6, 45, 45, 1, "1/2"), _stop(1, 57, 69, 0, "1/4")]},
            {"onset": "1/4", "stops": [_stop(3, 59, 59, 0, "1/4")]},
        ],
    }
)


def _read(voice: list[int], octave: list[int], crotchets: list[int]) -> LineArrays:
    rows = len(voice)
    none, chance = np.zeros(rows, dtype=np.int64), np.zeros(rows, dtype=np.float32)
    length = np.array(crotchets, dtype=np.int64) * (WHOLE // 4)
    voices, octaves = np.array(voice, dtype=np.int64), np.array(octave, dtype=np.int64)
    return LineArrays(voices, none - 1, length, octaves, chance, none > 0, chance, 2, "mixed", {})


def _counts(true: Example, read: LineArrays) -> dict[str, float]:
    parts = (judge._links, judge._lengths, judge._bass, judge._order, judge._octaves)
    return {name: count for part in parts for name, count in part(true, read).items()}


def test_the_true_reading_is_right_in_all() -> None:
    # Rows within an event go from the last course to the first: A2, A4, then B3.
    found = _counts(PIECE, _read([2, 1, 1], [0, 1, 0], [2, 1, 1]))
    assert found["links"] == found["links found"] == found["links right"] == 1
    assert found["lengths"] == found["stops"] == 3
    assert found["bass"] == found["bass found"] == found["bass right"] == 1
    assert (found["pairs"], found["upside down"]) == (1, 0)
    assert (found["right before"], found["right after"], found["lifted right"]) == (0, 1, 1)


@pytest.mark.parametrize(
    ("name", "wrong"), [("links right", 0), ("bass right", 0), ("upside down", 1), ("lengths", 2), ("lifted right", 0)]
)
def test_a_wrong_reading_is_wrong(name: str, wrong: int) -> None:
    """Bass and tune exchanged, the first crotchet too long, nothing lifted."""
    assert _counts(PIECE, _read([1, 2, 1], [0, 0, 0], [2, 2, 1]))[name] == wrong
