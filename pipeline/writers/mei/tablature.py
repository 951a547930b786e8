"""The tablature staff: groups, rhythm signs, figures."""

from __future__ import annotations

from collections.abc import Sequence
from math import gcd

from pipeline.model.notes import Editorial, RhythmSign, TabEvent, TabFigure
from pipeline.model.score import Measure
from pipeline.model.time import Value
from pipeline.writers.mei.groups import Group, build, groups_of
from pipeline.writers.mei.names import (
    ARTIC,
    BEAM,
    DURATIONS,
    LAYER,
    NOTE,
    SPACE,
    STAFF,
    SUPPLIED,
    TAB_DUR_SYM,
    TAB_GRP,
    TUPLET,
    UNCLEAR,
    XML_ID,
    Element,
    sub,
)
from pipeline.writers.mei.symbols import Symbols

#: The value whose rhythm sign an engraver draws with so many hooks. Longer signs have one hook to the left;
#: the engraver adds what the longest lack.
DRAWN = {-2: 1, -1: 1, 0: 2, 1: 4, 2: 8, 3: 16, 4: 32, 5: 64}
_FEWEST, _MOST = min(DRAWN), max(DRAWN)
_PLAIN = Editorial.PLAIN
#: From one figure to the next where they are set one after another under one sign, in half staff spaces.
_IN_TURN = 1.3
#: Where a figure stands whose line cannot be made out: outside the lines, where it claims no course.
NO_COURSE = 7

EDITORIAL_TYPES = {
    Editorial.BRACKETED: "supplied",
    Editorial.DOUBTFUL: "doubtful",
    Editorial.BRACKETED_DOUBTFUL: "supplied doubtful",
}


def write_tab_staff(measure: Element, score_measure: Measure, number: str, symbols: Symbols) -> Element:
    """``staff`` ``number``, by its name known in a drawing, with its only ``layer``; returns the layer."""
    layer = sub(sub(measure, STAFF, {"n": number, XML_ID: f"tab-{score_measure.id}"}), LAYER, {"n": "1"})
    events = score_measure.tab
    if any(event.beam is not None or event.tuplet is not None for event in events):
        _write_grouped(layer, events, symbols)
    else:
        for event in events:
            _write_event(layer, event, event.sign, symbols)
    return layer


def _write_grouped(layer: Element, events: Sequence[TabEvent], symbols: Symbols) -> None:
    groups = groups_of([event.beam for event in events], [event.tuplet for event in events])
    signs = _signs_in_force(events, groups)
    beamed = {index for group in groups if group.tuplet is None for index in range(group.first, group.last + 1)}

    def open_group(parent: Element, group: Group) -> Element:
        if group.tuplet is not None:
            return sub(parent, TUPLET, _tuplet_attributes(group))
        first = events[group.first]
        return sub(_as_drawn(parent, first, signs[group.first]), BEAM)

    def write(parent: Element, index: int) -> None:
        if index in beamed:
            _write_group(parent, events[index], signs[index], _drawn(signs[index], events[index]), symbols)
        else:
            _write_event(parent, events[index], events[index].sign, symbols)

    build(layer, groups, len(events), open_group, write)


def _signs_in_force(events: Sequence[TabEvent], groups: Sequence[Group]) -> list[RhythmSign | None]:
    """The sign of each event; under a beam every event draws one, so the last one printed goes on."""
    signs = [event.sign for event in events]
    for group in groups:
        if group.tuplet is None:
            for index in range(group.first + 1, group.last + 1):
                signs[index] = signs[index] or signs[index - 1]
    return signs


def _tuplet_attributes(group: Group) -> dict[str, str]:
    assert group.tuplet is not None
    attributes = {
        "num": str(group.tuplet.notes),
        "numbase": str(group.tuplet.time),
        "bracket.visible": "false",
        "num.place": "above",
    }
    return attributes | {"type": "supplied"} if group.tuplet.added else attributes


def _write_event(parent: Element, event: TabEvent, sign: RhythmSign | None, symbols: Symbols) -> None:
    if sign is None and not event.figures:
        space = {XML_ID: event.id, "dur": DURATIONS[event.value.unit]}
        sub(parent, SPACE, _dotted(space, event.value))
        return
    drawn = event.value if sign is None else _drawn(sign, event)
    holder = parent if drawn == event.value else _as_drawn(parent, event, sign)
    _write_group(holder, event, sign, drawn, symbols)


def _drawn(sign: RhythmSign | None, event: TabEvent) -> Value:
    """The value that an engraver draws as this sign."""
    if sign is None:
        return event.value
    return Value(DRAWN[max(_FEWEST, min(_MOST, sign.flags))], sign.value.dots)


def _as_drawn(parent: Element, event: TabEvent, sign: RhythmSign | None) -> Element:
    """An invisible tuplet that gives the drawn sign the length that it has in the edition."""
    drawn = _drawn(sign, event).ticks
    real = event.value.ticks
    if drawn == real:
        return parent
    common = gcd(drawn, real)
    return sub(
        parent,
        TUPLET,
        {
            "num": str(drawn // common),
            "numbase": str(real // common),
            "num.visible": "false",
            "bracket.visible": "false",
        },
    )


def _write_group(parent: Element, event: TabEvent, sign: RhythmSign | None, drawn: Value, symbols: Symbols) -> None:
    group = sub(parent, TAB_GRP, _dotted({XML_ID: event.id, "dur": DURATIONS[drawn.unit]}, drawn))
    if sign is not None:
        how = None if sign.editorial is _PLAIN else {"type": EDITORIAL_TYPES[sign.editorial]}
        sub(group, TAB_DUR_SYM, how)
    outside = sum(1 for figure in event.figures if _outside(figure)) if len(event.figures) > 1 else 0
    aside = 0
    last = max((figure.order for figure in event.figures), default=0)
    for figure in event.figures:
        note = _write_figure(group, figure, symbols)
        if last:  # set one after another, as the source prints them
            note.set("ho", f"{_IN_TURN * (figure.order - last / 2):.4g}")
        elif outside > 1 and _outside(figure):
            note.set("ho", f"{1.1 * (2 * aside - outside + 1):.4g}")
            aside += 1


def _outside(figure: TabFigure) -> bool:
    return figure.outside or not figure.course


def _dotted(attributes: dict[str, str], value: Value) -> dict[str, str]:
    if value.dots:
        attributes["dots"] = str(value.dots)
    return attributes


def _write_figure(group: Element, figure: TabFigure, symbols: Symbols) -> Element:
    """``note``, inside ``supplied`` or ``unclear`` where the edition is not simply the source."""
    attributes = {
        XML_ID: figure.id,
        "tab.course": str(figure.course or NO_COURSE),
        "tab.fret": str(figure.fret),
    }
    symbol = symbols.of(figure)
    if symbol:
        attributes["altsym"] = symbol
    holder = group
    if figure.editorial is not _PLAIN:
        attributes["type"] = EDITORIAL_TYPES[figure.editorial]
        if figure.editorial is not Editorial.DOUBTFUL:
            holder = sub(holder, SUPPLIED)
        if figure.editorial is not Editorial.BRACKETED:
            holder = sub(holder, UNCLEAR)
    note = sub(holder, NOTE, attributes)
    if figure.dots:
        sub(note, ARTIC, {"artic": "stacc", "place": "below", "type": f"tablature dots-{figure.dots}"})
    return note
