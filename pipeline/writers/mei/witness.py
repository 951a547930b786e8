"""What a source has, as elements of the tablature: single signs, rhythm signs, whole bars. Nothing here has an id."""

from __future__ import annotations

from collections.abc import Iterable
from copy import deepcopy

from pipeline.model.apparatus import Was
from pipeline.model.layers import LayerPitch
from pipeline.model.signs import Act, Body, Event, FretState, Sign
from pipeline.model.tablature import BarItem, Barline, BarlineKind
from pipeline.model.time import Value
from pipeline.writers.mei.names import DURATIONS, NOTE, SPACE, TAB_DUR_SYM, TAB_GRP, XML_ID, Element, name, sub
from pipeline.writers.mei.tablature import DRAWN, NO_COURSE
from pipeline.writers.mei.wraps import GAP

BAR_LINE = name("barLine")
_STEPS = {unit: step for step, unit in enumerate((0, 1, 2, 4, 8, 16, 32, 64))}
_UNREAD = frozenset({Act.ILLEGIBLE, Act.LOST})
_FORMS = {
    BarlineKind.SINGLE: "single",
    BarlineKind.DOUBLE: "dbl",
    BarlineKind.FINAL: "end",
    BarlineKind.DASHED: "dashed",
    BarlineKind.REPEAT_START: "rptstart",
    BarlineKind.REPEAT_END: "rptend",
    BarlineKind.REPEAT_BOTH: "rptboth",
}


def write_sign(parent: Element, sign: Was) -> None:
    """``note`` of a figure or letter; ``gap`` where none can be read; nothing for a hold line."""
    if not isinstance(sign, Sign) or sign.state is FretState.HOLD:
        return
    if sign.fret is None:
        sub(parent, GAP, {"reason": sign.state.value, "extent": "1 sign"})
        return
    attributes = {"tab.course": str(sign.course or NO_COURSE), "tab.fret": str(sign.fret)}
    if sign.course is None:
        attributes["type"] = "no-course"
    sub(parent, NOTE, attributes)


def write_signs(parent: Element, was: Was) -> None:
    """The figure that a source has at a place, or all of those that it has there."""
    if not isinstance(was, tuple):
        write_sign(parent, was)
        return
    for event in was:
        for stop in event.stops if isinstance(event, Event) else ():
            write_sign(parent, stop.reading.source or stop.reading.edition)


def with_value(group: Element, value: Value | None, plain_stem: int) -> Element:
    """A copy of a group with another rhythm sign over it, or none. Drawn as the other signs of the document are:
    hooks counted from the value that a hookless stem stands for."""
    made = deepcopy(group)
    made.tail = None
    for element in made.iter():
        if XML_ID in element.attrib:
            del element.attrib[XML_ID]
    for old in made.findall(TAB_DUR_SYM):
        made.remove(old)
    if value is not None:
        if "dots" in made.attrib:
            del made.attrib["dots"]
        for key, timing in _timing(value, plain_stem).items():
            made.set(key, timing)
        made.insert(0, made.makeelement(TAB_DUR_SYM))
    return made


def write_bar(parent: Element, items: Iterable[BarItem], plain_stem: int) -> None:
    """``tabGrp``, ``space``, ``barLine``: a bar of tablature as a source has it."""
    value = Value(plain_stem)
    for item in items:
        match item:
            case Event():
                over = item.head.value if item.head is not None else None
                printed = (over.source or over.edition) if over is not None else None
                value = printed or value
                _write_event(parent, item, value, plain_stem, signed=printed is not None)
            case Barline():
                write_line(parent, item)
            case _:
                pass


def _write_event(parent: Element, event: Event, value: Value, plain_stem: int, *, signed: bool) -> None:
    if event.body is Body.NOTHING and not signed:
        sub(parent, SPACE, _timing(value, plain_stem))
        return
    group = sub(parent, TAB_GRP, _timing(value, plain_stem))
    if signed:
        sub(group, TAB_DUR_SYM)
    for stop in event.stops:
        sign = stop.reading.source or stop.reading.edition
        if sign is None and stop.reading.act in _UNREAD:
            sub(group, GAP, {"reason": stop.reading.act.value, "extent": "1 sign"})
        write_sign(group, sign)


def write_line(parent: Element, line: Barline) -> None:
    """``barLine``."""
    sub(parent, BAR_LINE, {"form": _FORMS[line.kind]})


def _timing(value: Value, plain_stem: int) -> dict[str, str]:
    hooks = max(min(DRAWN), min(max(DRAWN), _STEPS[value.unit] - _STEPS[plain_stem]))
    timing = {"dur": DURATIONS[DRAWN[hooks]]}
    if value.dots:
        timing["dots"] = str(value.dots)
    return timing


def write_pitch(parent: Element, pitch: LayerPitch, beside: Element) -> None:
    """``note`` of a line as another reading has it, as long as the one ``beside``; its octave, where none is typed."""
    attributes = {
        "pname": pitch.step.lower(),
        "oct": beside.get("oct", "") if pitch.octave is None else str(pitch.octave),
    }
    attributes |= {key: beside.get(key, "") for key in ("dur", "dots") if beside.get(key)}
    if pitch.accidental:
        attributes["accid"] = {"#": "s", "b": "f", "n": "n"}[pitch.accidental]
    sub(parent, NOTE, attributes)
