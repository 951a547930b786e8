"""One word, one event: read once for each spelling, then put in its place."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from pipeline.findings.codes.limits import TOO_MUCH
from pipeline.findings.codes.syntax import COURSE_TWICE, SHORTHAND_UNCLEAR, SYNTAX
from pipeline.model.limits import MOST_STOPS
from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, Event, FretState, Head, Label, MarkGroup, Reading, Sign, Signs, Slur, Stop
from pipeline.model.text import Span
from pipeline.source.parse.cursor import Cursor, Fault, FaultError, check_length
from pipeline.source.parse.editing import STOP_MARKS, read_edited, read_labels, read_marks
from pipeline.source.parse.heads import read_head
from pipeline.source.parse.signs import SIGN_START, read_french, read_italian

#: Where the shorthand may stand: quicker than asking every stop.
_COLON_FIRST = re.compile(r"(?:^|[,>_!?]):")
_PARTS = re.compile(r"[,>]")
_REMOVED_SLUR = re.compile(r"!_")
_DOUBTFUL_SLUR = re.compile(r"\?(?=[\dX?*a-zA-Z/])")
_READERS = {Signs.ITALIAN: read_italian, Signs.FRENCH: read_french}


class Shape(NamedTuple):
    """What a word says wherever it stands. Its spans count columns of the word from 0, on no line.

    ``event`` is None if there are faults; ``head`` is kept even then, if it could be read. ``shorthand`` says
    that some stop left out its course; ``course`` is that of the last stop, if it has one; ``stops`` says
    that it has stops.
    """

    event: Event | None
    head: Head | None
    faults: tuple[Fault, ...]
    shorthand: bool
    course: int | None
    stops: bool


@lru_cache(maxsize=1 << 14)
def shape_of(text: str, signs: Signs) -> Shape:
    """event = [head "="] ( "-" | "=" | stop {("," | ">") stop} ) ;"""
    top, over, below = text.partition("=")
    if not over:
        top, below = "", text
    elif text == "=":
        top, over, below = "", "", "="
    faults: list[Fault] = []
    head: Head | None = None
    if over:
        read = head_of(top)
        if isinstance(read, Fault):
            faults.append(read)
        else:
            head = read
    stops: tuple[Stop, ...] = ()
    body = _BODIES.get(below, Body.STOPS)
    if body is Body.STOPS:
        stops = _stops(below, top + over, signs, faults)
    event = Event(Span("", 0, 0, len(text)), head, body, stops)
    shorthand = bool(_COLON_FIRST.search(below)) and any(_leaves_course(stop.reading) for stop in stops)
    if len(stops) > 1 and not faults and not shorthand:
        faults.extend(course_faults(stops))
    course = None if shorthand or not stops else _course(stops[-1].reading)
    return Shape(None if faults else event, head, tuple(faults), shorthand, course, bool(stops))


_BODIES = {"-": Body.NOTHING, "=": Body.AS_BEFORE}


@lru_cache(maxsize=1 << 12)
def head_of(text: str) -> Head | Fault:
    """What stands before ``=``, in columns of its own."""
    try:
        check_length(text)
        return read_head(Cursor(text))
    except FaultError as error:
        return error.fault


def _stops(text: str, before: str, signs: Signs, faults: list[Fault]) -> tuple[Stop, ...]:
    """stop {("," | ">") stop} ;   each part is read apart, so that each says what is wrong with it

    ``before`` is what stands before the text in its word.
    """
    base = len(before)
    if text.count(",") + text.count(">") >= MOST_STOPS:
        message = f"More than {MOST_STOPS} stops in one event; it is not read."
        faults.append(Fault(TOO_MUCH, base, base + len(text), message, "White space separates events."))
        return ()
    stops = []
    start = 0
    after = False
    for end in (*(match.start() for match in _PARTS.finditer(text)), len(text)):
        read = stop_of(text[start:end], signs) if end > start else _no_stop(text, start, before)
        if isinstance(read, Fault):
            faults.append(replace(read, start=base + start + read.start, end=base + start + read.end))
        else:
            stops.append(_placed_stop(read, "", 0, base + start, after))
        after = text[end : end + 1] == ">"
        start = end + 1
    return tuple(stops)


def _no_stop(text: str, start: int, before: str) -> Fault:
    hint = "Alone, - is a place left blank; 4=- is a rest." if not text else ""
    if text.endswith(",") and start == len(text):
        hint = f"No white space stands inside a chord: {before}{text}3:2"
    return Fault(SYNTAX, 0, 0, f"Expected a stop after “{before}{text[:start]}”.", hint)


@lru_cache(maxsize=1 << 13)
def stop_of(text: str, signs: Signs) -> Stop | Fault:
    """stop = [slur] ed(sign) {label} {marks} ;   in columns of its own; slur = "_" ["!" | "?"] | "!_" ;"""
    try:
        check_length(text)
        return _stop(Cursor(text), signs)
    except FaultError as error:
        return error.fault


def _stop(cursor: Cursor, signs: Signs) -> Stop:
    slur = _slur(cursor)
    if slur not in {None, Slur.PRINTED} and cursor.text.startswith("!", cursor.pos):
        cursor.expected("a stop", "A stop that the edition leaves out has no slur of its own.")
    reading = read_edited(cursor, _READERS[signs], SIGN_START)
    labels = read_labels(cursor)
    marks = read_marks(cursor, STOP_MARKS, "at a stop")
    if not cursor.done:
        cursor.expected("the end of the stop", _end_hint(cursor))
    return Stop(reading, Span("", 0, 0, cursor.pos), slur, False, labels, marks)


def _slur(cursor: Cursor) -> Slur | None:
    """slur = "_" ["!" | "?"] | "!_" ;   ``_?:2`` is a printed slur to a stop whose line is unclear"""
    if cursor.take(_REMOVED_SLUR):
        return Slur.REMOVED
    if not cursor.char("_"):
        return None
    if cursor.char("!"):
        return Slur.ADDED
    return Slur.DOUBTFUL if cursor.take(_DOUBTFUL_SLUR) else Slur.PRINTED


def _end_hint(cursor: Cursor) -> str:
    rest = cursor.text[cursor.pos :]
    before = cursor.text[: cursor.pos]
    if rest[0] == "_":
        return f"A slur stands before the second stop: {before} _{rest[1:] or '3:2'}"
    if rest[0] == "-":
        return "A hold has no fret: 3:-"
    if rest[0] == ".":
        return "Right-hand dots stand directly after the fret."
    if rest[0] == "=":
        return "White space separates events: 4=3:2 8=3:3"
    if rest[0] == ":":
        return "Stops struck together are joined by a comma, one after another by >"
    return ""


# --- courses ------------------------------------------------------------------------------------------


def course_faults(stops: tuple[Stop, ...]) -> list[Fault]:
    """One fault for each stop on a course that is taken already among the stops struck with it."""
    faults = []
    taken: set[int] = set()
    for stop in stops:
        if stop.after:
            taken.clear()
        sign = stop.reading.edition
        if sign is None or sign.course is None:
            continue
        if sign.course in taken:
            faults.append(
                Fault(
                    COURSE_TWICE,
                    stop.span.start,
                    stop.span.end,
                    f"Course {sign.course} occurs twice in one event.",
                    "A string has one fret at a time; is a figure one line off? Stops played one after another are "
                    "joined by >",
                )
            )
        taken.add(sign.course)
    return faults


def _leaves_course(reading: Reading[Sign]) -> bool:
    return any(sign is not None and sign.shorthand for sign in (reading.edition, reading.source))


def _course(reading: Reading[Sign]) -> int | None:
    """The course that the next stop may leave out."""
    sign = reading.edition or reading.source
    return sign.course if sign else None


def with_courses(event: Event, before: int | None) -> tuple[Event, tuple[Fault, ...]]:
    """The event with each course that the shorthand left out, ``before`` being that of the stop before it.

    A fault stands for each stop whose course cannot be known.
    """
    faults = []
    stops = []
    for stop in event.stops:
        if _leaves_course(stop.reading):
            filled = _filled(stop.reading, before)
            if filled is None:
                message = f"No course is known for the shorthand “{_typed(stop)}”."
                hint = "The stop before it in this bar must have a course: type 3:2"
                faults.append(Fault(SHORTHAND_UNCLEAR, stop.span.start, stop.span.end, message, hint))
            else:
                stop = replace(stop, reading=filled)  # noqa: PLW2901  the stop as completed
        before = _course(stop.reading)
        stops.append(stop)
    whole = replace(event, stops=tuple(stops))
    return whole, tuple(faults) or tuple(course_faults(whole.stops))


def _filled(reading: Reading[Sign], before: int | None) -> Reading[Sign] | None:
    """A left-out course is that of the stop before; behind ``!`` it is that of the edition's reading."""
    edition = _with_course(reading.edition, before)
    known = edition.course if edition else before
    source = edition if reading.act is Act.PRINTED else _with_course(reading.source, known)
    if any(sign and sign.shorthand and sign.course is None for sign in (edition, source)):
        return None
    return replace(reading, edition=edition, source=source)


