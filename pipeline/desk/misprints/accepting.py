"""A proposal accepted: written into the text as an emendation, with a note that gives the reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.desk.misprints.proposal import Proposal, Slip, Suspicion
from pipeline.desk.misprints.search import CannotEmendError, Note, emended
from pipeline.model.record import replace
from pipeline.model.signs import Event
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Bar, Tablature
from pipeline.model.text import SourceText, Span
from pipeline.source.parse import parse

__all__ = ["NotAcceptedError", "accepted", "free_letter", "initials_for", "last_line"]


class NotAcceptedError(Exception):
    """A proposal that cannot be written into the text; the message says why."""


def initials_for(piece: SoundingPiece, asked: str) -> str:
    """Whose note gives the reason: the editor asked for, or the one that the heading declares alone; empty if there
    is none. Raises NotAcceptedError for initials that the heading does not declare."""
    declared = [initials for initials, _ in piece.heading.editors]
    if asked:
        if asked not in declared:
            known = (
                f"the declared editors are {', '.join(declared)}"
                if declared
                else f"type editor {asked} = … in the heading"
            )
            raise NotAcceptedError(f"no editor {asked} is declared; {known}")
        return asked
    return declared[0] if len(declared) == 1 else ""


@dataclass(frozen=True, slots=True)
class _Saying:
    """What a text says at each event and bar line, places and labels left out."""

    events: tuple[tuple[object, ...], ...]
    lines: tuple[tuple[object, ...], ...]


def accepted(text: str, inherited: tuple[SourceText, ...], proposal: Proposal, name: str, initials: str = "") -> str:
    """``text`` with one proposal written into it as an emendation, the source's reading kept; everything else stays
    as it is, byte for byte.

    With ``initials`` the bar gets a note with the reasons, if a label is free. ``name`` is the file's, as in the
    spans. Raises NotAcceptedError if the text is not the one that the proposal was made for, the change must be made
    by hand, or the changed text would not read as proposed.
    """
    suspicion = proposal.suspicion
    if suspicion.by_hand or not suspicion.edits:
        raise NotAcceptedError(f"{proposal.id} must be typed by hand: {suspicion.by_hand or 'there is no form for it'}")
    before = parse(SourceText.of(name, text.removeprefix("\ufeff")), inherited)
    note = _note(before.value, suspicion, initials) if initials else None
    try:
        changed = emended(text, suspicion.edits, note)
    except CannotEmendError as error:
        raise NotAcceptedError(f"{proposal.id} no longer fits the text: {error}") from error
    after = parse(SourceText.of(name, changed.removeprefix("\ufeff")), inherited)
    if len(after.diagnostics) > len(before.diagnostics) or not _reads_as(before.value, after.value, suspicion):
        raise NotAcceptedError(f"{proposal.id} would not read as proposed: type it by hand")
    return changed


def _note(tablature: Tablature, suspicion: Suspicion, initials: str) -> Note | None:
    """A note with the reasons under the bar, under a letter that is free in it; None if none is."""
    place = suspicion.edits[0].span
    bar = _bar_at(tablature, place)
    if bar is None:
        return None
    behind = 0 if suspicion.slip is Slip.BAR_LINE_MISSING else last_line(bar)
    letter = free_letter(bar)
    if not letter:
        return None
    return Note(letter, f'"{letter} {initials}: {", ".join(suspicion.reasons)}', behind)


def free_letter(bar: Bar) -> str:
    """A letter that is no label in a bar yet, behind those that are, if one is left there; empty if all are taken."""
    used = _letters(bar)
    letter = next((one for one in "abcdefghijklmnopqrstuvwxyz" if one not in used and one > max(used, default="")), "")
    return letter or next((one for one in "abcdefghijklmnopqrstuvwxyz" if one not in used), "")


def _bar_at(tablature: Tablature, place: Span) -> Bar | None:
    """The bar that a place lies in: the last one that begins at or before it."""
    found = None
    for bar in tablature.bars:
        if (bar.span.line, bar.span.start) <= (place.line, place.start):
            found = bar
    return found


def _letters(bar: Bar) -> set[str]:
    """Every label in a bar, and under it."""
    found: set[str] = {note.label for note in bar.notes if note.label}
    for item in _walk(bar):
        labels = getattr(item, "labels", ())
        found |= {label.letter for label in labels} | {label.letter for label in getattr(item, "opening_labels", ())}
    return found


def _walk(bar: Bar) -> Iterator[object]:
    """Everything in a bar and its other lines that may carry a label."""
    yield bar.closing
    for items in (bar.items, *(variant.items for variant in bar.variants)):
        for item in items:
            yield item
            if isinstance(item, Event):
                if item.head is not None:
                    yield from (item.head, *item.head.marks)
                for stop in item.stops:
                    yield from (stop, *stop.marks)
    for layer in bar.layers:
        yield from layer.notes
        for note in layer.notes:
            yield from getattr(note, "value_marks", ())
        yield from (_Labelled(labels) for labels in layer.word_labels)


@dataclass(frozen=True, slots=True)
class _Labelled:
    labels: tuple[object, ...]


def last_line(bar: Bar) -> int:
    """The last line of the text that belongs to a bar: that before the next thing in the body, comments and blank
    lines between them left to what follows."""
    lines = [bar.span.line, *(item.span.line for item in bar.items)]
    lines += [layer.span.line for layer in bar.layers]
    lines += [variant.span.line for variant in bar.variants]
    lines += [note.span.line for note in bar.notes]
    lines += [sung.span.line for layer in bar.layers for sung in layer.notes]
    lines += [span.line for layer in bar.layers for _, span in layer.words]
    lines += [item.span.line for variant in bar.variants for item in variant.items]
    if bar.closing.typed:
        lines.append(bar.closing.span.line)
    return max(lines)


def _reads_as(before: Tablature, after: Tablature, suspicion: Suspicion) -> bool:
    """Whether the texts differ in what the proposal says, and in nothing else."""
    old, new = _saying(before), _saying(after)
    if suspicion.slip in (Slip.BAR_LINE_EXTRA, Slip.BAR_LINE_MISSING):
        return old.events == new.events and len(old.lines) != len(new.lines)
    if old.lines != new.lines or len(old.events) != len(new.events):
        return False
    return sum(a != b for a, b in zip(old.events, new.events, strict=True)) == 1


def _saying(tablature: Tablature) -> _Saying:
    events = tuple(_event_says(event) for bar in tablature.bars for event in bar.events)
    lines = tuple(
        (bar.kind, bar.closing.kind, bar.closing.act, len(bar.events), len(bar.items)) for bar in tablature.bars
    )
    return _Saying(events, lines)


def _event_says(event: Event) -> tuple[object, ...]:
    head = event.head
    over = None if head is None else (head.value, head.beamed, head.group)
    return (over, event.body, *((_full(stop.reading), stop.slur, stop.after) for stop in event.stops))


def _full(reading: object) -> object:
    """A reading of a stop without the typing shorthand."""
    edition, source = getattr(reading, "edition", None), getattr(reading, "source", None)
    return (
        getattr(reading, "act", None),
        replace(edition, shorthand=False) if edition is not None else None,
        replace(source, shorthand=False) if source is not None else None,
    )
