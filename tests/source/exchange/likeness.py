"""What two typed pieces have in common, bar by bar and facet by facet, where letters and layout do not count.

Not compared at all, for no form says it: comments, where systems begin, which letter a label has, which letter a mark
has (its printed sign counts), where in a word a label stands, and which of two marks over one event comes first.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pipeline.model.layers import LayerKind, LayerLine, LayerNote
from pipeline.model.signs import Act, Event, MarkGroup, Reading, Sign
from pipeline.model.tablature import Bar, BarItem, Barline, Directive, HeadingLine, NoteLine, PageBreak, Tablature
from pipeline.model.text import SourceText
from pipeline.source.parse import parse

Facets = dict[str, Any]
#: What is compared of a bar, in the order of the tables.
FACETS = ("before", "kind", "ditto", "signs", "stops", "marks", "lines", "variants", "notes", "sung", "words", "chords")


def read(text: str, inherited: tuple[SourceText, ...] = ()) -> Tablature:
    return parse(SourceText.of("piece.intav", text), inherited).value


def bars_of(piece: Tablature) -> list[Facets]:
    """The facets of each bar; ``before`` is what stands between it and the bar before."""
    shown = {
        line.name: line.value.split('"')[1]
        for line in (*piece.inherited, *piece.heading)
        if isinstance(line, HeadingLine) and line.key == "mark"
    }
    found: list[Facets] = []
    before: list[Any] = []
    for item in piece.body:
        if isinstance(item, Bar):
            found.append({"before": before, **_bar(item, shown)})
            before = []
        elif isinstance(item, Directive):
            before.append((item.kind.value, item.text, [_note(note) for note in item.notes]))
        elif isinstance(item, PageBreak) and item.folio:
            before.append(("page", item.folio))
    if before:
        found.append({"before": before})
    return found


def heading_of(piece: Tablature) -> dict[tuple[str, str], str]:
    """Heading lines as they hold, the piece's own over those that it inherits; marks by their printed sign."""
    held = {}
    for line in (*piece.inherited, *piece.heading):
        if isinstance(line, HeadingLine):
            name = line.value.split('"')[1] if line.key == "mark" else line.value if line.key == "remark" else line.name
            held[line.key, name] = line.value
    return held


def differing(one: Tablature, other: Tablature) -> Iterator[tuple[int, str, Any, Any]]:
    """The facets in which two pieces differ, each with the number of its bar and both sides. A bar that only one has
    differs in ``kind``."""
    ours, theirs = bars_of(one), bars_of(other)
    for number in range(max(len(ours), len(theirs))):
        left = ours[number] if number < len(ours) else {}
        right = theirs[number] if number < len(theirs) else {}
        for facet in FACETS:
            if left.get(facet) != right.get(facet):
                yield number + 1, facet, left.get(facet), right.get(facet)


def _bar(bar: Bar, shown: dict[str, str]) -> Facets:
    events = [item for item in bar.items if isinstance(item, Event)]
    return {
        "kind": bar.kind.value,
        "ditto": bar.ditto and (bar.ditto.bars, bar.ditto.section, bar.ditto.number),
        "signs": [_head(event) for event in events],
        "stops": [_stops(event) for event in events],
        "marks": [_marks(event, shown) for event in events],
        "lines": _lines(bar),
        "variants": [(each.witness, [_item(item) for item in each.items if _counts(item)]) for each in bar.variants],
        "notes": sorted(_note(note) for note in bar.notes),
        "sung": [_sung(line) for line in bar.layers if line.notes],
        "words": [_words(line) for line in bar.layers if line.kind is LayerKind.TEXT],
        "chords": [(line.over, _chords(line)) for line in bar.layers if line.kind is LayerKind.CHORDS],
    }  # fmt: skip


def _counts(item: BarItem) -> bool:
    return isinstance(item, (Event, Barline))


def _item(item: BarItem) -> Any:
    if isinstance(item, Event):
        return _head(item), _stops(item, with_slurs=False)
    assert isinstance(item, Barline)
    return _line(item, 0)


def _reading(reading: Reading[Any] | None, show: Any = lambda value: value) -> Any:
    if reading is None:
        return None
    source = None if reading.source is None or reading.act is Act.PRINTED else show(reading.source)
    edition = None if reading.edition is None else show(reading.edition)
    return reading.act.value, edition, source, reading.doubtful, reading.source_doubtful


def _head(event: Event) -> Any:
    head = event.head
    if head is None or (head.value is None and head.group is None and not head.beamed):
        return event.body.value
    group = head.group and (head.group.notes, head.group.time, head.group.added)
    second = head.second and head.second.name
    return event.body.value, _reading(head.value, lambda value: value.name), second, group, head.beamed


def _sign(sign: Sign) -> Any:
    return sign.course, sign.fret, sign.state.value, sign.dots, sign.course_sign


def _stops(event: Event, *, with_slurs: bool = True) -> Any:
    stops = [
        (_reading(stop.reading, _sign), stop.slur.value if stop.slur and with_slurs else "", stop.after)
        for stop in event.stops
    ]
    return stops if any(stop[-1] for stop in stops) else sorted(stops, key=repr)


def _group(groups: tuple[MarkGroup, ...], shown: dict[str, str]) -> list[Any]:
    readings = [_reading(mark, lambda letter: shown.get(letter, letter)) for group in groups for mark in group.marks]
    return sorted((each for each in readings if each[1] != "n"), key=repr)


def _marks(event: Event, shown: dict[str, str]) -> Any:
    over = _group(event.head.marks, shown) if event.head is not None else []
    return over, [(stop.reading.edition and stop.reading.edition.course, _group(stop.marks, shown))
                  for stop in event.stops if stop.marks]  # fmt: skip


def _lines(bar: Bar) -> list[Any]:
    inside = [_line(item, at) for at, item in enumerate(bar.items) if isinstance(item, Barline)]
    return [*inside, _line(bar.closing, -1)]


def _line(line: Barline, at: int) -> Any:
    return at, line.kind.value, line.act.value


def _note(note: NoteLine) -> Any:
    return note.kind.value, note.who, note.text if note.pin is None else str(note.pin)


def _sung(line: LayerLine) -> Any:
    octave: int | None = None
    found = []
    for note in line.notes:
        assert isinstance(note, LayerNote)
        pitch = note.pitch.edition if note.pitch is not None else None
        octave = octave if pitch is None or pitch.octave is None else pitch.octave
        was = note.pitch.source if note.pitch is not None and note.pitch.act is not Act.PRINTED else None
        value = _reading(note.value, lambda value: value.name)
        marks = _group(note.value_marks, {})
        group = note.group and (note.group.notes, note.group.time)
        said = pitch and (pitch.step, pitch.accidental, octave)
        source = was and (was.step, was.accidental)
        found.append(
            (value, marks, group, said, note.pitch and note.pitch.act.value, source, note.joined, note.figures)
        )
    return line.name, found


def _words(line: LayerLine) -> Any:
    return line.over, line.name, [word for word, _ in line.words]


def _chords(line: LayerLine) -> list[str]:
    said = [word for word, _ in line.words]
    while said and said[-1] == "-":
        said.pop()
    return said
