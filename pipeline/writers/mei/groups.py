"""Beams and tuplets as nested elements.

The score states them event by event; MEI wants a tree. A beam that a tuplet cuts is divided there, because time
must stay right and a beam is only ink.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.model.notes import BeamState, StaffEvent, Tuplet
from pipeline.model.score import SungEvent
from pipeline.writers.mei.names import BEAM, TUPLET, Element, sub


@dataclass(frozen=True, slots=True)
class Group:
    """Events ``first`` to ``last`` (inclusive) under one beam, or, with ``tuplet``, in one tuplet."""

    first: int
    last: int
    tuplet: Tuplet | None


def groups_of(beams: Sequence[BeamState | None], tuplets: Sequence[Tuplet | None]) -> list[Group]:
    """All groups, properly nested, the outer before the inner where two begin together."""
    in_time = list(_tuplet_groups(tuplets))
    cuts = {group.first for group in in_time} | {group.last + 1 for group in in_time}
    groups = in_time
    for first, last in _beam_runs(beams):
        groups = groups + [Group(a, b, None) for a, b in _divided(first, last, in_time, cuts) if b > a]
    return sorted(groups, key=lambda group: (group.first, -group.last, group.tuplet is None))


def _beam_runs(beams: Sequence[BeamState | None]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    first = -1
    for index, state in enumerate(beams):
        if state is BeamState.BEGIN:
            first = index
        elif state is BeamState.END and first >= 0:
            runs.append((first, index))
            first = -1
    return runs


def _tuplet_groups(tuplets: Sequence[Tuplet | None]) -> list[Group]:
    """A group that never ends (cut off by the bar) runs to the last event that belongs to it."""
    groups: list[Group] = []
    first, current = -1, None
    for index, tuplet in enumerate(tuplets):
        if first >= 0 and current and (tuplet is None or tuplet.starts):
            groups.append(Group(first, index - 1, current))
            first, current = -1, None
        if tuplet and first < 0:
            first, current = index, tuplet
        if tuplet and current and tuplet.ends:
            groups.append(Group(first, index, current))
            first, current = -1, None
    if first >= 0 and current:
        groups.append(Group(first, len(tuplets) - 1, current))
    return groups


def _divided(first: int, last: int, tuplets: list[Group], cuts: set[int]) -> list[tuple[int, int]]:
    crossed = any(
        (group.first < first <= group.last < last) or (first < group.first <= last < group.last) for group in tuplets
    )
    if not crossed:
        return [(first, last)]
    edges = [first, *sorted(cut for cut in cuts if first < cut <= last), last + 1]
    return [(a, b - 1) for a, b in pairwise(edges)]


def build(
    parent: Element,
    groups: list[Group],
    count: int,
    open_group: Callable[[Element, Group], Element],
    write_event: Callable[[Element, int], None],
) -> None:
    """Write events 0 to ``count`` - 1, each into the innermost group that holds it."""
    if not groups:
        for index in range(count):
            write_event(parent, index)
        return
    holders = [parent]
    ends: list[int] = []
    upcoming = 0
    for index in range(count):
        while upcoming < len(groups) and groups[upcoming].first == index:
            holders.append(open_group(holders[-1], groups[upcoming]))
            ends.append(groups[upcoming].last)
            upcoming += 1
        write_event(holders[-1], index)
        while ends and ends[-1] == index:
            ends.pop()
            holders.pop()


def build_layer(
    layer: Element, events: Sequence[StaffEvent] | Sequence[SungEvent], write_event: Callable[[Element, int], None]
) -> None:
    """Write the events of a staff's layer, each into its beam and tuplet."""
    groups: list[Group] = []
    if any(event.beams or event.tuplet is not None for event in events):
        beams = [event.beams[0] if event.beams else None for event in events]
        groups = groups_of(beams, [event.tuplet for event in events])
    build(layer, groups, len(events), _open_group, write_event)


def _open_group(parent: Element, group: Group) -> Element:
    if group.tuplet is None:
        return sub(parent, BEAM)
    return sub(parent, TUPLET, {"num": str(group.tuplet.notes), "numbase": str(group.tuplet.time)})
