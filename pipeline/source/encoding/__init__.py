"""The canonical layout of the encoding: what ``longneck tidy`` writes.

Writing twice changes nothing, and writing never changes the meaning. Only the piece's own heading lines are
written. Their order is that of ``HEADING_KEYS``, as typed within one key; comments go with the line below them;
a heading in which some line could not be read keeps its order.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pipeline.model.layers import LayerKind, LayerLine
from pipeline.model.signs import Event, Signs, Unread
from pipeline.model.tablature import (
    HEADING_KEYS,
    OMITS,
    Bar,
    BarItem,
    Barline,
    BarlineAct,
    BodyItem,
    CommentLine,
    Directive,
    DirectiveKind,
    HeadingLine,
    NoteKind,
    NoteLine,
    PageBreak,
    SourceBreak,
    Tablature,
    UnreadLine,
)
from pipeline.source import encoded

WIDTH = 100
#: A word of a line, and whether a new physical line begins with it.
_Word = tuple[str, bool]


def write_encoding(tablature: Tablature) -> str:
    """The piece in its canonical layout: one bar one line, lines broken at ``&`` or beyond 100 columns."""
    top = [_commented(f"longneck {tablature.version}", tablature.comment)] if tablature.version else []
    top += [_heading_line(line) for line in _ordered(tablature.heading)]
    body = list(_body(tablature.body, tablature.signs))
    between = [""] if top and body else []
    return "".join(f"{line}\n" for line in (*top, *between, *body))


def _commented(line: str, comment: str) -> str:
    return f"{line} {comment}" if comment else line


# --- heading ----------------------------------------------------------------------------------------------


def _ordered(
    lines: tuple[HeadingLine | CommentLine | UnreadLine, ...],
) -> Iterable[HeadingLine | CommentLine | UnreadLine]:
    """The heading in canonical order, each comment before the line that follows it."""
    if any(isinstance(line, UnreadLine) for line in lines):
        return lines
    waiting: list[CommentLine | UnreadLine] = []
    blocks: list[tuple[int, list[HeadingLine | CommentLine | UnreadLine]]] = []
    for line in lines:
        if isinstance(line, HeadingLine):
            blocks.append((HEADING_KEYS.index(line.key), [*waiting, line]))
            waiting = []
        else:
            waiting.append(line)
    blocks.sort(key=lambda block: block[0])
    return [*(line for _, block in blocks for line in block), *waiting]


def _heading_line(line: HeadingLine | CommentLine | UnreadLine) -> str:
    if not isinstance(line, HeadingLine):
        return line.text
    name = f" {line.name} =" if line.name else ""
    return _commented(f"{line.key}{name} {line.value}", line.comment)


# --- body -------------------------------------------------------------------------------------------------


def _body(items: tuple[BodyItem, ...], signs: Signs) -> Iterator[str]:
    """The lines of the body, with one blank line before a section and before a folio (and the comments that
    stand directly above them)."""
    for place, item in enumerate(items):
        if place and _set_off(items, place):
            yield ""
        match item:
            case Bar():
                yield from _bar(item, signs)
            case Directive():
                yield _commented(f"{item.kind.value} {item.text}", item.comment)
                yield from (_note(note) for note in _by_label(item.notes))
            case PageBreak():
                yield _commented(f"&{item.folio}", item.comment)
            case CommentLine() | UnreadLine():
                yield item.text


def _set_off(items: tuple[BodyItem, ...], place: int) -> bool:
    """Whether a blank line goes before an item: it begins a section or folio, or the comments above one."""
    if place and isinstance(items[place - 1], CommentLine) and _begins(items, place):
        return False
    return _begins(items, place)


def _begins(items: tuple[BodyItem, ...], place: int) -> bool:
    while place < len(items) and isinstance(items[place], CommentLine):
        place += 1
    item = items[place] if place < len(items) else None
    if isinstance(item, Directive):
        return item.kind is DirectiveKind.SECTION
    return isinstance(item, PageBreak) and item.folio != ""


def _bar(bar: Bar, signs: Signs) -> Iterator[str]:
    """A bar, then its chords, voices with their chords and stanzas, basses, other sources, notes."""
    typed = list(_items(bar.items, signs))
    opening = bar.kind.value
    if bar.items and isinstance(bar.items[0], Unread) and bar.items[0].span.start == bar.span.start:
        opening, typed = bar.items[0].text, typed[1:]  # what opens the bar could not be read
    if bar.ditto:
        typed = [(f"ditto {bar.ditto.typed}".strip(), False), *typed]
    if bar.closing.typed or _would_close(bar.items):
        typed.append((encoded.barline(bar.closing), False))
    yield from _broken(opening, typed, bar.comment)
    for layer in _layers(bar.layers):
        yield from _layer(layer)
    for variant in bar.variants:
        typed = [(OMITS, False)] if variant.omits else list(_items(variant.items, signs))
        yield from _broken(f"!{variant.witness}", typed, variant.comment)
    yield from (_note(note) for note in _by_label(bar.notes))


def _items(items: tuple[BarItem, ...], signs: Signs) -> Iterator[_Word]:
    for place, item in enumerate(items):
        match item:
            case Event():
                yield encoded.event(item, signs), False
            case Barline():
                yield encoded.barline(item), False
            case SourceBreak():
                yield f"&{item.folio}{encoded.labels(item.labels)}", place > 0
            case Unread():
                yield item.text, False


def _would_close(items: tuple[BarItem, ...]) -> bool:
    """Whether the last item would be taken for the closing bar line, were the plain one left out."""
    last = items[-1] if items else None
    return isinstance(last, Barline) and last.act is not BarlineAct.REMOVED


def _broken(opening: str, typed: list[_Word], comment: str) -> Iterator[str]:
    """One line, broken before a word that asks for it or that would run beyond the width."""
    line = opening
    for text, breaks in typed:
        if (breaks or len(line) + 1 + len(text) > WIDTH) and line not in {"+", opening}:
            yield line
            line = "+"
        line = f"{line} {text}"
    yield _commented(line, comment)


# --- lines under a bar ------------------------------------------------------------------------------------


def _layers(layers: tuple[LayerLine, ...]) -> list[LayerLine]:
    """Chords over the tablature; each voice, its chords, its stanzas; each bass, its chords."""

    def order(line: LayerLine) -> tuple[int, str, int, str]:
        owner = line.over if line.kind in (LayerKind.CHORDS, LayerKind.TEXT) else line.name
        rank = {"": 0, "b": 2}.get(owner, 1)
        kinds = {LayerKind.VOICE: 0, LayerKind.BASS: 0, LayerKind.CHORDS: 1, LayerKind.TEXT: 2}
        return rank, owner, kinds[line.kind], line.name

    return sorted(layers, key=order)


def _layer(line: LayerLine) -> Iterator[str]:
    if line.kind in (LayerKind.VOICE, LayerKind.BASS):
        typed = [note.text if isinstance(note, Unread) else encoded.layer_note(note) for note in line.notes]
    else:
        typed = [text + encoded.labels(labels) for (text, _), labels in zip(line.words, line.word_labels, strict=True)]
    return _broken(line.name, [(text, False) for text in typed], line.comment)


def _by_label(notes: tuple[NoteLine, ...]) -> list[NoteLine]:
    """Notes on the whole bar first, then by label, as typed within one."""
    return sorted(notes, key=lambda note: note.label)


def _note(note: NoteLine) -> str:
    match note.kind:
        case NoteKind.REASON:
            said = f"{note.who}: {note.text}"
        case NoteKind.PRINTED_WORD:
            said = f": {note.text}"
        case NoteKind.WITNESS:
            said = f"!{note.who} {note.text}"
        case NoteKind.PIN:
            said = f"> {encoded.pin(note.pin)}" if note.pin else f"> {note.text}"
    return _commented(f'"{note.label} {said}', note.comment)
