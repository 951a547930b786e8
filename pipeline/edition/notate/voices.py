"""What is said of the voices and basses of a song: compass, clef of the source, moves, signatures that differ."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import TypeVar

from pipeline.edition.readings import with_signs
from pipeline.model.heading import Heading
from pipeline.model.pitch import SpelledPitch, in_signature
from pipeline.model.score import Incipit, LegendEntry
from pipeline.model.signs import Reading
from pipeline.model.song import Song, SungLine

T = TypeVar("T")
#: Clefs of which none is made another.
_KEPT = ("G2", "F4")
_ALTERS = {"#": 1, "b": -1, "n": 0}


def compass_line(song: Song) -> str:
    """``Canto D4–G5 · Tenore C4–G4``: each voice from its lowest to its highest note; empty without voices."""
    found: list[str] = []
    for line in song.lines:
        pitches = sorted((note.pitch for note in line.notes if note.pitch is not None), key=lambda each: each.semitones)
        if pitches and not line.bass:
            found.append(f"{title_of(line)} {with_signs(pitches[0].name)}–{with_signs(pitches[-1].name)}")
    return " · ".join(found)


def shows_clef(line: SungLine) -> bool:
    """True if a line is printed in the clef of its source."""
    return line.clef in _KEPT


def incipit_of(line: SungLine, heading: Heading) -> Incipit | None:
    """How a typed line begins in the source; None where that is just as the edition prints it, or where its first note
    cannot be read."""
    declared = next((layer for layer in heading.layers if layer.name == line.name), None)
    first = next((note.typed for note in line.notes if note.typed is not None and note.pitch is not None), None)
    if declared is None or first is None or declared.clef in _KEPT or line.from_file:
        return None
    pitch, value = _of_source(first.pitch), _of_source(first.value)
    if pitch is None or value is None or pitch.octave is None:
        return None
    alter = _ALTERS[pitch.accidental] if pitch.accidental else in_signature(pitch.step, declared.fifths)
    sign = heading.metre.sign if heading.metre is not None else ""
    return Incipit(declared.clef, declared.fifths, sign, SpelledPitch(pitch.step, alter, pitch.octave), value)


def _of_source(reading: Reading[T] | None) -> T | None:
    return reading.source if reading is not None else None


def line_entries(song: Song, shown: Collection[str] = ()) -> Iterator[LegendEntry]:
    """The clef of the source, but for lines whose beginning is ``shown``; and a line that was moved to agree with the
    tablature."""
    for line in song.lines:
        if line.clef and line.name not in shown:
            yield LegendEntry(f"{title_of(line)}:", f"clef {line.clef} in the source.")
        if line.moved:
            way = "up" if line.moved > 0 else "down"
            steps = f"{abs(line.moved)} semitone{'' if abs(line.moved) == 1 else 's'}"
            yield LegendEntry(
                f"{title_of(line)}:", f"moved {way} {steps} from the source, to agree with the tablature."
            )


def signature_entries(song: Song, fifths: int) -> Iterator[LegendEntry]:
    """Why voices and staves of the instrument have different signatures, where they do. ``fifths`` are the staves'."""
    kept = [line for line in song.lines if line.fifths != fifths]
    if not kept:
        return
    names = _listed([title_of(line) for line in kept])
    same = {line.fifths for line in kept}
    theirs = f", {signature(same.pop())}," if len(same) == 1 else ""
    keeps = "keeps" if len(kept) == 1 else "keep"
    moved = any(line.moved for line in kept)
    whose = "of the source, moved with the line" if moved else "of the source"
    yield LegendEntry(
        "Signatures:",
        f"{names} {keeps} the signature{theirs} {whose}; that of the two staves, {signature(fifths)}, is the editor’s.",
    )


def signature(fifths: int) -> str:
    """``two flats``, ``no accidentals``."""
    if not fifths:
        return "no accidentals"
    count = ("no", "one", "two", "three", "four", "five", "six", "seven")[abs(fifths)]
    return f"{count} {'sharp' if fifths > 0 else 'flat'}{'' if abs(fifths) == 1 else 's'}"


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def title_of(line: SungLine) -> str:
    """What a line is called."""
    return line.title or "Voice"
