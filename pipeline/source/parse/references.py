"""Signs that point elsewhere: labels and their notes, names of sections."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from pipeline.findings.codes.syntax import LABEL_WITHOUT_NOTE, NOTE_WITHOUT_LABEL, UNKNOWN_SECTION
from pipeline.model.diagnostics import Related
from pipeline.model.layers import LayerLine
from pipeline.model.sections import section_named
from pipeline.model.signs import Event, Label, MarkGroup, Unread
from pipeline.model.tablature import Bar, BarItem, Barline, BodyItem, Directive, DirectiveKind, SourceBreak
from pipeline.model.text import Span
from pipeline.source.parse.reader import Reader

#: A message names no more sections than this.
MOST_NAMED = 12
_LABEL = re.compile(r'"([a-z])')


def check_labels(reader: Reader, owner: Bar | Directive, spoilt: str) -> None:
    """Every label of a bar needs a note line under it (or a pin that ends there), and every note its label.

    ``spoilt`` are labels of note lines that could not be read: they count as noted.
    """
    used: dict[str, Span] = {}
    for label in labels_of(owner):
        used.setdefault(label.letter, label.span)
    noted = {*spoilt, *(note.label for note in owner.notes)}
    noted |= {note.pin.lasts_to for note in owner.notes if note.pin}
    alone = [letter for letter in used if letter not in noted]
    lost = [letter for letter in noted if letter and letter not in used and letter not in spoilt]
    pair = alone[0] if len(alone) == len(lost) == 1 else ""  # one slip: the note has the label's wrong letter
    for note in owner.notes:
        ends = note.pin.lasts_to if note.pin else ""
        for letter, what in ((note.label, "this note"), (ends, "this pin")):
            if letter and letter not in used:
                where = "this bar" if isinstance(owner, Bar) else "this line"
                message = f"No sign of {where} has the label “{letter}” of {what}."
                hint = f'Perhaps "{pair}' if pair else f'Type "{letter} after the sign that it refers to.'
                related = (Related(used[pair], f"the label {pair} has no note"),) if pair else ()
                reader.report(NOTE_WITHOUT_LABEL, note.span, message, hint, related)
    for letter, span in used.items():
        if letter not in noted and letter != pair:
            message = f"Expected a note line for the label “{letter}”."
            hint = f'Type under the bar: "{letter} EB: … or "{letter} : printed word'
            reader.report(LABEL_WITHOUT_NOTE, span, message, hint)


def labels_of(owner: Bar | Directive) -> Iterator[Label]:
    """Every label that stands in a bar or directive."""
    if isinstance(owner, Directive):
        yield from _in_text(owner.text, owner.value_span) if owner.kind is DirectiveKind.OPENS else ()
        return
    yield from _in_items((*owner.items, owner.closing))
    for layer in owner.layers:
        yield from _in_layer(layer)
    for variant in owner.variants:
        yield from _in_items(variant.items)


def _in_items(items: Sequence[BarItem]) -> Iterator[Label]:
    for item in items:
        match item:
            case Event():
                yield from _in_event(item)
            case Barline():
                yield from item.labels
            case Unread():
                yield from _in_text(item.text, item.span)
            case SourceBreak():
                yield from item.labels


def _in_event(event: Event) -> Iterator[Label]:
    if event.head:
        yield from event.head.opening_labels
        yield from event.head.labels
        yield from _in_marks(event.head.marks)
    for stop in event.stops:
        yield from stop.labels
        yield from _in_marks(stop.marks)


def _in_marks(groups: tuple[MarkGroup, ...]) -> Iterator[Label]:
    for group in groups:
        yield from group.labels


def _in_layer(layer: LayerLine) -> Iterator[Label]:
    for note in layer.notes:
        if isinstance(note, Unread):
            yield from _in_text(note.text, note.span)
        else:
            yield from _in_marks(note.value_marks)
            yield from note.labels
    for labels in layer.word_labels:
        yield from labels


def _in_text(text: str, span: Span) -> Iterator[Label]:
    for match in _LABEL.finditer(text):
        yield Label(match[1], span.part(match.start(), match.end()))


def check_sections(reader: Reader, items: Sequence[BodyItem]) -> None:
    """The section that ``again`` or ``ditto`` names must stand in the piece."""
    named = [item for item in items if isinstance(item, Directive)]
    sections = {item.text for item in named if item.kind is DirectiveKind.SECTION}
    wanted = [
        (item.text, item.value_span) for item in named if item.kind is DirectiveKind.AGAIN and item.text != "start"
    ]
    wanted += [
        (item.ditto.section, item.ditto.span)
        for item in items
        if isinstance(item, Bar) and item.ditto and item.ditto.section
    ]
    known = ", ".join([*sorted(sections)[:MOST_NAMED], *["…"][: len(sections) > MOST_NAMED]]) or "none"
    for name, span in wanted:
        if section_named(name, sections) is None:
            reader.report(UNKNOWN_SECTION, span, f"There is no section called “{name}”.", f"The sections are: {known}")
