"""Events and bars of tablature in words, for notes at the foot of the page and for the critical report: never as they
are typed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from difflib import SequenceMatcher
from itertools import pairwise
from typing import NamedTuple

from pipeline.edition.readings import NOTHING, course_said, sign_said, value_said
from pipeline.model.signs import Body, Event, FretState, Sign, Signs
from pipeline.model.tablature import BarItem
from pipeline.model.time import Ticks, Value
from pipeline.source.parse.quoted import quoted_events

#: What editors write of a source that lacks the place.
_WANTING = frozenset({"wanting", "lacks", "missing", "om.", "omits"})


class _Heard(NamedTuple):
    """An event for comparison: the value in force and its figures."""

    value: Value | None
    stops: tuple[str, ...]


def witness_said(siglum: str, text: str, signs: Signs) -> str:
    """What a note says that another source has; words stay as the editor wrote them."""
    if text.strip() in _WANTING:
        return f"wanting in {siglum}"
    events = quoted_events(text, signs)
    return f"{siglum} has {text if events is None else events_said(events)}"


def events_said(events: Iterable[Event]) -> str:
    """Events one after another: ``minim 11 with 2 on the fifth course; quaver 3 on the third course``."""
    return "; ".join(_event(heard, signed=True) for heard in _heard(events, forced=False)) or NOTHING


def bar_said(variant: Sequence[BarItem], edition: Sequence[BarItem]) -> str:
    """How a bar of another source differs from that of the edition, event by event."""
    there = list(_heard(item for item in variant if isinstance(item, Event)))
    here = list(_heard(item for item in edition if isinstance(item, Event)))
    if not there or all(not heard.stops and heard.value is None for heard in there):
        return "nothing in this bar"
    said = list(_differences(there, here))
    return "; ".join(said) or "the same figures and values, signed otherwise"


def _differences(there: Sequence[_Heard], here: Sequence[_Heard]) -> Iterator[str]:
    for start, end, first, last in _unlike(there, here):
        place = _place(start, end)
        if first == last:
            yield f"for {place}: nothing"
            continue
        words = "; ".join(_told(there[first:last], here[start:end]))
        yield f"for {place}: {words}" if end > start else f"{_behind(start)}: {words}"


def _unlike(there: Sequence[_Heard], here: Sequence[_Heard]) -> Iterator[tuple[int, int, int, int]]:
    """Stretches that differ: from event to event here, and there. Bars of one length are compared moment by moment,
    others by what is alike in them."""
    mine, other = _moments(here), _moments(there)
    if mine is None or other is None or mine[-1] != other[-1]:
        for act, start, end, first, last in SequenceMatcher(None, here, there, autojunk=False).get_opcodes():
            if act != "equal":
                yield start, end, first, last
        return
    both = sorted(set(mine) & set(other))
    open_start: tuple[int, int] | None = None
    for moment, after in pairwise(both):
        start, end, first, last = mine.index(moment), mine.index(after), other.index(moment), other.index(after)
        alike = list(here[start:end]) == list(there[first:last])
        if not alike and open_start is None:
            open_start = (start, first)
        if alike and open_start is not None:
            yield open_start[0], start, open_start[1], first
            open_start = None
    if open_start is not None:
        yield open_start[0], len(here), open_start[1], len(there)


def _moments(events: Sequence[_Heard]) -> list[Ticks] | None:
    """Where each event begins, and where the last one ends; None if some has no value."""
    found: list[Ticks] = [0]
    for heard in events:
        if heard.value is None:
            return None
        found.append(found[-1] + heard.value.ticks)
    return found


def _told(there: Sequence[_Heard], here: Sequence[_Heard]) -> Iterator[str]:
    """Each event; of one that stands against one, only what is other."""
    against = here if len(here) == len(there) else [None] * len(there)
    for heard, other in zip(there, against, strict=True):
        if other is not None and heard.stops == other.stops:
            yield _named(heard.value)
        else:
            yield _event(heard, signed=other is None or heard.value != other.value)


def _place(start: int, end: int) -> str:
    return f"event {end}" if end - start == 1 else f"events {start + 1}–{end}"


def _behind(start: int) -> str:
    return f"after event {start}" if start else "before the first event"


def _heard(events: Iterable[Event], *, forced: bool = True) -> Iterator[_Heard]:
    """Each event with its value; ``forced``: a sign holds until the next."""
    value: Value | None = None
    for event in events:
        over = event.head.value if event.head is not None else None
        printed = None if over is None else over.edition or over.source
        value = printed or (value if forced else None)
        if event.body is Body.AS_BEFORE:
            yield _Heard(value, ("the same chord",))
            continue
        signs = [stop.reading.edition or stop.reading.source for stop in event.stops]
        yield _Heard(value, tuple(_stop(sign) for sign in signs if sign is not None))


def _event(heard: _Heard, *, signed: bool) -> str:
    name = f"{value_said(heard.value)} " if signed and heard.value is not None else ""
    if not heard.stops:
        return f"{name}rest" if name else NOTHING
    first, *others = heard.stops
    return f"{name}{first}{f' with {_listed(others)}' if others else ''}"


def _named(value: Value | None) -> str:
    return "no rhythm sign" if value is None else f"a {value_said(value)}"


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _stop(sign: Sign) -> str:
    """``3 on the second course``; an open diapason by its sign alone."""
    said = sign_said(sign)
    if sign.bare or sign.course is None:
        return said
    if sign.state is FretState.HOLD:
        return f"a hold line on the {course_said(sign.course)}"
    return f"{said} on the {course_said(sign.course)}"
