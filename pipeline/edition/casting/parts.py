"""Measures too long for one line: divided between events, with nothing drawn where they are divided.

Only moments at which every layer begins something new can divide a measure, and no beam or tuplet goes over them.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from pipeline.model.notes import BeamState, Kind, Layer, StaffEvent, TabEvent
from pipeline.model.parts import part_id
from pipeline.model.record import replace
from pipeline.model.score import BarStyle, Ending, Measure, SungEvent, SungStaff
from pipeline.model.time import Ticks

_GOING_ON = (BeamState.CONTINUE, BeamState.END)


def divided(measure: Measure, count: int) -> list[Measure]:
    """The measure in about ``count`` parts of as many events each; in one if nothing can divide it."""
    cuts = _cuts(measure, count)
    if not cuts:
        return [measure]
    edges = [measure.onset, *cuts, measure.onset + measure.ticks]
    homes = _homes(measure, edges)
    last = len(edges) - 2
    return [_part(measure, edges, number, homes, is_last=number == last) for number in range(len(edges) - 1)]


def _cuts(measure: Measure, count: int) -> list[Ticks]:
    """The moments nearest to an even division."""
    onsets = _onsets(measure)
    allowed = sorted(_allowed(measure))
    before = [bisect_left(onsets, moment) for moment in allowed]  # how many events each of them has before it
    cuts: list[Ticks] = []
    for number in range(1, count) if allowed else ():
        wanted = number * len(onsets) / count
        place = min(bisect_left(before, wanted), len(before) - 1)
        if place and wanted - before[place - 1] <= before[place] - wanted:
            place -= 1
        nearest = allowed[bisect_left(before, before[place])]
        if nearest not in cuts[-1:]:
            cuts.append(nearest)
    return cuts


def _onsets(measure: Measure) -> list[Ticks]:
    """When the tablature, or else the staves, begin something."""
    if measure.tab:
        return [event.onset for event in measure.tab]
    return sorted({event.onset for layer in measure.layers for event in layer.events})


def _allowed(measure: Measure) -> set[Ticks]:
    allowed = {event.onset for event in measure.tab if event.beam not in _GOING_ON and _free(event)}
    if not measure.tab:
        allowed = set(_onsets(measure))
    for layer in measure.layers:
        if not any(event.whole_bar for event in layer.events):
            allowed &= {event.onset for event in layer.events if _begins(event)}
    for staff in measure.sung:
        if not any(note.whole_bar for note in staff.events):
            allowed &= {note.onset for note in staff.events if _begins(note)}
    return allowed - {measure.onset}


def _begins(event: StaffEvent | SungEvent) -> bool:
    return _free(event) and not any(state in _GOING_ON for state in event.beams)


def _free(event: TabEvent | StaffEvent | SungEvent) -> bool:
    return event.tuplet is None or event.tuplet.starts


def _homes(measure: Measure, edges: Sequence[Ticks]) -> dict[str, int]:
    """Ids of groups, figures, chords and heads → the number of the part in which they stand."""
    homes: dict[str, int] = {}
    for event in measure.tab:
        home = _home(event.onset, edges)
        homes[event.id] = home
        homes.update((figure.id, home) for figure in event.figures)
    for layer in measure.layers:
        for chord in layer.events:
            home = _home(chord.onset, edges)
            homes[chord.id] = home
            homes.update((head.id, home) for head in chord.heads)
    return homes


def _home(moment: Ticks, edges: Sequence[Ticks]) -> int:
    return max(0, bisect_right(edges, moment, 0, len(edges) - 1) - 1)


def _part(measure: Measure, edges: Sequence[Ticks], number: int, homes: dict[str, int], *, is_last: bool) -> Measure:
    start, end = edges[number], edges[number + 1]
    first = number == 0
    return replace(
        measure,
        id=part_id(measure.id, number + 1),
        label=measure.label if first else "",
        onset=start,
        ticks=end - start,
        left=measure.left if first else BarStyle.NONE,
        right=measure.right if is_last else BarStyle.NONE,
        tab=tuple(event for event in measure.tab if start <= event.onset < end),
        layers=tuple(_layer(layer, start, end, number) for layer in measure.layers),
        metre=measure.metre if first else None,
        fifths=measure.fifths if first else None,
        complete=False,
        slurs=tuple(slur for slur in measure.slurs if homes.get(slur.start, 0) == number),
        holds=tuple(hold for hold in measure.holds if homes.get(hold.start, 0) == number),
        arpeggios=tuple(wave for wave in measure.arpeggios if homes.get(wave.heads[0], 0) == number),
        dashes=tuple(dashes for dashes in measure.dashes if homes.get(dashes.start, 0) == number),
        brackets=tuple(bracket for bracket in measure.brackets if homes.get(bracket.start, 0) == number),
        octave_runs=tuple(run for run in measure.octave_runs if homes.get(run.start, 0) == number),
        words=tuple(
            replace(words, offset=words.offset + measure.onset - start)
            for words in measure.words
            if _home(measure.onset + words.offset, edges) == number
        ),
        ending=_ending(measure.ending, first, is_last),
        folios=measure.folios if first else (),
        retuned=measure.retuned if first else None,
        layout=measure.layout if first else None,
        footnote=measure.footnote if first else "",
        sung=tuple(_sung(staff, start, end, number) for staff in measure.sung),
        figures=tuple(
            replace(column, offset=column.offset + measure.onset - start)
            for column in measure.figures
            if _home(measure.onset + column.offset, edges) == number
        ),
        chord_signs=tuple(
            replace(sign, offset=sign.offset + measure.onset - start)
            for sign in measure.chord_signs
            if _home(measure.onset + sign.offset, edges) == number
        ),
    )


def _ending(ending: Ending | None, first: bool, is_last: bool) -> Ending | None:
    if ending is None:
        return None
    return replace(ending, starts=ending.starts and first, ends=ending.ends and is_last)


def _layer(layer: Layer, start: Ticks, end: Ticks, number: int) -> Layer:
    """The events of the part; a rest for the whole bar stands in the first part only."""
    if any(event.whole_bar for event in layer.events):
        whole = next(event for event in layer.events if event.whole_bar)
        if number:
            whole = replace(whole, id=part_id(whole.id, number + 1), kind=Kind.SPACE, fermata=False)
        return replace(layer, events=(whole,))
    return replace(layer, events=tuple(event for event in layer.events if start <= event.onset < end))


def _sung(staff: SungStaff, start: Ticks, end: Ticks, number: int) -> SungStaff:
    """As for a layer."""
    if any(note.whole_bar for note in staff.events):
        whole = next(note for note in staff.events if note.whole_bar)
        if number:
            whole = replace(whole, id=part_id(whole.id, number + 1), kind=Kind.SPACE, fermata=False)
        return replace(staff, events=(whole,))
    return replace(staff, events=tuple(note for note in staff.events if start <= note.onset < end))
