"""Which features of the encoding a piece uses, found by walking what was parsed.

The names follow the tables of the encoding, read sign by sign; :data:`FEATURES` lists them all.
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.model.layers import LayerKind, LayerLine, LayerNote
from pipeline.model.signs import Act, Body, Event, FretState, Label, MarkGroup, Reading, Sign, Signs, Slur, Stop
from pipeline.model.tablature import (
    HEADING_KEYS,
    Bar,
    Barline,
    BarlineAct,
    BarlineKind,
    CommentLine,
    Directive,
    DirectiveKind,
    HeadingLine,
    NoteKind,
    NoteLine,
    PageBreak,
    SourceBreak,
    Tablature,
)

HEAD_MARKS = "rsudfben"
STOP_MARKS = "1234pimabsh"
UNITS = (0, 1, 2, 4, 8, 16, 32, 64)

FEATURES = frozenset(
    {
        *(f"heading {key}" for key in HEADING_KEYS),
        "second source",
        "second editor",
        "inherited heading",
        "signs italian",
        "signs french",
        "octave strings",
        "value ratio",
        "key declared",
        "no key declared",
        *(f"metre {sign}" for sign in ("C", "3", "3/2", "3/4", "none")),
        *(f"ornament {place}" for place in ("before", "after", "above", "below")),
        *(f"value {unit}" for unit in UNITS),
        "value dotted",
        "value doubly dotted",
        *(f"value {act.value}" for act in Act),
        "value doubtful",
        "group of three",
        "group, next one",
        "group with its time",
        "group added",
        "beamed sign",
        "beamed sign of another value",
        "rest",
        "blank place",
        "empty bar",
        "chord not reprinted",
        "chord not reprinted, new sign",
        *(f"head mark {mark}" for mark in HEAD_MARKS),
        "chord",
        "stops one after another",
        "unison on two courses",
        "fret X",
        "fret 10 and more",
        "diapason X",
        "diapason 10",
        "diapason 11 and more",
        *(f"french letter {letter}" for letter in "abcdefgilyr"),
        *(f"french diapason {sign}" for sign in ("a", "/a", "//a", "///a", "4", "5", "6", "7")),
        "hold on a course",
        "hold of a diapason",
        "dot of the right hand",
        "two dots of the right hand",
        *(f"stop mark {mark}" for mark in STOP_MARKS),
        "stop mark declared",
        "partial barre, both ends",
        *(f"slur {slur.value}" for slur in Slur),
        "slur over a bar line",
        *(f"stop {act.value}" for act in Act),
        "stop doubtful",
        "source of a stop doubtful",
        "fret illegible",
        "fret lost",
        "line unclear",
        "line lost",
        "mark added",
        "mark removed",
        "mark replaced",
        "mark doubtful",
        "mark illegible",
        *(f"label on {what}" for what in ("stop", "mark", "value", "event", "bar line", "layer note", "word")),
        *(f"note: {kind.value}" for kind in NoteKind),
        "note on a whole bar",
        "note on a line between bars",
        *(f"pin {what}" for what in ("voice", "octave", "lasts", "lasts to")),
        "whole bar in the copy-text",
        "whole bar in source B",
        *(f"bar line {kind.value}" for kind in BarlineKind),
        "bar line added",
        "bar line removed",
        "bar line doubtful",
        "bar line in mid-bar",
        *(f"directive {kind.value}" for kind in DirectiveKind),
        "ending closed",
        "again start",
        "again a section",
        "retuning of several courses",
        "ditto",
        "ditto of two",
        "ditto of a section's bar",
        "short bar",
        "free bar",
        "page",
        "system",
        "page inside a bar",
        "system inside a bar",
        "comment in the heading",
        "comment line",
        *(f"layer {name}" for name in ("v", "v2", "b", "c", "1", "2", "3")),
        "chord letters over a voice",
        "chord letters over the tablature",
        "no chord letter",
        "voice: rest",
        "voice: tie",
        "voice: octave left out",
        *(f"voice: accidental {sign}" for sign in "#bn"),
        "voice: pitch emended",
        "voice: fermata",
        "bass: tie",
        "figure",
        "figures stacked",
        "figures in turn",
        "figure: accidental",
        "text: hyphen",
        "text: melisma",
        "text: elision",
    }
)


def features_of(piece: Tablature) -> frozenset[str]:
    """The names of all features that the piece uses, headings inherited included."""
    return frozenset((*_heading(piece), *_body(piece)))


# --- heading ------------------------------------------------------------------------------------------------


def _heading(piece: Tablature) -> Iterator[str]:
    own = [line for line in piece.heading if isinstance(line, HeadingLine)]
    for line in (*own, *piece.inherited):
        yield f"heading {line.key}"
        yield from _heading_line(line)
    if piece.inherited:
        yield "inherited heading"
    if any(isinstance(line, CommentLine) or line.comment for line in piece.heading if not _unread(line)):
        yield "comment in the heading"
    for key, name in (("source", "second source"), ("editor", "second editor")):
        if sum(line.key == key for line in (*own, *piece.inherited)) > 1:
            yield name
    yield "key declared" if any(line.key == "key" for line in (*own, *piece.inherited)) else "no key declared"


def _unread(line: object) -> bool:
    return not isinstance(line, CommentLine | HeadingLine)


def _heading_line(line: HeadingLine) -> Iterator[str]:
    if line.key == "signs":
        yield f"signs {line.value}"
    elif line.key == "course" and "+" in line.value:
        yield "octave strings"
    elif line.key == "values" and line.value != "1:1":
        yield "value ratio"
    elif line.key == "metre":
        yield f"metre {line.value}"
    elif line.key == "mark":
        yield f"ornament {line.value.rpartition(',')[2].strip()}"


# --- body ---------------------------------------------------------------------------------------------------


def _body(piece: Tablature) -> Iterator[str]:
    for at, item in enumerate(piece.body):
        match item:
            case Bar():
                yield from _bar(item, piece.signs)
            case Directive():
                yield from _directive(item)
            case PageBreak():
                yield "page" if item.folio else "system"
            case CommentLine():
                yield "comment line"
        if isinstance(item, Bar) and at and item.events and _slurred(item.events[0]):
            yield "slur over a bar line"


def _slurred(event: Event) -> bool:
    return any(stop.slur is Slur.PRINTED for stop in event.stops)


def _directive(line: Directive) -> Iterator[str]:
    yield f"directive {line.kind.value}"
    if line.notes:
        yield "note on a line between bars"
    if line.kind is DirectiveKind.ENDING and line.text == "end":
        yield "ending closed"
    if line.kind is DirectiveKind.AGAIN:
        yield "again start" if line.text == "start" else "again a section"
    if line.kind is DirectiveKind.RETUNE and "," in line.text:
        yield "retuning of several courses"
    if line.kind is DirectiveKind.OPENS:
        yield f"bar line {line.text}"
    if line.kind is DirectiveKind.METRE:
        yield f"metre {line.text}"
    for note in line.notes:
        yield from _note(note)


def _bar(bar: Bar, signs: Signs) -> Iterator[str]:
    yield from {"|": (), "|<": ("short bar",), "|>": ("free bar",)}[bar.kind.value]
    yield from _ditto(bar)
    events = bar.events
    if len(events) == 1 and events[0].body is Body.NOTHING and events[0].head is None:
        yield "empty bar"
    for item in bar.items:
        match item:
            case Event():
                yield from _event(item, signs)
            case Barline():
                yield "bar line in mid-bar"
                yield from _barline(item)
            case SourceBreak():
                yield "page inside a bar" if item.folio else "system inside a bar"
    yield from _barline(bar.closing)
    for layer in bar.layers:
        yield from _layer(layer)
    for variant in bar.variants:
        yield f"whole bar in source {variant.witness}" if variant.witness else "whole bar in the copy-text"
    for note in bar.notes:
        yield from _note(note)
        if not note.label:
            yield "note on a whole bar"


def _ditto(bar: Bar) -> Iterator[str]:
    if bar.ditto is None:
        return
    if bar.ditto.section:
        yield "ditto of a section's bar"
    else:
        yield "ditto" if bar.ditto.bars == 1 else "ditto of two"


def _barline(line: Barline) -> Iterator[str]:
    if line.act is not BarlineAct.PRINTED:
        yield f"bar line {line.act.value}" if line.act.value in ("added", "removed") else "bar line doubtful"
    if line.labels:
        yield "label on bar line"
    yield f"bar line {line.kind.value}"


def _note(note: NoteLine) -> Iterator[str]:
    yield f"note: {note.kind.value}"
    if note.pin is None:
        return
    said = {
        "voice": note.pin.voice,
        "octave": note.pin.octave,
        "lasts": note.pin.lasts,
        "lasts to": note.pin.lasts_to or None,
    }
    yield from (f"pin {name}" for name, value in said.items() if value is not None)


# --- events -------------------------------------------------------------------------------------------------


def _event(event: Event, signs: Signs) -> Iterator[str]:
    yield from _head_features(event)
    if event.body is Body.AS_BEFORE:
        yield "chord not reprinted"
    if event.body is Body.NOTHING:
        yield "rest" if event.head and event.head.value else "blank place"
    if len(event.stops) > 1:
        yield "stops one after another" if any(stop.after for stop in event.stops) else "chord"
    barre = sum(mark == "b" for stop in event.stops for mark in _plain(stop.marks))
    if barre == 2:
        yield "partial barre, both ends"
    for stop in event.stops:
        yield from _stop(stop, signs)
    if signs is Signs.ITALIAN and {(5, 2), (2, 0)} <= {_at(stop) for stop in event.stops}:
        yield "unison on two courses"  # E3 twice on a theorbo in A


def _at(stop: Stop) -> tuple[int | None, int | None]:
    return (stop.sign.course, stop.sign.fret) if stop.sign else (None, None)


def _head_features(event: Event) -> Iterator[str]:
    head = event.head
    if head is None:
        return
    if head.value:
        yield from _value(head.value)
        if event.body is Body.AS_BEFORE:
            yield "chord not reprinted, new sign"
    if head.opening_labels:
        yield "label on event"
    if head.labels:
        yield "label on value"
    if head.beamed:
        yield "beamed sign of another value" if head.value else "beamed sign"
    if head.group:
        yield "group of three" if head.group.notes == 3 else "group of another number"
        yield from ("group, next one",) if head.value is None else ()
        yield from ("group with its time",) if head.group.typed_time else ()
        yield from ("group added",) if head.group.added else ()
    yield from (f"head mark {mark}" for mark in _plain(head.marks))
    yield from _marks(head.marks)


def _value(reading: Reading[object]) -> Iterator[str]:
    yield f"value {reading.act.value}"
    if reading.doubtful and reading.act is Act.PRINTED:
        yield "value doubtful"
    value = reading.edition
    if value is not None:
        yield f"value {value.unit}"  # type: ignore[attr-defined]
        yield from {0: (), 1: ("value dotted",), 2: ("value doubly dotted",)}[value.dots]  # type: ignore[attr-defined]


def _stop(stop: Stop, signs: Signs) -> Iterator[str]:
    if stop.slur:
        yield f"slur {stop.slur.value}"
    yield f"stop {stop.reading.act.value}"
    if stop.reading.doubtful:
        yield "stop doubtful"
    if stop.reading.source_doubtful:
        yield "source of a stop doubtful"
    if stop.labels:
        yield "label on stop"
    for mark in _plain(stop.marks):
        yield "stop mark declared" if mark.isupper() else f"stop mark {mark}"
    yield from _marks(stop.marks)
    if stop.sign:
        yield from _sign(stop.sign, signs)


def _sign(sign: Sign, signs: Signs) -> Iterator[str]:
    course = sign.course or 0
    states = {FretState.ILLEGIBLE: "fret illegible", FretState.LOST: "fret lost"}
    if sign.state in states:
        yield states[sign.state]
    if sign.course_sign:
        yield "line unclear" if sign.course_sign == "?" else "line lost"
    if sign.state is FretState.HOLD:
        yield "hold of a diapason" if sign.bare else "hold on a course"
    if sign.dots:
        yield "dot of the right hand" if sign.dots == 1 else "two dots of the right hand"
    if signs is Signs.FRENCH:
        yield f"french diapason {sign.typed}" if sign.bare else f"french letter {sign.typed}"
    elif sign.bare:
        yield f"diapason {sign.typed}" if course <= 10 else "diapason 11 and more"
    elif sign.typed == "X":
        yield "fret X"
    elif (sign.fret or 0) >= 10:
        yield "fret 10 and more"


def _plain(marks: tuple[MarkGroup, ...]) -> list[str]:
    return [reading.edition for group in marks for reading in group.marks if reading.edition]


def _marks(marks: tuple[MarkGroup, ...]) -> Iterator[str]:
    acts = {
        Act.ADDED: "mark added",
        Act.REMOVED: "mark removed",
        Act.EMENDED: "mark replaced",
        Act.ILLEGIBLE: "mark illegible",
    }
    for group in marks:
        if group.labels:
            yield "label on mark"
        for reading in group.marks:
            if reading.act in acts:
                yield acts[reading.act]
            if reading.doubtful:
                yield "mark doubtful"


# --- layers -------------------------------------------------------------------------------------------------


def _layer(layer: LayerLine) -> Iterator[str]:
    yield f"layer {layer.name}"
    if layer.kind is LayerKind.CHORDS:
        yield "chord letters over a voice" if layer.over else "chord letters over the tablature"
        yield from ("no chord letter" for word, _ in layer.words if word == "-")
    if layer.kind is LayerKind.TEXT:
        for word, _ in layer.words:
            yield "text: melisma" if word == "_" else ""
            yield "text: hyphen" if word.endswith("-") else ""
            yield "text: elision" if "_" in word[1:-1] else ""
        yield from ("label on word" for labels in layer.word_labels if labels)
    for note in layer.notes:
        if isinstance(note, LayerNote):
            yield from _layer_note(note, "voice" if layer.kind is LayerKind.VOICE else "bass")


def _layer_note(note: LayerNote, part: str) -> Iterator[str]:
    labels: tuple[Label, ...] = note.labels
    if labels:
        yield "label on layer note"
    if note.joined:
        yield f"{part}: tie"
    if "f" in _plain(note.value_marks):
        yield f"{part}: fermata"
    if note.pitch is None:
        yield f"{part}: rest"
    elif note.pitch.edition:
        yield f"{part}: accidental {note.pitch.edition.accidental}"
        yield f"{part}: octave left out" if note.pitch.edition.octave is None else ""
        yield f"{part}: pitch emended" if note.pitch.act is Act.EMENDED else ""
    if note.figures:
        yield "figure"
        yield "figures in turn" if len(note.figures) > 1 else ""
        yield "figures stacked" if any(len(column) > 1 for column in note.figures) else ""
        yield "figure: accidental" if set(note.figures_typed) & set("#bn") else ""
