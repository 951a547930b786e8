"""Scores of the period, arranged for the theorbo and typed, come back note for note.

Source: scores in music21's corpus. The arranger (tests/benchmarks/voices/arrange.py) knows nothing of the pipeline.
"""

from __future__ import annotations

from collections import Counter

import pytest

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.text import SourceText
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve
from tests.benchmarks.voices import corpus
from tests.benchmarks.voices.arrange import Habit, arrange
from tests.outside.typist import typed


@pytest.mark.parametrize("habit", list(Habit))
@pytest.mark.parametrize("name", ["monteverdi/madrigal.4.12.mxl", "palestrina/Benedictus_00.krn"])
def test_sounding_pitches_come_back(name: str, habit: Habit) -> None:
    """A madrigal in five voices and a mass movement in three."""
    piece = arrange(corpus.load(name), habit, seed=1)
    tablature = parse(SourceText.of("arranged.intav", typed(piece)))
    heading = declare(tablature.value)
    sounding = resolve(tablature.value, heading.value)
    assert not (*tablature.diagnostics, *heading.diagnostics, *sounding.diagnostics)
    heard = Counter(
        (event.onset, stop.pitch, stop.course)
        for bar in sounding.value.bars
        for event in bar.events
        for stop in event.stops
    )
    first = int(piece.onset[0])
    wanted = Counter(
        (int(onset) - first, int(pitch), int(course))
        for onset, pitch, course in zip(piece.onset, piece.sounding, piece.course, strict=True)
    )
    assert heard == wanted
    score = notate(spell(lead(sounding.value)))
    written = Counter(
        head.pitch.semitones
        for measure in score.measures
        for layer in measure.layers
        for event in layer.events
        for head in event.heads
        if not head.tie_to
    )
    assert written == Counter(int(pitch) for pitch in piece.sounding)
