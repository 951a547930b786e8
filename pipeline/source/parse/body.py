"""From logical lines to bars with all that was typed under them, and the lines between."""

from __future__ import annotations

from difflib import get_close_matches

from pipeline.findings.codes.limits import TOO_MUCH
from pipeline.findings.codes.syntax import (
    LINE_REPEATED,
    LINE_WITHOUT_BAR,
    STANZA_WITHOUT_VOICE,
    UNDECLARED_EDITOR,
    UNDECLARED_LAYER,
    UNDECLARED_SOURCE,
    UNKNOWN_LINE,
)
from pipeline.model.diagnostics import Related
from pipeline.model.layers import LayerKind, LayerLine
from pipeline.model.limits import MOST_UNDER_BAR
from pipeline.model.record import replace
from pipeline.model.signs import Event
from pipeline.model.tablature import (
    HEADING_KEYS,
    OMITS,
    Bar,
    BodyItem,
    CommentLine,
    Directive,
    NoteKind,
    NoteLine,
    SourceBar,
    UnreadLine,
)
from pipeline.model.text import Span
from pipeline.source.parse.bars import read_bar, read_items
from pipeline.source.parse.directives import DIRECTIVES, read_directive, read_page
from pipeline.source.parse.events import shape_of
from pipeline.source.parse.known import KnownBars
from pipeline.source.parse.layers import LAYER, is_note, layer_kind, read_layer
from pipeline.source.parse.likely import plain
from pipeline.source.parse.lines import Line
from pipeline.source.parse.notes import NOTE, WITNESS, read_note
from pipeline.source.parse.reader import Reader
from pipeline.source.parse.references import check_labels, check_sections


def is_music(first: str) -> bool:
    """Whether a line that begins so ends the heading. ``metre`` and ``key`` do not: they may be headings."""
    return (
        first[0] in "|&"
        or (first in DIRECTIVES and first not in HEADING_KEYS)
        or any(pattern.fullmatch(first) for pattern in (LAYER, NOTE, WITNESS))
    )


def read_body(reader: Reader, lines: tuple[Line, ...], known: KnownBars | None = None) -> tuple[BodyItem, ...]:
    """body = {bar lines | directive {note line} | page | comment} ;   ``known`` as for ``parse``"""
    body = _Body(reader, known)
    for line in lines:
        body.add(line)
    body.close()
    check_sections(reader, body.items)
    return tuple(body.items)


