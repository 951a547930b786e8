"""Beams of printed grids: the score joins whole signs, MusicXML wants each level of beam."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.model.notes import BeamState, TabEvent
from pipeline.writers.musicxml.values import flags


def grid_beams(events: Sequence[TabEvent]) -> dict[str, tuple[BeamState, ...]]:
    """The states of all levels, from 1, of each event that stands in a printed grid; by event id."""
    found: dict[str, tuple[BeamState, ...]] = {}
    run: list[TabEvent] = []
    for event in events:
        if event.beam is None:
            continue
        if event.beam is BeamState.BEGIN:
            run = []
        run.append(event)
        if event.beam is BeamState.END:
            found.update(_levels(run))
            run = []
    return found


def _levels(run: list[TabEvent]) -> dict[str, tuple[BeamState, ...]]:
    counts = [flags(event.value.unit) for event in run]
    return {
        event.id: tuple(_state(counts, index, level) for level in range(1, count + 1))
        for index, (event, count) in enumerate(zip(run, counts, strict=True))
    }


def _state(counts: list[int], index: int, level: int) -> BeamState:
    """One level at one event: joined to its neighbours as far as they have that level too."""
    before = index > 0 and counts[index - 1] >= level
    after = index + 1 < len(counts) and counts[index + 1] >= level
    if before and after:
        return BeamState.CONTINUE
    if after:
        return BeamState.BEGIN
    if before:
        return BeamState.END
    return BeamState.BACKWARD if index else BeamState.FORWARD
