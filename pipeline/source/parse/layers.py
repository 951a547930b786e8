"""The lines under a bar: voices and basses in staff notation, chord letters, text."""

from __future__ import annotations

import re
from functools import lru_cache

from pipeline.findings.codes.syntax import SYNTAX
from pipeline.model.layers import LayerKind, LayerLine, LayerNote, LayerPitch
from pipeline.model.record import replace
from pipeline.model.signs import Group, Label, MarkGroup, Reading, Unread
from pipeline.model.text import Span
from pipeline.model.time import Value
from pipeline.source.parse.cursor import Cursor, Fault, FaultError, check_length
from pipeline.source.parse.editing import HEAD_MARKS, read_edited, read_labels, read_marks
from pipeline.source.parse.events import placed_labels, placed_marks
from pipeline.source.parse.heads import VALUE_START, read_group, read_value
from pipeline.source.parse.lines import Line, Word
from pipeline.source.parse.reader import Reader

#: First words of the lines of other layers.
LAYER = re.compile(r"v[2-9]?|b|c|[1-9]")

_PITCH = re.compile(r"([A-G])([#bn]?)([0-9]?)")
_PITCH_START = re.compile(r"[A-G]")
_FIGURE = re.compile(r"[#bn]?[1-9][0-9]?|[#bn]")
_LABEL = re.compile(r'"[a-z]')


def layer_kind(first: str) -> LayerKind:
    """The kind of line that begins with this word, which matches ``LAYER``."""
    if first[0] == "v":
        return LayerKind.VOICE
    return {"b": LayerKind.BASS, "c": LayerKind.CHORDS}.get(first, LayerKind.TEXT)


def read_layer(reader: Reader, line: Line, over: str) -> LayerLine:
    """layer = ("v" | "v2" … | "b") note {note} | "v" | "v2" … | ("c" | "1" … "9") word {word} ;

    ``over`` is the note line that chords or text belong to.
    """
    kind = layer_kind(line.first)
    span = line.span(reader.file)
    words = line.words[1:]
    if not words and kind is LayerKind.VOICE:  # its notes are those of the file that the heading names
        message = f"Expected a note after “{line.first}”."
        hint = "Nothing printed is typed -; only a line that the heading takes from a file is typed without notes."
        reader.needs(("file", line.first), SYNTAX, line.words[0].span(reader.file), message, hint)
    elif not words:
        message = f"Expected {_CONTENT[kind]} after “{line.first}”."
        reader.report(SYNTAX, line.words[0].span(reader.file), message, "Nothing printed is typed -")
    if kind in (LayerKind.VOICE, LayerKind.BASS):
        notes = tuple(_placed_note(reader, word) for word in words)
        return LayerLine(kind, line.first, "", span, notes, comment=line.comment)
    split = [_word(reader, word) for word in words]
    return LayerLine(
        kind,
        line.first,
        over,
        span,
        (),
        tuple((text, place) for text, place, _ in split),
        tuple(labels for _, _, labels in split),
        line.comment,
    )


_CONTENT = {
    LayerKind.VOICE: "a note",
    LayerKind.BASS: "a note",
    LayerKind.CHORDS: "a chord letter",
    LayerKind.TEXT: "a syllable",
}


def _word(reader: Reader, word: Word) -> tuple[str, Span, tuple[Label, ...]]:
    """word = text {label} ;   a word of labels only keeps its first character as text"""
    span = word.span(reader.file)
    start = len(word.text)
    while start > 2 and _LABEL.fullmatch(word.text, start - 2, start):
        start -= 2
    if start == len(word.text):
        return word.text, span, ()
    labels = tuple(Label(word.text[at + 1], span.part(at, at + 2)) for at in range(start, len(word.text), 2))
    return word.text[:start], span.part(0, start), labels


# --- notes ----------------------------------------------------------------------------------------------


