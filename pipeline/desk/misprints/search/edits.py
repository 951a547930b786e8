"""What a change would look like in the encoding: the edition's reading before ``!``, the source's behind it.

The texts are made from the records; they are the same as typed, since a reading keeps its sign to the letter.
"""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.desk.misprints.proposal import Edit
from pipeline.model.glyphs import FRENCH_DIAPASONS, FRET_LETTERS
from pipeline.model.signs import Act, Event, FretState, Head, Reading, Sign, Signs, Stop
from pipeline.model.sounding import SoundingBar, SoundingStop
from pipeline.model.tablature import Bar, BarKind, SourceBreak
from pipeline.model.text import Span
from pipeline.model.time import Value
from pipeline.source import encoded

_SLUR_WIDTH = {None: 0, "_": 1, "_!": 2, "_?": 2, "!_": 2}
_FRENCH_LATE = {course: figure for figure, course in FRENCH_DIAPASONS.items()}


@dataclass(frozen=True, slots=True)
class Rewriting:
    """What to write; where ``by_hand`` says why the program cannot write it, ``edits`` only show what is meant."""

    edits: tuple[Edit, ...] = ()
    by_hand: str = ""


# --- rhythm signs ----------------------------------------------------------------------------------------


def read_value(event: Event, value: Value | None) -> Rewriting:
    """Another value over an event, or none (``!8``)."""
    head = event.head
    if head is None:
        if value is None:
            return Rewriting(by_hand="no sign stands here")
        start = event.span.part(0, 0)
        return Rewriting((Edit(start, "", f"{value.name}!", "="),))
    at = 2 * len(head.opening_labels) + head.beamed
    group = "" if head.group is None else encoded.group(head.group)
    before = "" if head.value is None else encoded.edited(head.value, encoded.value_name)
    after = f"{value.name}!" if head.value is None and value is not None else _emended(head.value, value)
    span = head.span.part(at, at + len(before) + len(group))
    if not after:
        return Rewriting((_without(head, span, before, group),), "the sign here is the editor's own")
    return Rewriting((Edit(span, before + group, after + group),))


def _without(head: Head, span: Span, value: str, group: str) -> Edit:
    """The sign taken out, and with it the ``=`` that nothing else stands before."""
    if group or head.beamed or head.opening_labels or head.labels or head.marks:
        return Edit(span, value + group, group)
    return Edit(Span(span.file, span.line, span.start, span.end + 1), f"{value}=", "")


def _emended(reading: Reading[Value] | None, value: Value | None) -> str:
    """The reading with ``value`` for the edition's; empty where there is no form for it."""
    if reading is None:
        return ""
    source = "" if reading.source is None else reading.source.name + "?" * reading.source_doubtful
    if reading.act is Act.PRINTED and reading.source is not None:
        source = reading.source.name + "?" * reading.doubtful
    edition = "" if value is None else value.name
    match reading.act:
        case Act.PRINTED:
            return f"{edition}!{source}"
        case Act.ADDED:
            return f"{edition}!" if edition else ""
        case Act.EMENDED | Act.REMOVED:
            return source if edition and value == reading.source else f"{edition}!{source}"
        case Act.ILLEGIBLE | Act.SUPPLIED_ILLEGIBLE:
            return f"{edition}!?" if edition else ""
        case Act.LOST | Act.SUPPLIED_LOST:
            return f"{edition}!*" if edition else ""


# --- stops -----------------------------------------------------------------------------------------------


def read_stop(bar: Bar, sounding: SoundingStop, course: int, fret: int, signs: Signs) -> Rewriting:
    """Another course or fret for a stop that stands as printed."""
    stop = sounding.stop
    sign = stop.reading.edition
    if stop.reading.act is not Act.PRINTED or sign is None or sign.state is not FretState.READ:
        return Rewriting(by_hand="the reading here is the editor's own")
    doubt = "?" * stop.reading.doubtful
    at = _SLUR_WIDTH[stop.slur.value if stop.slur else None]
    old = _sign(sign, signs)
    span = stop.span.part(at, at + len(old) + len(doubt))
    new = _sign_of(course, fret, signs, bare=sign.bare and course > 6 and not fret) + "." * sign.dots
    edits = [Edit(span, old + doubt, f"{new}!{old if not sign.shorthand else encoded.sign(sign, signs)}{doubt}")]
    if course != sign.course:
        expanded = _next_in_full(bar, stop, signs)
        if expanded is None:
            return Rewriting(tuple(edits), "the stop after it leaves out its course")
        edits += expanded
    return Rewriting(tuple(edits))


