"""Runs of notes meant an octave off their sound: one sign and a bracket for all of them.

A run is two or more notes of one line after another, each alone on its staff at its moment, all read alike. Inside
chords each note keeps its small sign.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from pipeline.model.notes import Kind, Layer, Notehead, Octave, StaffEvent
from pipeline.model.record import replace
from pipeline.model.score import Measure, OctaveRun, WordsKind


@dataclass(slots=True)
class _Open:
    """A run that may go on: the measure it begins in and its heads."""

    place: int
    octave: Octave
    staff: int
    heads: list[str] = field(default_factory=list)

    def goes_on(self, head: Notehead) -> bool:
        octave = head.octave
        return (
            octave is not None
            and head.staff == self.staff
            and (octave.octaves, octave.asked) == (self.octave.octaves, self.octave.asked)
        )


def with_octave_runs(measures: Sequence[Measure]) -> tuple[Measure, ...]:
    """The measures with their runs; a note of a run but the first has no sign of its own."""
    runs = list(_runs(measures))
    if not runs:
        return tuple(measures)
    silent = {head for run in runs for head in run.heads[1:]}
    begins: dict[int, list[OctaveRun]] = {}
    for run in runs:
        first, last = run.heads[0], run.heads[-1]
        made = OctaveRun(f"o-{first}", first, last, run.octave.octaves, run.octave.asked)
        begins.setdefault(run.place, []).append(made)
    return tuple(
        replace(
            measure,
            layers=tuple(_silenced(layer, silent) for layer in measure.layers),
            octave_runs=tuple(begins.get(place, ())),
        )
        for place, measure in enumerate(measures)
    )


def _runs(measures: Sequence[Measure]) -> list[_Open]:
    found: list[_Open] = []
    running: dict[int, _Open] = {}
    for place, measure in enumerate(measures):
        broken = any(words.kind is WordsKind.GAP for words in measure.words)
        here = {layer.voice for layer in measure.layers}
        for voice in [voice for voice in running if broken or voice not in here]:
            found.append(running.pop(voice))
        for layer in measure.layers:
            for event in layer.events:
                _take(found, running, place, layer, event, alone=measure.stands_alone(layer, event))
    found.extend(running.values())
    return sorted((run for run in found if len(run.heads) > 1), key=lambda run: run.place)


def _take(
    found: list[_Open], running: dict[int, _Open], place: int, layer: Layer, event: StaffEvent, *, alone: bool
) -> None:
    """One event of a line: it goes on with the run, ends it, or begins one."""
    head = event.heads[0] if event.kind is Kind.NOTE and alone else None
    run = running.get(layer.voice)
    if run is not None:
        if head is not None and run.goes_on(head):
            run.heads.append(head.id)
            return
        if event.heads and all(each.tie_to for each in event.heads):
            return
        found.append(running.pop(layer.voice))
    if head is not None and head.octave is not None and head.octave.octaves > 0:
        running[layer.voice] = _Open(place, head.octave, head.staff, [head.id])


def _silenced(layer: Layer, silent: set[str]) -> Layer:
    if not any(head.id in silent for event in layer.events for head in event.heads):
        return layer
    events = (
        replace(event, heads=tuple(_silent(head) if head.id in silent else head for head in event.heads))
        for event in layer.events
    )
    return replace(layer, events=tuple(events))


def _silent(head: Notehead) -> Notehead:
    assert head.octave is not None
    return replace(head, octave=replace(head.octave, in_run=True))
