"""The notes at the foot on what is sung: notes of voices and basses, their words, chord letters."""

from __future__ import annotations

from pipeline.edition.notate.footnotes import BarNotes
from pipeline.edition.readings import OVER, difference, pitch_said, value_said, word_said
from pipeline.model.signs import Reading
from pipeline.model.song import ChordLetter, SungLine, SungNote, Syllable


def note_letter(notes: BarNotes, line: SungLine, note: SungNote) -> str:
    """The letter of a note of a line, with what is noted on words that are not there; or empty."""
    typed = note.typed
    texts: list[str] = []
    if typed is not None:
        if typed.pitch is not None:
            texts.extend(difference(typed.pitch, pitch_said))
        if typed.value is not None:
            texts.extend(difference(typed.value, value_said))
        texts.extend(notes.labelled(typed.labels))
        texts.extend(notes.marks(typed.value_marks, _mark_said))
    for word in note.unsung:
        said = [*_differences(word.reading), *notes.labelled(word.labels)]
        texts.extend(f"stanza {word.stanza}, {text}" for text in said)
    return notes.note(_where(line, note), texts) if texts else ""


def word_letter(notes: BarNotes, line: SungLine, note: SungNote, word: Syllable) -> str:
    """The letter of a syllable, or empty."""
    texts = [*_differences(word.reading), *notes.labelled(word.labels)]
    return notes.note(f"{_where(line, note)}, stanza {word.stanza}", texts) if texts else ""


def chord_letter(notes: BarNotes, chord: ChordLetter) -> str:
    """The letter of a chord letter, or empty."""
    texts = [*_differences(chord.reading), *notes.labelled(chord.labels)]
    return notes.note("chord letter", texts) if texts else ""


def _differences(reading: Reading[str] | None) -> list[str]:
    return list(difference(reading, word_said)) if reading is not None else []


def _where(line: SungLine, note: SungNote) -> str:
    """``Canto, note 3``."""
    return f"{line.title or line.name}, note {note.id.rpartition('n')[2]}"


def _mark_said(letter: str, other: str | None = None) -> str:
    del other
    return OVER.get(letter, f"mark {letter}")
