"""All layers of a piece, bar by bar."""

from __future__ import annotations

from collections.abc import Mapping

from pipeline.findings.codes.song import CHORD_LETTERS, STANZA_DOES_NOT_FIT, VOICE_FILE_UNUSED
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.heading import Layer
from pipeline.model.layers import LayerKind, LayerLine
from pipeline.model.signs import Unread
from pipeline.model.song import ChordLetter, PartBook, Song, SungLine
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Directive, DirectiveKind
from pipeline.model.text import Span
from pipeline.source.parse.sungwords import NONE, begins_oddly, read_word
from pipeline.source.sing.copied import copied
from pipeline.source.sing.drafts import Draft, SungStretch, stretches
from pipeline.source.sing.line import LineReader
from pipeline.source.sing.moving import moved, nominal_shift, said
from pipeline.source.sing.text import Text, word_unclear

_CLEFS = {LayerKind.VOICE: "G2", LayerKind.BASS: "F4"}


def sing(piece: SoundingPiece, parts: Mapping[str, PartBook] | None = None) -> Outcome[Song]:
    """The layers of every bar in time, in the edition's values.

    ``parts`` are lines that the heading takes from notation files, by the name of their layer. A bar without a
    layer's line is blank; a ditto repeats the tablature only. Where voice and tablature are notated at different
    pitches, the lines are moved as a whole, and a finding says so.
    """
    if not piece.heading.layers and not any(bar.bar.layers for bar in piece.bars) and not _verses(piece):
        return Outcome(Song())
    return _Singing(piece, parts or {}).song()


class _Line:
    """One layer while it is read."""

    def __init__(self, layer: Layer, kind: LayerKind, piece: SoundingPiece) -> None:
        self.layer = layer
        self.kind = kind
        self.reader = LineReader(layer, piece.heading.values)
        self.text = Text()
        self.drafts: list[Draft] = []
        self.from_file = ""
        self.fifths = layer.fifths
        #: What is typed under bars whose notes come from a file: the line without notes, and those under it.
        self.under_file: dict[int, tuple[LayerLine, list[LayerLine]]] = {}

    def notes_of(self, stretch: SungStretch) -> list[Draft]:
        """The notes that stand in a stretch."""
        return [draft for draft in self.drafts if stretch.bars[0].index <= draft.bar <= stretch.bars[-1].index]


