"""Events and bars of tablature in words, for notes at the foot of the page and for the critical report: never as they
are typed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from difflib import SequenceMatcher
from itertools import pairwise
from typing import NamedTuple

from pipeline.edition.readings import NOTHING, Saying, barline_said, course_said, marks_of, sign_said, value_said
from pipeline.model.heading import Heading
from pipeline.model.signs import Act, Body, Event, FretState, MarkGroup, Slur, Stop
from pipeline.model.tablature import OMITS, BarItem, Barline, BarlineKind
from pipeline.model.text import Span
from pipeline.model.time import Ticks, Value
from pipeline.source.parse.quoted import quoted_barline, quoted_events

#: What editors write of a source that lacks the place.
_WANTING = frozenset({"wanting", "lacks", "missing", "om.", OMITS})
_DOTS = ("no dot", "one dot", "two dots")
_SLURRED = frozenset({Slur.PRINTED, Slur.DOUBTFUL, Slur.ADDED})
_UNREADABLE = {FretState.ILLEGIBLE: "an illegible sign", FretState.LOST: "a lost sign"}
_UNREAD = {Act.ILLEGIBLE: "an illegible sign", Act.LOST: "a lost sign"}
_PLAIN = "plain bar line"


class _Stop(NamedTuple):
    """A stop for comparison: its line, its sign in words, its line in words, and what stands at it."""

    line: str
    sign: str
    course: str
    dots: int
    slurred: bool
    marks: tuple[str, ...]


class _Heard(NamedTuple):
    """An event for comparison: the value in force and its stops. ``rest``: a sign over nothing."""

    value: Value | None
    stops: tuple[_Stop, ...]
    over: tuple[str, ...]
    rest: bool
    again: bool


class Other(NamedTuple):
    """What another source has in a bar, and what the edition has there."""

    source: str
    here: str


class EventWords:
    """Says events of a piece; its heading says what its marks are."""

    def __init__(self, heading: Heading) -> None:
        self._signs = heading.signs
        self._over = marks_of(heading, at_stop=False)
        self._at_stop = marks_of(heading, at_stop=True)

    def witness(self, siglum: str, text: str, beside: Stop | None = None) -> str:
        """What a note says that another source has; words stay as the editor wrote them. ``beside`` is the stop of the
        edition that the note stands at."""
        if text.strip() in _WANTING:
            return f"wanting in {siglum}"
        said = self.quoted(text, beside)
        return f"{siglum} has {text if said is None else said}"

    def quoted(self, text: str, beside: Stop | None = None) -> str | None:
        """A reading typed in signs, in words; None for one that is words."""
        kind = quoted_barline(text)
        if kind is not None:
            return line_said(kind)
        events = quoted_events(text, self._signs)
        return None if events is None else self.events(events, beside)

    def events(self, events: Iterable[Event], beside: Stop | None = None) -> str:
        """Events one after another: ``minim 11 with 2 on the fifth course; quaver 3 on the third course``."""
        here = (self._stop(beside),) if beside is not None else ()
        said = [_event(heard, here, signed=True) for heard in self._heard(events, forced=False)]
        return "; ".join(said) or NOTHING

    def bar(self, variant: Sequence[BarItem], edition: Sequence[Event], closing: BarlineKind) -> Other:
        """How a bar of another source differs from that of the edition, event by event; then its bar lines."""
        items, ends = list(variant), None
        if items and isinstance(items[-1], Barline):
            ends = items.pop()
        here = list(self._heard(edition))
        bars = _parted(items)
        if not any(isinstance(item, Event) for item in items):
            return Other("nothing in this bar", "the bar")
        there = list(self._heard(item for item in items if isinstance(item, Event)))
        more: list[str] = []
        if len(bars) > 1 and _ends(there) != _ends(here):
            there = list(self._heard(bars[0]))
            more = [f"then a bar more: {self.events(bar)}" for bar in bars[1:]]
        elif len(bars) > 1:
            more = [f"a bar line after event {place}" for place in _lines_after(bars)]
        if all(not heard.stops and not heard.rest for heard in there) and not more:
            return Other("nothing in this bar", "the bar")
        source, edited = _differences(there, here)
        if ends is not None and isinstance(ends, Barline) and ends.kind is not closing:
            more.append(f"a {line_said(ends.kind)} at the end")
            edited.append(f"a {line_said(closing)} at the end")
        said = "; ".join([*source, *more]) or "the same figures and values, signed otherwise"
        return Other(said, "; ".join(edited) or ("nothing more" if more else "the same"))

    def _heard(self, events: Iterable[BarItem], *, forced: bool = True) -> Iterator[_Heard]:
        """Each event with its value; ``forced``: a sign holds until the next."""
        value: Value | None = None
        for event in events:
            if not isinstance(event, Event):
                continue
            head = event.head
            over = head.value if head is not None else None
            printed = None if over is None else over.edition or over.source
            value = printed or (value if forced else None)
            marks = _marks(head.marks, self._over) if head is not None else ()
            rest = event.body is Body.NOTHING and printed is not None
            stops = tuple(self._stop(stop) for stop in event.stops if stop.reading.act is not Act.ADDED or stop.sign)
            yield _Heard(value, stops, marks, rest, event.body is Body.AS_BEFORE)

    def _stop(self, stop: Stop) -> _Stop:
        reading = stop.reading
        sign = reading.edition or reading.source
        marks = _marks(stop.marks, self._at_stop)
        slurred = stop.slur in _SLURRED
        if sign is None:
            return _Stop("", _UNREAD.get(reading.act, NOTHING), "", 0, slurred, marks)
        line = sign.course_sign or str(sign.course)
        if sign.course is None:
            return _Stop(line, sign_said(sign), "", sign.dots, slurred, marks)
        course = "" if sign.bare and sign.state is FretState.READ else f" on the {course_said(sign.course)}"
        said = _UNREADABLE.get(sign.state) or sign_said(sign)
        return _Stop(line, said, course, sign.dots, slurred, marks)


def line_said(kind: BarlineKind) -> str:
    """A bar line in another source, by its looks."""
    return _PLAIN if kind is BarlineKind.SINGLE else barline_said(Barline(kind, Span("", 0, 0, 0)))


# --- whole bars ---------------------------------------------------------------------------------------------


def _parted(items: Iterable[BarItem]) -> list[list[Event]]:
    """The events of a bar that another source has as several."""
    bars: list[list[Event]] = [[]]
    for item in items:
        if isinstance(item, Event):
            bars[-1].append(item)
        elif isinstance(item, Barline):
            bars.append([])
    return bars


def _lines_after(bars: Sequence[Sequence[Event]]) -> Iterator[int]:
    """How many events stand before each bar line inside."""
    before = 0
    for bar in bars[:-1]:
        before += len(bar)
        yield before


def _ends(events: Sequence[_Heard]) -> Ticks | None:
    moments = _moments(events)
    return moments[-1] if moments is not None else None


def _differences(there: Sequence[_Heard], here: Sequence[_Heard]) -> tuple[list[str], list[str]]:
    """What the other source has for each stretch that differs, and what the edition has."""
    source: list[str] = []
    edition: list[str] = []
    for start, end, first, last in _unlike(there, here):
        place = _place(start, end) if end > start else _behind(start)
        words = "; ".join(_told(there[first:last], here[start:end])) or NOTHING
        source.append(f"for {place}: {words}" if end > start else f"{place}: {words}")
        edition.append(f"{place}: {'; '.join(_told(here[start:end], there[first:last], plain=True)) or NOTHING}")
    return source, edition


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


def _told(there: Sequence[_Heard], here: Sequence[_Heard], *, plain: bool = False) -> Iterator[str]:
    """Each event; of one that stands against one, only what is other. ``plain``: what a stop has not goes without
    saying."""
    against = here if len(here) == len(there) else [None] * len(there)
    for heard, other in zip(there, against, strict=True):
        if other is not None and heard.stops and heard[1:] == other[1:]:
            yield _named(heard.value)
        else:
            beside = other.stops if other is not None and not plain else ()
            yield _event(heard, beside, signed=other is None or heard.value != other.value)


def _place(start: int, end: int) -> str:
    return f"event {end}" if end - start == 1 else f"events {start + 1}–{end}"


def _behind(start: int) -> str:
    return f"after event {start}" if start else "before the first event"


# --- events -------------------------------------------------------------------------------------------------


def _event(heard: _Heard, beside: Sequence[_Stop], *, signed: bool) -> str:
    """An event; of a stop that is like the one ``beside`` it, what the one has and the other has not."""
    name = f"{value_said(heard.value)} " if (signed or heard.rest) and heard.value is not None else ""
    over = f" ({_listed(heard.over)})" if heard.over else ""
    if heard.again:
        return f"{name}the same chord{over}"
    if not heard.stops:
        return f"{name}rest{over}" if heard.rest else f"{NOTHING}{over}"
    first, *others = (_stop_words(stop, beside) for stop in heard.stops)
    if heard.stops[0].sign in {*_UNREADABLE.values(), *_UNREAD.values()} and name:
        first, name = f"{first} ({name.strip()})", ""
    return f"{name}{first}{f' with {_listed(others)}' if others else ''}{over}"


def _stop_words(stop: _Stop, beside: Sequence[_Stop]) -> str:
    """``3 on the second course``, ``3 (no dot) on the second course``; an open diapason by its sign alone."""
    other = next((each for each in beside if each.line == stop.line), None)
    dots, slurred, marks = (0, False, ()) if other is None else (other.dots, other.slurred, other.marks)
    said = [_DOTS[stop.dots]] if stop.dots != dots else []
    if stop.slurred != slurred:
        said.append("slurred" if stop.slurred else "not slurred")
    if stop.marks != marks:
        said.append(", ".join(stop.marks) or "no mark")
    with_it = f" ({', '.join(said)})" if said else ""
    return f"{stop.sign}{with_it}{stop.course}"


def _marks(groups: Iterable[MarkGroup], said: Saying[str]) -> tuple[str, ...]:
    letters = [reading.edition or reading.source for group in groups for reading in group.marks]
    return tuple(said(letter, None) for letter in letters if letter)


def _named(value: Value | None) -> str:
    return "no rhythm sign" if value is None else f"a {value_said(value)}"


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
