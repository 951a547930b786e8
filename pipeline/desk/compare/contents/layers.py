"""Notes of a sung line or a bass."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from pipeline.desk.compare.content import MarkContent, Marks, SungContent, SyllableContent
from pipeline.desk.compare.contents.notes import BarNotes
from pipeline.desk.compare.contents.order import marks_in_order
from pipeline.desk.compare.contents.signs import value_reading
from pipeline.model.heading import Heading
from pipeline.model.layers import LayerNote, LayerPitch
from pipeline.model.signs import Act, Reading
from pipeline.model.song import SungNote, Syllable
from pipeline.model.time import Ticks


def sung_content(
    line: Iterable[SungNote], heading: Heading, notes: BarNotes, *, from_file: bool = False
) -> tuple[SungContent, ...]:
    """The notes of one line in one bar. ``from_file`` says that the line is not typed."""
    return tuple(_note(note, heading, notes, from_file) for note in line)


def _note(note: SungNote, heading: Heading, notes: BarNotes, from_file: bool) -> SungContent:
    typed = note.typed
    reading = typed.pitch if typed is not None else None
    differs = reading is not None and reading.act in {Act.EMENDED, Act.REMOVED}
    source = reading.source if reading is not None and differs else None
    return SungContent(
        note.pitch.name if note.pitch is not None else "",
        reading.act if reading is not None else Act.PRINTED,
        pitch_name(source) if source is not None else "",
        reading is not None and reading.doubtful,
        reading is not None and reading.source_doubtful,
        edited(value_reading(typed.value)) if typed is not None and typed.value is not None else None,
        printed_length(note.length, heading.values, from_file=from_file),
        note.tied,
        note.fermata,
        _marks(typed, notes) if typed is not None else (),
        tuple(_syllable(one, notes) for one in (*note.syllables, *note.unsung)),
        tuple((figure.offset, " ".join(figure.rows)) for figure in note.figures),
        typed is None and not from_file,
        notes.at(label.letter for label in typed.labels) if typed is not None and typed.labels else (),
        note.span,
    )


def edited(value: Reading[str]) -> Reading[str] | None:
    """A rhythm sign where source and edition part, or are in doubt; a plain one says no more than the length does."""
    plain = value.act is Act.PRINTED and not value.doubtful and not value.source_doubtful
    return None if plain else value


def printed_length(length: Ticks, values: Fraction, *, from_file: bool) -> Ticks:
    """The length in the values of the source; those of a notation file are counted as they are."""
    return length if from_file else length * values.denominator // values.numerator


def pitch_name(pitch: LayerPitch) -> str:
    """As typed: ``E5``, ``F#``."""
    return f"{pitch.step}{pitch.accidental}{'' if pitch.octave is None else pitch.octave}"


def _syllable(syllable: Syllable, notes: BarNotes) -> SyllableContent:
    labels = notes.at(label.letter for label in syllable.labels) if syllable.labels else ()
    edited = word_edited(syllable.reading)
    return SyllableContent(syllable.stanza, syllable.text, syllable.place.value, syllable.extends, labels, *edited)


def word_edited(reading: Reading[str] | None) -> tuple[Act, str]:
    """What the editor did to a word, and what the source has."""
    return (Act.PRINTED, "") if reading is None else (reading.act, reading.source or "")


def _marks(typed: LayerNote, notes: BarNotes) -> Marks:
    return marks_in_order(
        MarkContent(reading, notes.at(label.letter for label in group.labels))
        for group in typed.value_marks
        for reading in group.marks
    )
