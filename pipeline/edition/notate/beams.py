"""Which quavers and shorter notes hang together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pipeline.edition.notate.drafts import DraftEvent
from pipeline.model.notes import BeamState, Kind
from pipeline.model.time import WHOLE, Metre, Ticks, Value

_CROTCHET: Ticks = WHOLE // 4


def hooks(value: Value) -> int:
    """Beams or flags of a note value: 1 for a quaver."""
    return value.unit.bit_length() - 3 if value.unit >= 8 else 0


def beam_states(events: Sequence[DraftEvent], metre: Metre | None, shift: Ticks) -> list[tuple[BeamState, ...]]:
    """One tuple of states, outermost beam first, for each event of a layer; empty where none."""
    states: list[tuple[BeamState, ...]] = [()] * len(events)
    group: list[int] = []
    spans = _Spans(_beam_length(metre), _half_bar(metre), _inner_length(metre), shift)
    for at, event in enumerate(events):
        if event.kind is not Kind.NOTE or hooks(event.value) == 0 or event.stemless:
            _close(group, events, states, spans)
            continue
        if group and (
            _tuplet_between(events[group[-1]], event) or not spans.together([events[member] for member in group], event)
        ):
            _close(group, events, states, spans)
        group.append(at)
    _close(group, events, states, spans)
    return states


def _tuplet_between(before: DraftEvent, event: DraftEvent) -> bool:
    """A group of its own number hangs together, and with no neighbour."""
    starts = event.tuplet is not None and event.tuplet.starts
    return starts or (before.tuplet is not None and before.tuplet.ends)


@dataclass(frozen=True, slots=True)
class _Spans:
    """Within ``unit`` notes hang together; quavers also within ``half`` (0: not); inner beams within ``inner``."""

    unit: Ticks
    half: Ticks
    inner: Ticks
    shift: Ticks

    def together(self, group: list[DraftEvent], event: DraftEvent) -> bool:
        start, place = group[0].start + self.shift, event.start + self.shift
        if start // self.unit == place // self.unit:
            return True
        quavers = event.value.unit == 8 and all(member.value.unit == 8 for member in group)
        return quavers and self.half > 0 and start // self.half == place // self.half and start % self.half == 0

    def inner_break(self, event: DraftEvent) -> bool:
        """Inner beams break where a beat begins, so that it stays visible."""
        return (event.start + self.shift) % self.inner == 0

    def first_half(self, event: DraftEvent, level: int) -> bool:
        """A note alone on a beam level fills the next longer value together with the note behind it where that value
        begins with it. Source: common practice of engraving."""
        longer = _CROTCHET >> (level - 1)
        return event.tuplet is None and (event.start + self.shift) % longer == 0


def _beam_length(metre: Metre | None) -> Ticks:
    """The beat: where the metre counts quavers or less, three of them, or two if their number is no multiple of three.
    Source: common practice of engraving."""
    if metre is None or not metre.beats:
        return _CROTCHET
    unit = WHOLE // metre.unit
    if metre.unit < 8:
        return unit
    return 3 * unit if metre.beats % 3 == 0 else 2 * unit if metre.beats % 2 == 0 else unit


def _inner_length(metre: Metre | None) -> Ticks:
    """A beat longer than a crotchet shows its crotchets, unless it is dotted."""
    return _beam_length(metre) if metre is not None and metre.unit >= 8 else min(_beam_length(metre), _CROTCHET)


def _half_bar(metre: Metre | None) -> Ticks:
    """Quavers run over two beats of common time, from the beginning or the middle of the bar, over a whole bar of three
    crotchets, and over each dotted minim where crotchets are counted in threes."""
    if metre is None or metre.unit != 4:
        return 0
    if metre.beats % 3 == 0:
        return 3 * _CROTCHET
    return WHOLE // 2 if metre.beats == 4 else 0


def _close(group: list[int], events: Sequence[DraftEvent], states: list[tuple[BeamState, ...]], spans: _Spans) -> None:
    if len(group) > 1:
        counts = [hooks(events[at].value) for at in group]
        for place, at in enumerate(group):
            states[at] = levels(
                counts,
                place,
                lambda between: spans.inner_break(events[group[between]]),
                lambda level, note: spans.first_half(events[group[note]], level),
            )
    group.clear()


def levels(
    counts: Sequence[int], place: int, breaks: Callable[[int], bool], forward: Callable[[int, int], bool]
) -> tuple[BeamState, ...]:
    """The states of note ``place`` in a beamed group with these numbers of hooks. ``breaks(i)`` says that the
    inner beams are broken before note ``i``, ``forward(level, i)`` that note ``i`` alone on a level belongs to the
    note behind it."""
    found: list[BeamState] = []
    for level in range(1, counts[place] + 1):
        before = place > 0 and counts[place - 1] >= level and (level == 1 or not breaks(place))
        after = place + 1 < len(counts) and counts[place + 1] >= level and (level == 1 or not breaks(place + 1))
        if before and after:
            found.append(BeamState.CONTINUE)
        elif before:
            found.append(BeamState.END)
        elif after:
            found.append(BeamState.BEGIN)
        else:
            last = place + 1 == len(counts)
            found.append(BeamState.FORWARD if not last and (not place or forward(level, place)) else BeamState.BACKWARD)
    return tuple(found)