def _placed_note(reader: Reader, word: Word) -> LayerNote | Unread:
    note = _note_of(word.text)
    if isinstance(note, Fault):
        if not reader.likely(word, lambda text: isinstance(_note_of(text), LayerNote)):
            reader.fault(word, note)
        return Unread(word.text, word.span(reader.file))
    return LayerNote(
        word.span(reader.file),
        note.value,
        placed_marks(note.value_marks, reader.file, word.line, word.start),
        note.pitch,
        note.joined,
        note.figures,
        note.figures_typed,
        placed_labels(note.labels, reader.file, word.line, word.start),
        note.group,
    )


def is_note(text: str) -> bool:
    """Whether a word is a note with its pitch, as only lines of notes have them."""
    note = _note_of(text)
    return isinstance(note, LayerNote) and note.pitch is not None and note.pitch.edition is not None


@lru_cache(maxsize=1 << 12)
def _note_of(text: str) -> LayerNote | Fault:
    """note = [over "="] ( "-" | ["_"] ed(pitch) ["'" figures] {label} ) ;
    over = ed(value) [group] {marks} | group {marks} | marks {marks} ;   on no line yet"""
    value: Reading[Value] | None = None
    marks: tuple[MarkGroup, ...] = ()
    group: Group | None = None
    span = Span("", 0, 0, len(text))
    top, over, below = text.partition("=")
    if not over:
        top, below = "", text
    try:
        check_length(text)
        if over:
            cursor = Cursor(top)
            if not top.startswith(("'", "/")):
                value = read_edited(cursor, read_value, VALUE_START)
            if cursor.char("/"):
                group = read_group(cursor)
            marks = read_marks(cursor, HEAD_MARKS, "over a note")
            if not cursor.done:
                cursor.expected("=")
        if below == "-":
            return LayerNote(span, value, marks, None, group=group)
        return replace(_pitched(Cursor(below, len(top) + len(over)), span, value, marks), group=group)
    except FaultError as error:
        return error.fault


def _pitched(cursor: Cursor, span: Span, value: Reading[Value] | None, marks: tuple[MarkGroup, ...]) -> LayerNote:
    """["_"] ed(pitch) ["'" figures] {label} ;"""
    joined = bool(cursor.char("_"))
    pitch = read_edited(cursor, _pitch, _PITCH_START)
    figures: tuple[tuple[str, ...], ...] = ()
    typed = ""
    if cursor.char("'"):
        start = cursor.pos
        figures = _figures(cursor)
        typed = cursor.text[start : cursor.pos]
    labels = read_labels(cursor)
    if not cursor.done:
        cursor.expected("the end of the note")
    return LayerNote(span, value, marks, pitch, joined, figures, typed, labels)


def _pitch(cursor: Cursor) -> LayerPitch:
    """pitch = "A" … "G" ["#" | "b" | "n"] [octave] ;"""
    typed = cursor.take(_PITCH)
    if typed is None:
        german = cursor.text.startswith("H", cursor.pos)
        hint = "B natural is B, B flat is Bb." if german else "Notes are typed D5, F#, Bb4; a rest is 4=-"
        cursor.expected("a note from A to G or -", hint)
    octave = int(typed[-1]) if typed[-1].isdecimal() else None
    accidental = typed[1:] if octave is None else typed[1:-1]
    return LayerPitch(typed[0], accidental, octave)


def _figures(cursor: Cursor) -> tuple[tuple[str, ...], ...]:
    """figures = fig {("," | "-") fig} ;   columns in order of time, each from the top"""
    columns = [[_figure(cursor)]]
    while joint := cursor.char(",-"):
        if joint == "-":
            columns.append([])
        columns[-1].append(_figure(cursor))
    return tuple(tuple(column) for column in columns)


def _figure(cursor: Cursor) -> str:
    """fig = ["#" | "b" | "n"] number | "#" | "b" | "n" ;"""
    figure = cursor.take(_FIGURE)
    if figure is None:
        cursor.expected("a figure", "Figures are typed '6 '4-3 '6,4 '# '#6")
    return figure