def _next_in_full(bar: Bar, stop: Stop, signs: Signs) -> list[Edit] | None:
    """A stop that left out its course, taking it from this one, gets it written; None if it cannot be written."""
    stops = [each for event in bar.events for each in event.stops]
    place = next((number for number, each in enumerate(stops) if each.span == stop.span), len(stops))
    if place + 1 >= len(stops):
        return []
    after = stops[place + 1]
    sign = after.reading.edition
    if not any(each is not None and each.shorthand for each in (sign, after.reading.source)):
        return []
    if after.reading.act is not Act.PRINTED or sign is None:
        return None
    at = _SLUR_WIDTH[after.slur.value if after.slur else None]
    old = _sign(sign, signs)
    return [Edit(after.span.part(at, at + len(old)), old, encoded.sign(sign, signs))]


def _sign(sign: Sign, signs: Signs) -> str:
    """As typed."""
    if not sign.shorthand:
        return encoded.sign(sign, signs)
    return f":{encoded.STATES.get(sign.state) or sign.typed + '.' * sign.dots}"


def _sign_of(course: int, fret: int, signs: Signs, *, bare: bool) -> str:
    if bare and signs is Signs.ITALIAN:
        return "X" if course == 10 else str(course)
    if bare:
        return _FRENCH_LATE.get(course) or "/" * (course - 7) + "a"
    return f"{course}:{fret}" if signs is Signs.ITALIAN else f"{course}{FRET_LETTERS[fret]}"


# --- bar lines -------------------------------------------------------------------------------------------


def line_too_many(first: SoundingBar, second: SoundingBar) -> Rewriting:
    """The bar line between two typed bars struck out: the second goes on in the line of the first."""
    bar, after = first.bar, second.bar
    if bar.kind is not BarKind.MEASURED or after.kind is not BarKind.MEASURED or bar.closing.typed:
        return Rewriting(by_hand="the bar line is marked already")
    if bar.notes or _laden(bar) or _laden(after):
        return Rewriting(by_hand="notes or other lines stand between the bars")
    if after.span.line <= bar.span.line or _page_between(second):
        return Rewriting(by_hand="a page or system begins between the bars")
    start = after.span.part(0, 1)
    return Rewriting((Edit(start, "|", "+ !|"),))


def _page_between(second: SoundingBar) -> bool:
    first = second.bar.items[0] if second.bar.items else None
    inside = isinstance(first, SourceBreak)
    return bool(second.directives) or len(second.folios) > inside


def _laden(bar: Bar) -> bool:
    return bool(bar.layers or bar.variants or bar.ditto)


def line_missing(bar: SoundingBar, number: int) -> Rewriting:
    """A bar line added before event ``number`` (from 1)."""
    typed = bar.bar
    if typed.kind is not BarKind.MEASURED or _laden(typed):
        return Rewriting(by_hand="other lines stand under the bar")
    first = typed.events[number - 2]
    labels = {letter for event in typed.events[: number - 1] for letter in letters_of(event)}
    if labels or any(note.label == "" for note in typed.notes):
        return Rewriting(by_hand="notes stand under the bar")
    end = Span(first.span.file, first.span.line, first.span.end, first.span.end)
    return Rewriting((Edit(end, "", " |!", "\n|"),))


def letters_of(event: Event) -> set[str]:
    """The labels in an event."""
    found = {label.letter for stop in event.stops for label in stop.labels}
    found |= {label.letter for stop in event.stops for group in stop.marks for label in group.labels}
    if event.head is not None:
        head = event.head
        found |= {label.letter for label in (*head.opening_labels, *head.labels)}
        found |= {label.letter for group in head.marks for label in group.labels}
    return found