def _with_course(sign: Sign | None, course: int | None) -> Sign | None:
    return replace(sign, course=course) if sign and sign.shorthand else sign


def _typed(stop: Stop) -> str:
    sign = stop.reading.edition or stop.reading.source
    states = {FretState.ILLEGIBLE: "?", FretState.LOST: "*", FretState.HOLD: "-"}
    return f":{states.get(sign.state, sign.typed)}" if sign else ":"


# --- putting a shape in its place -----------------------------------------------------------------------


def placed(event: Event, file: str, line: int, column: int) -> Event:
    """The event with its spans on ``line``, its first character at ``column``."""
    head = event.head
    return Event(
        Span(file, line, column, column + event.span.end),
        placed_head(head, file, line, column) if head else None,
        event.body,
        tuple([_placed_stop(stop, file, line, column, stop.after) for stop in event.stops]),
    )


def _placed_stop(stop: Stop, file: str, line: int, column: int, after: bool) -> Stop:
    span = Span(file, line, column + stop.span.start, column + stop.span.end)
    labels, marks = stop.labels, stop.marks
    if labels:
        labels = placed_labels(labels, file, line, column)
    if marks:
        marks = placed_marks(marks, file, line, column)
    return Stop(stop.reading, span, stop.slur, after, labels, marks)


def placed_head(head: Head, file: str, line: int, column: int) -> Head:
    return Head(
        head.value,
        Span(file, line, column + head.span.start, column + head.span.end),
        head.beamed,
        head.group,
        placed_labels(head.opening_labels, file, line, column) if head.opening_labels else (),
        placed_labels(head.labels, file, line, column) if head.labels else (),
        placed_marks(head.marks, file, line, column) if head.marks else (),
        head.second,
    )


def placed_labels(labels: tuple[Label, ...], file: str, line: int, column: int) -> tuple[Label, ...]:
    return tuple(
        Label(label.letter, Span(file, line, column + label.span.start, column + label.span.end)) for label in labels
    )


def placed_marks(groups: tuple[MarkGroup, ...], file: str, line: int, column: int) -> tuple[MarkGroup, ...]:
    return tuple(
        MarkGroup(
            group.marks,
            placed_labels(group.labels, file, line, column),
            Span(file, line, column + group.span.start, column + group.span.end),
        )
        for group in groups
    )
