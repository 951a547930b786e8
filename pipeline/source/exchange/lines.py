"""Sung lines and basses as they are typed: notes, words aligned with them, chord letters, figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from pipeline.model.layers import LayerKind, LayerLine, LayerNote, LayerPitch
from pipeline.model.pitch import SpelledPitch, in_signature
from pipeline.model.signs import Act, Group, MarkGroup, Reading
from pipeline.model.time import Value
from pipeline.source.exchange.typed import NOWHERE, marks_record

#: Joins two syllables that are sung as one (U+203F).
ELISION = "‿"
_ACCIDENTALS = {1: "#", -1: "b", 0: "n"}


@dataclass(slots=True)
class SungDraft:
    """A note of a line, or a rest (``pitch`` None). ``shown`` says that its accidental is printed though it only
    repeats the signature; ``words`` are syllables by stanza, with ``-`` behind one that goes on."""

    lasts: Value
    onset: Fraction
    length: Fraction
    pitch: SpelledPitch | None
    shown: bool = False
    joined: bool = False
    group: Group | None = None
    act: Act = Act.PRINTED
    doubtful: bool = False
    source: SpelledPitch | None = None
    fermata: bool = False
    words: dict[int, str] = field(default_factory=dict)
    goes_on: dict[int, bool] = field(default_factory=dict)
    figures: list[tuple[Fraction, tuple[str, ...]]] = field(default_factory=list)
    ident: str = ""


class LineWriter:
    """Writes one line bar by bar; a word may go on from one bar to the next. ``fifths`` is its signature."""

    def __init__(self, name: str, fifths: int) -> None:
        self.name = name
        self._fifths = fifths
        self._going: set[int] = set()

    def lines(
        self, notes: Sequence[SungDraft], chords: Sequence[str] = (), *, ratio: Fraction = Fraction(1)
    ) -> list[LayerLine]:
        """The note line of a bar with its words, and its chord letters; nothing for a bar in which it is silent."""
        if not notes or all(note.pitch is None for note in notes):
            return []
        typed = self._notes(notes, ratio)
        kind = LayerKind.BASS if self.name == "b" else LayerKind.VOICE
        made = [LayerLine(kind, self.name, "", NOWHERE, notes=tuple(typed))]
        if any(chord != "-" for chord in chords):
            made.append(word_line(LayerKind.CHORDS, "c", self.name, chords))
        sung = [note for note in notes if note.pitch is not None]
        for stanza in sorted({number for note in sung for number in note.words} | self._going):
            said = self._stanza(stanza, sung)
            if any(word not in "-" for word in said):
                made.append(word_line(LayerKind.TEXT, str(stanza), self.name, said))
        return made

    def _stanza(self, stanza: int, sung: Sequence[SungDraft]) -> list[str]:
        said = []
        begun = stanza in self._going
        for note in sung:
            word = note.words.get(stanza)
            if word:
                begun = True
                (self._going.add if note.goes_on.get(stanza) else self._going.discard)(stanza)
            said.append(word or ("_" if begun else "-"))
        return said

    def _notes(self, notes: Sequence[SungDraft], ratio: Fraction) -> list[LayerNote]:
        before: Value | None = None
        last: SpelledPitch | None = None
        made = []
        for note in notes:
            typed = scaled_value(note.lasts, 1 / ratio)
            value = None if typed == before and note.group is None else typed
            before = typed
            marks: tuple[MarkGroup, ...] = ()
            if note.fermata:
                marks = marks_record([Reading(Act.PRINTED, "f", "f")])
            pitch = None
            if note.pitch is not None:
                again = value is None and last == note.pitch and not note.joined
                kept = self._pitch(note.pitch, note.shown, again=again)
                last = note.pitch
                was = self._pitch(note.source, shown=False) if note.source is not None else None
                pitch = _reading(note, kept, was)
            columns, said = _columns(note)
            reading = Reading(Act.PRINTED, value, value) if value is not None else None
            made.append(LayerNote(NOWHERE, reading, marks, pitch, note.joined, columns, said, (), note.group))
        return made

    def _pitch(self, pitch: SpelledPitch, shown: bool, *, again: bool = False) -> LayerPitch:
        """A note as typed: its octave is left out where it only repeats the note before."""
        signed = in_signature(pitch.step, self._fifths)
        accidental = "" if pitch.alter == signed and not shown else _ACCIDENTALS.get(pitch.alter, "")
        return LayerPitch(pitch.step, accidental, None if again else pitch.octave)


def _reading(note: SungDraft, kept: LayerPitch, was: LayerPitch | None) -> Reading[LayerPitch]:
    match note.act:
        case Act.PRINTED:
            return Reading(Act.PRINTED, kept, kept, note.doubtful)
        case Act.EMENDED:
            return Reading(Act.EMENDED, kept, was, note.doubtful)
        case _:
            return Reading(note.act, kept, None, note.doubtful)


def _columns(note: SungDraft) -> tuple[tuple[tuple[str, ...], ...], str]:
    """The figures of a bass note in their order: ``6,4-5,#``."""
    columns = tuple(rows for _, rows in sorted(note.figures, key=lambda column: column[0]) if rows)
    return columns, "-".join(",".join(rows) for rows in columns)


def word_line(kind: LayerKind, name: str, over: str, said: Sequence[str]) -> LayerLine:
    said = list(said)
    if kind is LayerKind.CHORDS:
        while said and said[-1] == "-":
            said.pop()
    return LayerLine(
        kind, name, over, NOWHERE, words=tuple((word, NOWHERE) for word in said), word_labels=((),) * len(said)
    )


def scaled_value(value: Value, factor: Fraction) -> Value:
    """A value ``factor`` times as long, a power of two; itself where there is none."""
    if factor == 1:
        return value
    units = (0, 1, 2, 4, 8, 16, 32, 64)
    steps = factor.denominator.bit_length() - factor.numerator.bit_length()
    place = units.index(value.unit) + steps
    return Value(units[place], value.dots) if 0 <= place < len(units) else value


def syllable(texts: Sequence[str], goes_on: bool) -> str:
    """Syllables sung on one note as one word: parts joined by ``_``, a hyphen where the word goes on."""
    parts = ["_".join(text.replace(ELISION, " ").replace('"', "”").split()) for text in texts]
    said = "_".join(part for part in parts if part)
    said = said.strip("_").rstrip("-").lstrip(";")
    said = said[:-1].replace("!", "¡") + said[-1:] if "!" in said[:-1] else said
    return f"{said}-" if goes_on and said else said
