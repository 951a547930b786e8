"""Two states of a place laid over each other: what the edition reads and what the source has."""

from __future__ import annotations

from pipeline.model.signs import Act, Body, FretState, Group, Reading
from pipeline.model.time import Value
from pipeline.source.exchange.drafts import EventDraft, Figure, StopDraft
from pipeline.source.parse.heads import usual_time


def group_of(notes: int, time: int, *, added: bool = False) -> Group:
    """A group as it is typed: its time is left out in a triplet."""
    return Group(notes, time, None if notes == 3 and time == usual_time(notes) else time, added)


def merged(ours: list[StopDraft], theirs: list[StopDraft]) -> list[StopDraft]:
    """The stops of a chord as the edition reads them, each with what the source has there. Stops of the same course
    belong together; of the rest one belongs to one, more are added or left out."""
    rest = list(theirs)
    alone = []
    for stop in ours:
        other = next((each for each in rest if _course(each) == _course(stop)), None)
        if other is None:
            alone.append(stop)
            continue
        rest.remove(other)
        _pair(stop, other)
    if len(alone) == 1 and len(rest) == 1 and alone[0].act is Act.PRINTED:
        _pair(alone.pop(), rest.pop())
    for stop in alone:
        if stop.act is Act.PRINTED:
            stop.act, stop.source = Act.ADDED, None
    return [*ours, *(_removed(stop) for stop in rest)]


def _course(stop: StopDraft) -> int | None:
    return stop.figure.course if stop.figure is not None else None


def _pair(stop: StopDraft, other: StopDraft) -> None:
    state = other.edition.state if other.edition is not None else None
    unread = other.act in (Act.ILLEGIBLE, Act.LOST) or state in (FretState.ILLEGIBLE, FretState.LOST)
    if unread and stop.edition is not None and stop.edition.fret is not None:
        lost = other.act is Act.LOST or state is FretState.LOST
        stop.act = Act.SUPPLIED_LOST if lost else Act.SUPPLIED_ILLEGIBLE
        stop.source = None
    elif stop.act is Act.PRINTED and not _same(stop.edition, other.edition):
        stop.act, stop.source = Act.EMENDED, other.edition


def _same(one: Figure | None, other: Figure | None) -> bool:
    if one is None or other is None:
        return one is other
    return (one.course, one.fret) == (other.course, other.fret)


def _removed(stop: StopDraft) -> StopDraft:
    if stop.act not in (Act.ILLEGIBLE, Act.LOST):
        stop.act, stop.source, stop.edition = Act.REMOVED, stop.edition, None
        stop.doubtful = False
    return stop


def removed_event(event: EventDraft) -> EventDraft:
    """An event that the source has and the edition leaves out."""
    event.removed = True
    event.stops = [_removed(stop) for stop in event.stops]
    event.sign = Reading(Act.REMOVED, None, event.drawn) if event.sign is not None else None
    return event


def lost_event(state: FretState, place: str, ident: str) -> EventDraft:
    """A place where nothing can be read: one sign, illegible or lost."""
    act = Act.LOST if state is FretState.LOST else Act.ILLEGIBLE
    stop = StopDraft(None, None, act, ident=ident, place=place)
    return EventDraft("", place, Value(4), Value(4), body=Body.STOPS, stops=[stop])


def without_course(event: EventDraft) -> list[tuple[int | None, int | None]]:
    """What is struck in an event, for telling whether two have the same."""
    return sorted(
        (stop.figure.course or 0, stop.figure.fret if stop.figure.fret is not None else -1)
        for stop in event.stops
        if stop.figure is not None
    )