class _Singing:
    def __init__(self, piece: SoundingPiece, parts: Mapping[str, PartBook]) -> None:
        self.piece = piece
        self.parts = parts
        self.found: list[Diagnostic] = []
        self.chords: list[ChordLetter] = []
        self.lines = {
            layer.name: _Line(layer, LayerKind.BASS if layer.name == "b" else LayerKind.VOICE, piece)
            for layer in piece.heading.layers
        }
        self.places = dict(piece.heading.places)

    def song(self) -> Outcome[Song]:
        for stretch in stretches(self.piece.bars):
            self._bar(stretch)
        self._from_files()
        shifts = self._shifts()
        verses = self._check_verses()
        for line in self.lines.values():
            line.text.end()
            self.found.extend((*line.reader.diagnostics, *line.text.found))
        lines = tuple(self._finished(line, shifts.get(name, 0)) for name, line in self.lines.items() if line.drafts)
        return Outcome(Song(lines, tuple(self.chords), verses), tuple(self.found))

    # --- bars --------------------------------------------------------------------------------------------

    def _bar(self, stretch: SungStretch) -> None:
        bar = stretch.bars[0].bar
        gap = any(line.kind is DirectiveKind.GAP for line in stretch.bars[0].directives)
        under: dict[str, list[LayerLine]] = {}
        typed: dict[str, LayerLine] = {}
        for layer in bar.layers:
            if layer.kind in _CLEFS:
                typed[layer.name] = layer
            else:
                under.setdefault(layer.over, []).append(layer)
        onsets = [event.onset for sounding in stretch.bars for event in sounding.events]
        self._letters(under.get("", ()), onsets, stretch.certain)
        for name, found in typed.items():
            if name not in self.lines:
                self.lines[name] = _Line(Layer(name, _title(found), _CLEFS[found.kind], 0), found.kind, self.piece)
        for name, line in self.lines.items():
            if gap:
                line.text.leave()
            if name not in typed:
                line.reader.rest()
                continue
            if not typed[name].notes:
                line.under_file[stretch.bars[0].index] = typed[name], under.get(name, [])
                continue
            drafts = line.reader.bar(typed[name], stretch)
            words = [each for each in under.get(name, ()) if each.kind is LayerKind.TEXT]
            line.text.bar(typed[name], words, drafts, stretch)
            line.drafts.extend(drafts)
            readable = not any(isinstance(note, Unread) for note in typed[name].notes)
            self._letters(under.get(name, ()), [draft.onset for draft in drafts], readable)

    def _letters(self, under: list[LayerLine] | tuple[()], onsets: list[int], countable: bool) -> None:
        """Chord letters: one for each note (or event) of the line that they stand over; none behind the last typed."""
        for line in under:
            if line.kind is not LayerKind.CHORDS:
                continue
            if countable and len(line.words) > len(onsets):
                over = f"line {line.over}" if line.over else "the tablature"
                message = f"{len(line.words)} chord letters for {len(onsets)} events of {over} in this bar."
                hint = "One for each, rests too; - where none is printed."
                self.found.append(Diagnostic(CHORD_LETTERS, line.span, message, hint))
            labels = line.word_labels or ((),) * len(line.words)
            for onset, (typed, span), behind in zip(onsets, line.words, labels, strict=False):
                reading = read_word(typed)
                if begins_oddly(typed):
                    self.found.append(word_unclear(typed, span))
                text = typed if reading is None else reading.edition or ""
                text = "" if text == NONE else text
                if text or behind or reading is not None:
                    self.chords.append(ChordLetter(onset, text, line.over, span, behind, reading))

    # --- lines from files, lines that move ---------------------------------------------------------------

    def _place(self, line: _Line) -> Span:
        """Where the layer is declared, or first typed."""
        start = line.drafts[0].span if line.drafts else Span(self.piece.tablature.name, 1, 1, 1)
        return self.places.get(f"layer {line.layer.name}", start)

    def _from_files(self) -> None:
        for name, line in self.lines.items():
            part = self.parts.get(name)
            if not line.layer.file:
                continue
            if line.drafts:
                message = f"Line {name} is typed in the piece, so {line.layer.file} is not used."
                hint = "Remove the file from the heading, or the lines from the bars."
                self.found.append(Diagnostic(VOICE_FILE_UNUSED, self._place(line), message, hint))
            elif part is not None:
                copy = copied(part, line.layer, self.piece, self._place(line))
                line.drafts, line.from_file, line.fifths = copy.value, line.layer.file, part.fifths
                self.found.extend(copy.diagnostics)
                if line.under_file:
                    self._words_under_file(line)

    def _words_under_file(self, line: _Line) -> None:
        """Words and chord letters typed under the notes of a file. A stanza that is typed has its words from there."""
        nothing = LayerLine(LayerKind.VOICE, line.layer.name, "", self._place(line))
        said: set[int] = set()
        for stretch in stretches(self.piece.bars):
            typed, under = line.under_file.get(stretch.bars[0].index, (nothing, []))
            words = [each for each in under if each.kind is LayerKind.TEXT]
            drafts = line.notes_of(stretch)
            for each in words:
                stanza = int(each.name)
                if _without(drafts, stanza) and stanza not in said:
                    said.add(stanza)
                    message = (
                        f"Stanza {stanza} is typed here, so the words that {line.layer.file} has for it are not used."
                    )
                    hint = "What stands in the file under other bars stays."
                    self.found.append(Diagnostic(VOICE_FILE_UNUSED, each.span, message, hint))
            line.text.bar(typed, words, drafts, stretch)
            self._letters(under, [draft.onset for draft in drafts], countable=True)

    def _shifts(self) -> dict[str, int]:
        """By how many semitones each line must move. Typed lines come from one page and move together."""
        groups: dict[str, list[_Line]] = {}
        for line in self.lines.values():
            if line.drafts:
                groups.setdefault(line.from_file, []).append(line)
        shifts: dict[str, int] = {}
        for lines in groups.values():
            shift = nominal_shift(self.piece.bars, [line.drafts for line in lines])
            if not shift:
                continue
            names = [line.layer.name for line in lines]
            self.found.append(said(shift, names, self._place(lines[0])))
            shifts.update(dict.fromkeys(names, shift))
        return shifts

    def _finished(self, line: _Line, shift: int) -> SungLine:
        stanzas = max((word.stanza for draft in line.drafts for word in draft.words), default=0)
        layer = line.layer
        key = self.piece.bars[0].key if self.piece.bars else None
        fifths = moved(line.drafts, line.fifths, shift, key.fifths if key else None) if shift else line.fifths
        notes = tuple(draft.done() for draft in line.drafts)
        bass = line.kind is LayerKind.BASS
        return SungLine(layer.name, layer.title, layer.clef, fifths, bass, notes, stanzas, shift, line.from_file)

    # --- verses ------------------------------------------------------------------------------------------

    def _check_verses(self) -> tuple[tuple[str, str], ...]:
        """Stanzas printed apart from the notes."""
        under = {word.stanza for line in self.lines.values() for draft in line.drafts for word in draft.words}
        verses = []
        for line in _verses(self.piece):
            number, _, text = line.text.partition(" ")
            if int(number) in under:
                message = f"Stanza {number} stands under the notes already."
                hint = f"The next one is stanza {max(under) + 1}"
                self.found.append(Diagnostic(STANZA_DOES_NOT_FIT, line.value_span, message, hint))
            verses.append((number, text))
        return tuple(verses)


def _without(drafts: list[Draft], stanza: int) -> bool:
    """Take the words of a stanza away; True if there were any."""
    found = False
    for draft in drafts:
        kept = [word for word in draft.words if word.stanza != stanza]
        if len(kept) < len(draft.words):
            found, draft.words, draft.slurred = True, kept, False
    return found


def _title(layer: LayerLine) -> str:
    """What a line without a title in the heading is called: ``Voice``, ``Voice 2``, ``Bass``."""
    word = "Bass" if layer.kind is LayerKind.BASS else "Voice"
    return f"{word} {layer.name[1:]}".strip()


def _verses(piece: SoundingPiece) -> list[Directive]:
    lines = [line for bar in piece.bars for line in bar.directives]
    return [line for line in (*lines, *piece.closing) if line.kind is DirectiveKind.STANZA]
