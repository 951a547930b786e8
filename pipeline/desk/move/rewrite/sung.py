"""Voices, basses and chord letters under a bar, moved."""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.desk.move.record import Asked
from pipeline.desk.move.rewrite.losses import NOT_CARRIED_OVER, Losses
from pipeline.edition.transpose import transposed_rows, transposed_signature
from pipeline.model.chordletters import Letters, moved_letter
from pipeline.model.heading import Heading, Layer
from pipeline.model.interval import Interval
from pipeline.model.layers import LayerKind, LayerLine, LayerNote, LayerPitch
from pipeline.model.pitch import SpelledPitch, from_fifths, in_signature
from pipeline.model.record import replace
from pipeline.model.signs import Reading
from pipeline.model.text import Span

_ALTERS = {"#": 1, "b": -1, "n": 0}
_NO_LETTER = "-"
_SAY_WHAT = "Say what they name: --letters guitar, or --letters names"
_SIGNS = {1: "#", 0: "n", -1: "b"}
#: As ``source.sing.line`` reads a line whose first octave is missing.
_FIRST = {"G": 4, "C": 4, "F": 3}


@dataclass(slots=True)
class _Line:
    """One line as far as it is walked: its octave in the source and in the moved text, its last note in both."""

    layer: Layer
    octave: int
    new_octave: int | None = None
    last: SpelledPitch | None = None
    new_last: SpelledPitch | None = None


@dataclass(slots=True)
class Sung:
    """Walks through the lines of a piece. ``interval`` is how far they move; ``names`` says what chord letters name."""

    interval: Interval
    losses: Losses
    lines: dict[str, _Line] = field(default_factory=dict)
    names: Letters | None = None
    letters_told: bool = False

    @classmethod
    def of(cls, heading: Heading, asked: Asked, losses: Losses) -> Sung:
        lines = {
            layer.name: _Line(layer, _FIRST[layer.clef[0]] - layer.clef.endswith("_8")) for layer in heading.layers
        }
        return cls(asked.interval, losses, lines, asked.letters)

    def layers(self, layers: tuple[LayerLine, ...]) -> tuple[LayerLine, ...]:
        """The lines under one bar."""
        return tuple(moved for line in layers if (moved := self._moved(line)) is not None)

    def _moved(self, line: LayerLine) -> LayerLine | None:
        if self.interval == Interval(0, 0) or line.kind is LayerKind.TEXT:
            return line
        if line.kind is LayerKind.CHORDS:
            return self._letters(line)
        state = self.lines.get(line.name)
        if state is None:
            return line
        notes = tuple(self._note(note, state) if isinstance(note, LayerNote) else note for note in line.notes)
        return replace(line, notes=notes)

    def _letters(self, line: LayerLine) -> LayerLine | None:
        """Chord letters moved. Where nothing tells what they name they are left out, which is said once."""
        if self.names is None:
            if not self.letters_told:
                what = "the chord letters are left out here and later: they may name shapes of the old key"
                self.losses.say(NOT_CARRIED_OVER, line.span, what, hint=_SAY_WHAT)
            self.letters_told = True
            return None
        words = tuple((self._letter(text, span), span) for text, span in line.words)
        return replace(line, words=words)

    def _letter(self, text: str, span: Span) -> str:
        if text == _NO_LETTER or self.names is None:
            return text
        moved = moved_letter(text, self.names, self.interval)
        if moved is None:
            self.losses.say(
                NOT_CARRIED_OVER, span, f"the letter {text} is left out: its chord has no letter in the new key"
            )
        return moved or _NO_LETTER

    def _note(self, note: LayerNote, line: _Line) -> LayerNote:
        if note.pitch is None:
            return note
        reading = note.pitch
        old = reading.edition
        bass: SpelledPitch | None = None
        if old is not None:
            bass, new = self._pitch(old, line, joined=note.joined)
        else:
            new = None
        if reading.source is reading.edition:
            source = new
        else:
            source = self._beside(reading.source, line) if reading.source is not None else None
        moved: Reading[LayerPitch] = Reading(reading.act, new, source, reading.doubtful, reading.source_doubtful)
        if bass is None or not note.figures:
            return replace(note, pitch=moved)
        columns = tuple(
            tuple(self._figure(row, note) for row in transposed_rows(rows, bass, self.interval, line.layer.fifths))
            for rows in note.figures
        )
        return replace(
            note, pitch=moved, figures=columns, figures_typed="-".join(",".join(column) for column in columns)
        )

    def _figure(self, row: str, note: LayerNote) -> str:
        """A figure as it can be typed: a doubled accidental stands as a single one, and is told."""
        if row[:2] not in ("##", "bb"):
            return row
        self.losses.say(NOT_CARRIED_OVER, note.span, f"the figure {row} is typed {row[1:]}")
        return row[1:]

    def _pitch(self, typed: LayerPitch, line: _Line, *, joined: bool) -> tuple[SpelledPitch, LayerPitch]:
        """The pitch of a note as the source has it, and how the moved one is typed."""
        if typed.octave is not None:
            line.octave = typed.octave
        pitch = self._read(typed, line.octave, line.layer)
        last = line.last
        tied = joined and not typed.accidental and last is not None
        if last is not None and tied and (last.step, last.octave) == (pitch.step, pitch.octave):
            pitch = last  # the accidental of a tied note goes on without being printed
            new = line.new_last or self._to(pitch)
            accidental = ""
        else:
            new = self._to(pitch)
            accidental = self._accidental(new, line.layer, printed=bool(typed.accidental))
        stated = typed.octave is not None or new.octave != line.new_octave
        line.last, line.new_last, line.new_octave = pitch, new, new.octave
        return pitch, LayerPitch(new.step, accidental, new.octave if stated else None)

    def _beside(self, typed: LayerPitch, line: _Line) -> LayerPitch:
        """Another reading of the note just moved."""
        octave = line.octave if typed.octave is None else typed.octave
        new = self._to(self._read(typed, octave, line.layer))
        accidental = self._accidental(new, line.layer, printed=bool(typed.accidental))
        stated = typed.octave is not None or new.octave != line.new_octave
        return LayerPitch(new.step, accidental, new.octave if stated else None)

    def _read(self, typed: LayerPitch, octave: int, layer: Layer) -> SpelledPitch:
        alter = _ALTERS[typed.accidental] if typed.accidental else in_signature(typed.step, layer.fifths)
        return SpelledPitch(typed.step, alter, octave)

    def _to(self, pitch: SpelledPitch) -> SpelledPitch:
        """The pitch moved; a double accidental, which cannot be typed, as its neighbour."""
        new = self.interval.of(pitch)
        if abs(new.alter) > 1:
            new = from_fifths(new.fifths - (12 if new.alter > 0 else -12), new.semitones)
        return new

    def _accidental(self, new: SpelledPitch, layer: Layer, *, printed: bool) -> str:
        signature = transposed_signature(layer.fifths, self.interval)
        return _SIGNS[new.alter] if printed or new.alter != in_signature(new.step, signature) else ""
