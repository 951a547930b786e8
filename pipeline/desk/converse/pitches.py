"""Pitches between the lines of the text: what sounds at each event, behind it."""

from __future__ import annotations

from collections.abc import Mapping

from pipeline.desk.converse.look import Look
from pipeline.desk.converse.record import Insight, Pitched
from pipeline.edition.spell import spelled_as_sounding


def names(look: Look, insight: Insight | None) -> dict[str, str]:
    """The name of each stop that is struck, by its id: as the reading spells it, where the piece has been read."""
    found = {stop: pitch.name for stop, pitch in spelled_as_sounding(look.piece).items()}
    return found | {note.stop: note.name for note in insight.notes} if insight is not None else found


def pitches(look: Look, named: Mapping[str, str], first: int, last: int) -> tuple[Pitched, ...]:
    """The pitches of the events typed from line ``first`` to line ``last``, the lowest first; none where nothing
    sounds, or no pitch is claimed. What a hold line reaches stands in brackets."""
    found = []
    for bar in look.piece.bars:
        if bar.bar.ditto is not None:
            continue
        for event in bar.events:
            span = event.event.span
            if not first <= span.line <= last or not event.stops:
                continue
            stops = event.stops
            if all(stop.order == 0 for stop in stops):
                stops = tuple(sorted(stops, key=lambda stop: stop.pitch))
            shown = [f"({named.get(stop.id, '')})" if stop.held else named.get(stop.id, "") for stop in stops]
            found.append(Pitched(span.line, span.end, " ".join(name for name in shown if name)))
    return tuple(one for one in found if one.names)
