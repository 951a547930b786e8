"""What leads where: a ditto to the bar it stands for, a label to its note and back, a name to where it is declared."""

from __future__ import annotations

import re
from collections.abc import Iterator

from pipeline.desk.converse.at import (
    dittos_at,
    item_at,
    label_at,
    layer_at,
    note_at,
    owner_at,
    within,
    written_out,
)
from pipeline.desk.converse.look import Look
from pipeline.desk.converse.record import Lead
from pipeline.model.layers import LayerKind
from pipeline.model.sections import section_named
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Bar, Directive, DirectiveKind, NoteLine
from pipeline.model.text import Span
from pipeline.source.parse.references import labels_of

_WORD = re.compile(r"\S+")
_MARK = re.compile(r"[A-Z]")


def leads(look: Look, line: int, column: int) -> tuple[Lead, ...]:
    """Where what stands at a place leads; nowhere if it is no reference."""
    for found in (_ditto, _label, _note, _section, _declared):
        known = tuple(dict.fromkeys(found(look, line, column)))
        if known:
            return known
    return ()


def _ditto(look: Look, line: int, column: int) -> Iterator[Lead]:
    piece = look.piece
    for bar in dittos_at(piece, line, column):
        if bar.bar.ditto is not None:
            yield Lead(bar.bar.ditto.span, written_out(piece, bar).bar.span)


def _label(look: Look, line: int, column: int) -> Iterator[Lead]:
    found = label_at(look.piece, line, column)
    if found is None:
        return
    owner, label = found
    for note in owner.notes:
        if label.letter in (note.label, note.pin.lasts_to if note.pin else ""):
            yield Lead(label.span, note.span)


def _note(look: Look, line: int, column: int) -> Iterator[Lead]:
    """From a note line to the signs that it speaks of: from its label, from the label where a pin ends, from anywhere
    else to those of its label."""
    found = note_at(look.piece, line)
    if found is None:
        return
    owner, note = found
    word = _word(look, line, column)
    ends = note.pin.lasts_to if note.pin else ""
    declared = _who(note, word, look)
    if declared is not None:
        return
    wanted = ends if ends and word is not None and look.source.at(word) == ends else note.label
    origin = word if wanted == ends and ends and word is not None else note.span
    for label in labels_of(owner):
        if label.letter == wanted:
            yield Lead(origin, label.span)


def _section(look: Look, line: int, column: int) -> Iterator[Lead]:
    item = item_at(look.piece, line)
    if not isinstance(item, Directive) or item.kind is not DirectiveKind.AGAIN:
        return
    if within(item.value_span, line, column):
        target = _named(look.piece, item.text)
        if target is not None:
            yield Lead(item.value_span, target)


def _named(piece: SoundingPiece, said: str) -> Span | None:
    sections = [item for item in piece.tablature.body if isinstance(item, Directive)]
    sections = [item for item in sections if item.kind is DirectiveKind.SECTION]
    if said == "start":
        first = next(iter(piece.bars), None)
        return first.bar.span if first is not None else None
    name = section_named(said, [item.text for item in sections])
    return next((item.span for item in sections if item.text == name), None)


def _declared(look: Look, line: int, column: int) -> Iterator[Lead]:
    """A siglum, an editor's initials, a declared mark or the name of a line: to its line in the heading."""
    word = _word(look, line, column)
    if word is None:
        return
    places = dict(look.piece.heading.places)
    for key, span in _keys(look, word, line, column):
        if key in places:
            yield Lead(span, places[key])


def _keys(look: Look, word: Span, line: int, column: int) -> Iterator[tuple[str, Span]]:
    text = look.source.at(word)
    note = note_at(look.piece, line)
    if note is not None:
        known = _who(note[1], word, look)
        if known is not None:
            yield known, word
        return
    layer = layer_at(look.piece, line)
    if layer is not None:
        if layer.kind in (LayerKind.VOICE, LayerKind.BASS) and word.start == layer.span.start:
            yield f"layer {text}", word
        return
    owner = owner_at(look.piece, line)
    if isinstance(owner, Bar):
        if text.startswith("!") and any(
            one.span.line == line and one.span.start == word.start for one in owner.variants
        ):
            yield f"source {text[1:]}", word
        inside = text[: column - word.start + 1]
        if "'" in inside and _MARK.fullmatch(text[column - word.start : column - word.start + 1]):
            yield f"mark {text[column - word.start]}", Span(word.file, line, column, column + 1)


def _who(note: NoteLine, word: Span | None, look: Look) -> str | None:
    """The heading line that the second word of a note line speaks of."""
    if word is None or not note.who:
        return None
    text = look.source.at(word)
    if text == f"{note.who}:":
        return f"editor {note.who}"
    return f"source {note.who}" if text == f"!{note.who}" else None


def _word(look: Look, line: int, column: int) -> Span | None:
    """The word at a place."""
    text = look.source.line(line)
    for match in _WORD.finditer(text):
        if match.start() < column <= match.end() + 1:
            if column == match.end() + 1 and match.end() < len(text) and not text[match.end()].isspace():
                continue
            return Span(look.name, line, match.start() + 1, match.end() + 1)
    return None
