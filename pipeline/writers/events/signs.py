"""What is typed, as facts: stops, rhythm values, marks, bar lines, breaks, notes."""

from __future__ import annotations

from lxml.etree import _Element

from pipeline.model.heading import Heading
from pipeline.model.signs import Event, FretState, Head, MarkGroup, Sign, Slur, Unread
from pipeline.model.tablature import Bar, Barline, Directive, NoteLine, SourceBreak
from pipeline.model.xmltext import legal
from pipeline.writers.events.xml import Places, act, add, differs, labels, yes

_SLURS = {Slur.PRINTED: "printed", Slur.ADDED: "added", Slur.DOUBTFUL: "doubtful", Slur.REMOVED: "removed"}


def sign_attributes(sign: Sign) -> dict[str, str]:
    """``course``, ``fret``, ``typed``, ``state``, ``dots``: one figure or letter."""
    return {
        "course": str(sign.course or sign.course_sign),
        "fret": "" if sign.fret is None else str(sign.fret),
        "typed": sign.typed,
        "state": "" if sign.state is FretState.READ else sign.state.value,
        "dots": str(sign.dots or ""),
    }


def slur_name(slur: Slur | None) -> str:
    """How a slur into a stop stands in source and edition; empty for none."""
    return _SLURS[slur] if slur is not None else ""


def head(parent: _Element, typed: Head, heading: Heading, places: Places) -> None:
    """``value`` (with the source's), ``group``, ``mark`` …: what stands over an event. Without a value, a beam and
    labels belong to the event itself."""
    value = typed.value
    if value is not None:
        element = {"reads": value.edition.name if value.edition is not None else "", **act(value)}
        element["second"] = typed.second.name if typed.second is not None else ""
        if differs(value) and value.source is not None:
            element["source"] = value.source.name
        element["labels"] = labels((*typed.opening_labels, *typed.labels))
        element["joined"] = yes(typed.beamed)
        add(parent, "value", {**element, **places.of(typed.span)})
    else:
        if typed.beamed:
            parent.set("joined", "yes")
        if typed.opening_labels or typed.labels:
            parent.set("labels", labels((*typed.opening_labels, *typed.labels)))
    if typed.group is not None:
        group = typed.group
        add(parent, "group", {"notes": str(group.notes), "time": str(group.time), "added": yes(group.added)})
    marks(parent, typed.marks, heading, places)


def marks(parent: _Element, groups: tuple[MarkGroup, ...], heading: Heading, places: Places) -> None:
    """``mark`` …: each with its sign as printed and its meaning, as declared in the heading."""
    for group in groups:
        for reading in group.marks:
            letter = reading.edition or reading.source or ""
            declared = heading.mark(letter) if letter.isupper() else None
            attributes = {"reads": reading.edition or "", **act(reading), "labels": labels(group.labels)}
            if differs(reading):
                attributes["source"] = reading.source or ""
            if declared is not None:
                attributes["printed"] = legal(declared.printed)
                attributes["meaning"] = legal(declared.meaning)
                attributes["place"] = legal(declared.place)
            add(parent, "mark", {**attributes, **places.of(group.span)})


def barline(parent: _Element, line: Barline, places: Places) -> None:
    """``barline``; one that closes a bar without being typed stands at the end of its line."""
    attributes = {
        "kind": line.kind.name.lower().replace("_", "-"),
        "act": line.act.name.lower(),
        "implied": yes(not line.typed),
        "labels": labels(line.labels),
    }
    add(parent, "barline", {**attributes, **places.of(line.span)})


def source_break(parent: _Element, item: SourceBreak, places: Places) -> None:
    """``break``: the source begins a system, or a page if it has a folio."""
    add(parent, "break", {"folio": legal(item.folio), "labels": labels(item.labels), **places.of(item.span)})


def unread(parent: _Element, item: Unread, places: Places) -> None:
    """``unread``: a word that could not be read, to the letter."""
    add(parent, "unread", places.of(item.span), item.text)


def note(parent: _Element, line: NoteLine, places: Places) -> None:
    """``note``: reason, printed word, reading of another source, or pin."""
    attributes = {"kind": line.kind.value.replace(" ", "-"), "label": line.label, "who": legal(line.who)}
    if line.pin is not None:
        pin = line.pin
        attributes["voice"] = "" if pin.voice is None else str(pin.voice)
        attributes["octave"] = "" if pin.octave is None else str(pin.octave)
        attributes["lasts"] = pin.lasts.name if pin.lasts is not None else ""
        attributes["lasts-to"] = pin.lasts_to
    add(parent, "note", {**attributes, **places.of(line.span)}, line.text)


def directive(parent: _Element, line: Directive, places: Places) -> None:
    """``directive``: a line between bars, its notes under it."""
    attributes = {"kind": line.kind.value, "text": legal(line.text)}
    element = add(parent, "directive", {**attributes, **places.of(line.span)})
    for under in line.notes:
        note(element, under, places)


def variants(parent: _Element, bar: Bar, heading: Heading, places: Places) -> None:
    """``variant`` …: the whole bar as the copy-text or another source has it; signs only, nothing sounds."""
    for variant in bar.variants:
        attributes = {"witness": legal(variant.witness), "omits": yes(variant.omits)}
        element = add(parent, "variant", {**attributes, **places.of(variant.span)})
        for item in variant.items:
            match item:
                case Event():
                    silent_event(element, item, heading, places)
                case Barline():
                    barline(element, item, places)
                case SourceBreak():
                    source_break(element, item, places)
                case Unread():
                    unread(element, item, places)


def silent_event(parent: _Element, event: Event, heading: Heading, places: Places) -> None:
    """``event`` of another reading: its signs, with no place in time."""
    element = add(parent, "event", {"body": event.body.name.lower().replace("_", "-"), **places.of(event.span)})
    if event.head is not None:
        head(element, event.head, heading, places)
    for stop in event.stops:
        attributes = sign_attributes(stop.sign) if stop.sign is not None else {}
        attributes |= {**act(stop.reading), "slur": slur_name(stop.slur), "sounds": "no"}
        holder = add(element, "stop", {**attributes, **places.of(stop.span)})
        if differs(stop.reading) and stop.reading.source is not None:
            add(holder, "source", sign_attributes(stop.reading.source))
        marks(holder, stop.marks, heading, places)
