"""The readings of a source that stand under a bar: which they are, and the bar without them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from pipeline.desk.collate.source import is_bare
from pipeline.model.layers import LayerLine, LayerNote
from pipeline.model.record import replace
from pipeline.model.signs import Event, Head, Label, MarkGroup, Signs, Stop
from pipeline.model.tablature import OMITS, Bar, BarItem, Barline, NoteKind, NoteLine, SourceBreak
from pipeline.source.parse.quoted import quoted_barline, quoted_events, quoted_value


def readings_of(bar: Bar, siglum: str) -> dict[str, str]:
    """What the source has at each label of the bar, as typed; under the empty label, of the bar as a whole."""
    found: dict[str, str] = {}
    for note in bar.notes:
        if note.kind is NoteKind.WITNESS and note.who == siglum:
            found.setdefault(note.label, note.text)
    return found


def is_read(text: str, signs: Signs) -> bool:
    """Whether a note on another source says it in signs, not in words."""
    if text == OMITS or quoted_barline(text) is not None or quoted_value(text) is not None:
        return True
    return quoted_events(text, signs) is not None


def without(bar: Bar, siglum: str, signs: Signs, *, words: bool) -> Bar:
    """The bar without the readings of a source; with ``words`` also without those that are words."""

    def goes(note: NoteLine) -> bool:
        return note.kind is NoteKind.WITNESS and note.who == siglum and (words or is_read(note.text, signs))

    notes = tuple(note for note in bar.notes if not goes(note))
    variants = tuple(variant for variant in bar.variants if variant.witness != siglum)
    kept = {note.label for note in notes} | {note.pin.lasts_to for note in notes if note.pin is not None}
    gone = {note.label for note in bar.notes if note.label} - kept
    made = replace(bar, notes=notes, variants=variants)
    return _unlabelled(made, gone) if gone else made


def letters_of(bar: Bar) -> list[str]:
    """Every label that stands in the bar, as often as it does, and those of its notes."""
    found = [label.letter for label in _labels(bar)]
    return [*found, *(note.label for note in bar.notes if note.label and note.label not in found)]


def _labels(bar: Bar) -> Iterator[Label]:
    for item in (*bar.items, bar.closing, *(item for variant in bar.variants for item in variant.items)):
        yield from _of_item(item)
    for layer in bar.layers:
        for note in layer.notes:
            if isinstance(note, LayerNote):
                yield from (*note.labels, *(label for group in note.value_marks for label in group.labels))
        yield from (label for labels in layer.word_labels for label in labels)


def _of_item(item: BarItem) -> Iterator[Label]:
    if isinstance(item, Barline | SourceBreak):
        yield from item.labels
    elif isinstance(item, Event):
        if item.head is not None:
            yield from (*item.head.opening_labels, *item.head.labels)
            yield from (label for group in item.head.marks for label in group.labels)
        for stop in item.stops:
            yield from (*stop.labels, *(label for group in stop.marks for label in group.labels))


# --- labels taken away --------------------------------------------------------------------------------------


def _unlabelled(bar: Bar, gone: Collection[str]) -> Bar:
    return replace(
        bar,
        items=tuple(_item(item, gone) for item in bar.items),
        closing=_closing(bar.closing, gone),
        layers=tuple(_layer(layer, gone) for layer in bar.layers),
        variants=tuple(
            replace(variant, items=tuple(_item(item, gone) for item in variant.items)) for variant in bar.variants
        ),
    )


def _kept(labels: Iterable[Label], gone: Collection[str]) -> tuple[Label, ...]:
    return tuple(label for label in labels if label.letter not in gone)


def _item(item: BarItem, gone: Collection[str]) -> BarItem:
    match item:
        case Event():
            return replace(
                item,
                head=_head(item.head, gone) if item.head is not None else None,
                stops=tuple(_stop(stop, gone) for stop in item.stops),
            )
        case Barline() | SourceBreak():
            return replace(item, labels=_kept(item.labels, gone))
        case _:
            return item


def _closing(line: Barline, gone: Collection[str]) -> Barline:
    """The line at the end; a plain one without labels is not typed."""
    made = replace(line, labels=_kept(line.labels, gone))
    return replace(made, typed=False) if made == plain_line(made) else made


def plain_line(line: Barline) -> Barline:
    """A plain printed line in the place of another, as if it were typed."""
    return Barline(type(line.kind).SINGLE, line.span)


def _head(head: Head, gone: Collection[str]) -> Head | None:
    made = replace(
        head,
        opening_labels=_kept(head.opening_labels, gone),
        labels=_kept(head.labels, gone),
        marks=_marks(head.marks, gone),
    )
    return None if is_bare(made) and not (made.opening_labels or made.labels) else made


def _stop(stop: Stop, gone: Collection[str]) -> Stop:
    return replace(stop, labels=_kept(stop.labels, gone), marks=_marks(stop.marks, gone))


def _marks(groups: tuple[MarkGroup, ...], gone: Collection[str]) -> tuple[MarkGroup, ...]:
    return tuple(replace(group, labels=_kept(group.labels, gone)) for group in groups)


def _layer(layer: LayerLine, gone: Collection[str]) -> LayerLine:
    notes = tuple(
        replace(note, labels=_kept(note.labels, gone), value_marks=_marks(note.value_marks, gone))
        if isinstance(note, LayerNote)
        else note
        for note in layer.notes
    )
    return replace(layer, notes=notes, word_labels=tuple(_kept(labels, gone) for labels in layer.word_labels))
