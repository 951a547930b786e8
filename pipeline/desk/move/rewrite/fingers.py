"""Marks for the left hand: they stay where the same fingers still do the same."""

from __future__ import annotations

from collections.abc import Callable

from pipeline.desk.move.rewrite.losses import NOT_CARRIED_OVER, Losses
from pipeline.model.record import replace
from pipeline.model.signs import Event, Head, Label, MarkGroup, Reading, Stop

_FINGERS = frozenset("1234")
_BARRE = "b"


def with_fingers(old: Event, new: Event, frets: dict[int, int], losses: Losses) -> Event:
    """``new``, the moved ``old``, without the fingers and barres that no longer hold. ``frets`` are the old ones, by
    the place of each stop in ``new``."""
    places = [number for number, stop in enumerate(new.stops) if _marked(stop.marks, _FINGERS)]
    if places and not _same_hand(new.stops, places, frets):
        stops = list(new.stops)
        for number in places:
            stops[number] = _without(stops[number], _is_finger)
        what = "left-hand fingers are left out: the hand takes these notes otherwise"
        losses.say(NOT_CARRIED_OVER, old.span, what)
        new = replace(new, stops=tuple(stops))
    barred = [number for number, stop in enumerate(new.stops) if _marked(stop.marks, frozenset(_BARRE))]
    if barred and (len(barred) < 2 or len({_fret(new.stops[number]) for number in barred}) > 1 or _open(new, barred)):
        stops = list(new.stops)
        for number in barred:
            stops[number] = _without(stops[number], _is_barre)
        losses.say(NOT_CARRIED_OVER, old.span, "a partial barre is left out: its ends lie on two frets")
        new = replace(new, stops=tuple(stops))
    return _with_barre(old, new, losses)


def _with_barre(old: Event, new: Event, losses: Losses) -> Event:
    head = new.head
    if head is None or not _marked(head.marks, frozenset(_BARRE)):
        return new
    stopped = [fret for stop in new.stops if (fret := _fret(stop))]
    if stopped.count(min(stopped, default=0)) > 1:
        return new
    losses.say(NOT_CARRIED_OVER, old.span, "the barre is left out: no two courses are stopped at its fret")
    marks, labels = _less(head.marks, _is_barre)
    rest: Head | None = replace(head, marks=marks, opening_labels=(*head.opening_labels, *labels))
    if rest is not None and not (rest.value or rest.group or rest.marks or rest.labels or rest.opening_labels):
        rest = None if not rest.beamed else rest
    return replace(new, head=rest)


def _same_hand(stops: tuple[Stop, ...], places: list[int], frets: dict[int, int]) -> bool:
    """Whether all fingered notes are still stopped and lie to each other as they did, with room for the first finger
    above the nut, unless it stays where it was."""
    moved = {_fret(stops[number]) - frets.get(number, 0) for number in places}
    above = all(_fret(stops[number]) >= _finger(stops[number]) for number in places)
    return len(moved) == 1 and (moved == {0} or above)


def _finger(stop: Stop) -> int:
    found = [int(mark) for group in stop.marks for mark in (each.edition for each in group.marks) if mark in _FINGERS]
    return max(1, min(found, default=1))


def _open(event: Event, places: list[int]) -> bool:
    return any(not _fret(event.stops[number]) for number in places)


def _fret(stop: Stop) -> int:
    return (stop.sign.fret or 0) if stop.sign is not None else 0


def _marked(groups: tuple[MarkGroup, ...], letters: frozenset[str]) -> bool:
    return any(reading.edition in letters for group in groups for reading in group.marks)


def _is_finger(reading: Reading[str]) -> bool:
    return reading.edition in _FINGERS


def _is_barre(reading: Reading[str]) -> bool:
    return reading.edition == _BARRE


def _without(stop: Stop, unwanted: Callable[[Reading[str]], bool]) -> Stop:
    marks, labels = _less(stop.marks, unwanted)
    return replace(stop, marks=marks, labels=(*stop.labels, *labels))


def _less(
    groups: tuple[MarkGroup, ...], unwanted: Callable[[Reading[str]], bool]
) -> tuple[tuple[MarkGroup, ...], tuple[Label, ...]]:
    """The marks that are wanted, and the labels of groups that none is left of."""
    kept: list[MarkGroup] = []
    labels: list[Label] = []
    for group in groups:
        marks = tuple(reading for reading in group.marks if not unwanted(reading))
        if marks:
            kept.append(replace(group, marks=marks))
        else:
            labels.extend(group.labels)
    return tuple(kept), tuple(labels)