class _Body:
    """The body while it grows: the items that are done, and the bar or directive that lines are typed under.

    Comments between the lines of a bar go before it, so that they stay with their bar; unread lines, and
    comments after its last line, go after it.
    """

    def __init__(self, reader: Reader, known: KnownBars | None) -> None:
        self.reader = reader
        self.known = known
        if known is not None:
            known.begin(reader)
        self.items: list[BodyItem] = []
        self._fresh()

    def _fresh(self) -> None:
        self.owner: Bar | Directive | None = None
        self.layers: list[LayerLine] = []
        self.variants: list[SourceBar] = []
        self.notes: list[NoteLine] = []
        self.between: list[CommentLine] = []
        self.waiting: list[CommentLine | UnreadLine] = []
        self.labelled = False
        self.under = 0
        self.voice_lost = False
        self.spoilt = ""  # labels of note lines that could not be read
        self.firsts: dict[tuple[str, str], Span] = {}

    def add(self, line: Line) -> None:
        """line = bar | layer | source bar | note | page | directive | comment ;   known by its first word"""
        reader = self.reader
        if not line.words:
            number = line.numbers[0]
            self.waiting.append(CommentLine(line.comment, reader.source.whole(number)))
            return
        first = line.first
        if reader.overlong(line):
            self.close()
            self.items.extend(reader.unread(line))
        elif first[0] == "|":
            self.close()
            self.owner = read_bar(reader, line) if self.known is None else self.known.bar(reader, line)
            self.labelled = line.labelled
        elif first[0] == "&":
            self.close()
            page = read_page(reader, line)
            self.items.extend((page,) if page else reader.unread(line))
        elif first in DIRECTIVES:
            self.close()
            self.owner = read_directive(reader, line)
            self.labelled = line.labelled
            if self.owner is None:
                self.items.extend(reader.unread(line))
        elif not self._attached(line):
            self.waiting.extend(reader.unread(line))

    def _attached(self, line: Line) -> bool:
        """Read a line that belongs to the bar above; False if it stays unread."""
        first = line.first
        if self._crowded(line):
            return False
        if LAYER.fullmatch(first):
            read = isinstance(self.owner, Bar) and self._layer(line)
        elif WITNESS.fullmatch(first):
            read = isinstance(self.owner, Bar) and self._source_bar(line)
        elif NOTE.fullmatch(first):
            read = self.owner is not None and self._note(line)
            if self.owner is not None and not read:
                self.spoilt += first[1:]
                return False
        else:
            self._unknown(line)
            return False
        if not read:
            what = "the bar or directive" if first[0] == '"' else "the bar"
            message = f"Expected {what} above this “{first}” line."
            hint = "The lines of a bar follow it directly; a bar begins with |"
            place = line.words[0].span(self.reader.file)
            self.reader.report(LINE_WITHOUT_BAR, place, message, hint)
            return False
        self.labelled = self.labelled or line.labelled
        self.between.extend(each for each in self.waiting if isinstance(each, CommentLine))
        self.waiting = [each for each in self.waiting if isinstance(each, UnreadLine)]
        return True

    def _crowded(self, line: Line) -> bool:
        """Whether more lines stand under this bar than are read; reported once for each bar."""
        self.under += 1
        if self.under == MOST_UNDER_BAR + 1:
            place = line.words[0].span(self.reader.file)
            message = f"More than {MOST_UNDER_BAR} lines stand under this bar; from here on they are not read."
            self.reader.report(TOO_MUCH, place, message, "A bar begins with |, and a line that continues it with +")
        return self.under > MOST_UNDER_BAR

    def _layer(self, line: Line) -> bool:
        kind = layer_kind(line.first)
        above = self._note_line(voices_only=kind is LayerKind.TEXT)
        over = above if kind in (LayerKind.TEXT, LayerKind.CHORDS) else ""
        place = line.words[0].span(self.reader.file)
        if kind is LayerKind.TEXT and not above and not self.voice_lost:
            self.voice_lost = True
            message = f"Expected a vocal line above stanza {line.first}."
            hint = "Words stand under their v line; a stanza not underlaid is typed stanza 4 …"
            self.reader.report(STANZA_WITHOUT_VOICE, place, message, hint)
        if kind in (LayerKind.VOICE, LayerKind.BASS):
            self.reader.needs(
                ("layer", line.first),
                UNDECLARED_LAYER,
                place,
                f"The line {line.first} is not declared.",
                f"Say in the heading what it is: layer {line.first} = Canto, clef C1",
            )
        self._once((line.first, over), place)
        self.layers.append(read_layer(self.reader, line, over))
        return True

    def _note_line(self, *, voices_only: bool) -> str:
        """The name of the voice (or bass) line just above; empty for the tablature."""
        for layer in reversed(self.layers):
            if layer.kind is LayerKind.VOICE or (layer.kind is LayerKind.BASS and not voices_only):
                return layer.name
            if layer.kind is LayerKind.BASS:
                return ""
        return ""

    def _source_bar(self, line: Line) -> bool:
        reader = self.reader
        place = line.words[0].span(reader.file)
        siglum = line.first[1:]
        self._needs_source(siglum, place)
        self._once((line.first, ""), place)
        typed = " ".join(word.text for word in line.words[1:])
        items = read_items(reader, line.words[1:]) if typed != OMITS else ()
        if not typed:
            message = f"Expected an event after “{line.first}”."
            reader.report(LINE_WITHOUT_BAR, place, message, "An empty bar is typed -, one that is lacking: omits")
        self.variants.append(SourceBar(siglum, items, line.span(reader.file), line.comment, typed))
        return True

    def _note(self, line: Line) -> bool:
        note = read_note(self.reader, line)
        if note is None:
            return False
        said = line.words[1].span(self.reader.file)
        if note.kind is NoteKind.WITNESS:
            self._needs_source(note.who, said)
        elif note.kind is NoteKind.REASON:
            message = f"The editor {note.who} is not declared."
            hint = f"Say in the heading who it is: editor {note.who} = …"
            self.reader.needs(("editor", note.who), UNDECLARED_EDITOR, said, message, hint)
        self.notes.append(note)
        return True

    def _needs_source(self, siglum: str, place: Span) -> None:
        if siglum:
            message = f"The source {siglum} is not declared."
            hint = f"Say in the heading what it is: source {siglum} = …"
            self.reader.needs(("source", siglum), UNDECLARED_SOURCE, place, message, hint)

    def _once(self, key: tuple[str, str], place: Span) -> None:
        """Report the second line of one name in one bar; both are kept."""
        before = self.firsts.setdefault(key, place)
        if before is not place:
            message = f"A second “{key[0]}” line stands under this bar."
            related = (Related(before, "the first is here"),)
            self.reader.report(LINE_REPEATED, place, message, "A long line is continued by +", related)

    def _unknown(self, line: Line) -> None:
        """Report a line of no kind, with what it was most likely meant to be."""
        first = line.first
        if NOTE.fullmatch(plain(first)) or plain(first)[0] == "|":
            self.reader.likely(line.words[0], lambda _: True)
            self.spoilt += plain(first)[1:] if plain(first)[0] == '"' else ""
            return
        near = get_close_matches(first.lower(), (*DIRECTIVES, *HEADING_KEYS), 1, 0.75)
        hint = 'Lines begin with | + v b c 1 to 9 ! " & or a word such as section; comments with ;'
        if first[0] == '"':
            hint = 'A note line begins with a double quote and one small letter: "a EB: …'
        elif first in HEADING_KEYS:
            hint = "Heading lines stand before the music."
        elif near:
            hint = f"Perhaps {near[0]}"
        elif is_note(first) and not shape_of(first, self.reader.signs).event:
            self.voice_lost = True
            hint = f"A vocal line begins with v: v {first} …"
        elif first[0] == "!":
            hint = "After ! comes the siglum of a source, a capital: !B"
        elif first[0] == "v":
            hint = "Vocal lines are v, v2, v3 …"
        else:
            shape = shape_of(first, self.reader.signs)
            if isinstance(shape.event, Event):
                hint = "A bar begins with |, and a line that continues it with +"
        place = line.words[0].span(self.reader.file)
        self.reader.report(UNKNOWN_LINE, place, f"No kind of line begins with “{first}”.", hint)

    def close(self) -> None:
        """Put the bar or directive with its lines among the items."""
        owner = self.owner
        self.items.extend(self.between)
        if isinstance(owner, Bar):
            owner = replace(owner, layers=tuple(self.layers), variants=tuple(self.variants), notes=tuple(self.notes))
        elif owner is not None:
            owner = replace(owner, notes=tuple(self.notes))
        if owner is not None:
            if self.labelled:
                check_labels(self.reader, owner, self.spoilt)
            self.items.append(owner)
        self.items.extend(self.waiting)
        self._fresh()
