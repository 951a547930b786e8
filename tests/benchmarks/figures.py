"""Figures worked out from the upper parts against those printed: ``python -m tests.benchmarks.figures``.

The outside truth is music21's corpus, ``corelli/opus3no1/1grave.xml``: two violins over a bass whose printed figures
are stored as lyrics. The printed figures also say what the keyboard is to add where neither violin plays it; no
rule sees that in the violins, so full agreement is out of reach. The rules were shaped with this piece in view (no
other printed figures are at hand), so the number says how well they describe it, not how they fare elsewhere.
Counted, printed column by printed column:

* equal: the column worked out at the same moment has the same figures;
* implied: both stand for the same chord, one written out more fully (5/4 for 4, 5 or 3 for a plain triad);
* different: neither.
"""

from __future__ import annotations

import warnings
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pipeline.edition.figure import BassNote, Tone, columns, meant
from pipeline.model.pitch import SpelledPitch
from pipeline.model.song import Figure
from pipeline.model.time import WHOLE, Ticks

NAME = "corelli/opus3no1/1grave.xml"
_BEAT = WHOLE // 4
_SIGNS = {"s": "#", "n": "n", "b": "b", "f": "b"}


@dataclass(frozen=True)
class Compared:
    """One printed column: where, what is printed, what was worked out, and how the two agree."""

    bar: int
    bass: SpelledPitch
    printed: tuple[str, ...]
    found: tuple[str, ...]
    verdict: str


def compared() -> tuple[list[Compared], int]:
    """Every printed column, and how many columns were worked out in all."""
    from music21 import corpus  # noqa: PLC0415  heavy: only when the score is read

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = corpus.parse(NAME)
    fifths = score.parts[-1].recurse().getElementsByClass("KeySignature")[0].sharps
    notes = list(score.parts[-1].stripTies().flatten().notes)
    bass = [BassNote(_ticks(note.offset), _ticks(note.quarterLength), _pitch(note)) for note in notes]
    above = sorted((tone for part in score.parts[:-1] for tone in _tones(part)), key=lambda tone: tone.onset)
    worked_out = columns(bass, above, fifths, _BEAT)
    rows = [
        _compare(1 + note.onset // WHOLE, note.pitch, printed, rows)
        for note, lyric, found in zip(bass, notes, worked_out, strict=True)
        for printed, rows in _paired(_printed(lyric), found)
    ]
    return rows, sum(len(found) for found in worked_out)


def _paired(
    printed: list[tuple[str, ...]], found: tuple[Figure, ...]
) -> Iterator[tuple[tuple[str, ...], tuple[str, ...] | None]]:
    """Printed columns beside those worked out, in turn; the first ones stand at the start of the note unless both
    sides have equally many. None: there is no such column."""
    rows: list[tuple[str, ...]] = [figure.rows for figure in found]
    if len(rows) != len(printed) and (not found or found[0].offset):
        rows = [(), *rows]
    for place, column in enumerate(printed):
        yield column, rows[place] if place < len(rows) else None


def _compare(bar: int, bass: SpelledPitch, printed: tuple[str, ...], found: tuple[str, ...] | None) -> Compared:
    if found is None:
        return Compared(bar, bass, printed, (), "different")
    if set(found) == set(printed):
        verdict = "equal"
    elif _numbers(printed) <= meant(found) and _numbers(found) <= meant(printed) and _signs(printed) == _signs(found):
        verdict = "implied"
    else:
        verdict = "different"
    return Compared(bar, bass, printed, found, verdict)


def _numbers(rows: tuple[str, ...]) -> set[int]:
    return {int(digits) for row in rows if (digits := row.lstrip("#bn"))}


def _signs(rows: tuple[str, ...]) -> set[str]:
    return {row for row in rows if row[0] in "#bn"}


def _printed(note: Any) -> list[tuple[str, ...]]:
    """Columns in order of time: hard spaces part columns, a slash stacks, ``s`` is a sharp. A leading space (the
    figure stands further right, as it resolves the bass note before) begins no column."""
    columns = [column for lyric in note.lyrics for column in (lyric.text or "").split("\u00a0") if column.strip()]
    return [tuple(_SIGNS.get(row, row) for row in column.strip().split("/")) for column in columns]


def _tones(part: Any) -> Iterator[Tone]:
    notes = list(part.stripTies().flatten().notes)
    for place, note in enumerate(notes):
        here = _pitch(note).diatonic
        before = _pitch(notes[place - 1]).diatonic if place else here
        after = _pitch(notes[place + 1]).diatonic if place + 1 < len(notes) else here
        yield Tone(_ticks(note.offset), _ticks(note.quarterLength), _pitch(note), here - before, after - here)


def _ticks(quarters: Any) -> Ticks:
    return round(Fraction(quarters) * WHOLE / 4)


def _pitch(note: Any) -> SpelledPitch:
    alter = round(note.pitch.accidental.alter) if note.pitch.accidental else 0
    return SpelledPitch(note.pitch.step, alter, note.pitch.octave)


def main() -> None:
    """Print the agreement and every difference."""
    rows, columns_found = compared()
    counts = Counter(row.verdict for row in rows)
    agree = counts["equal"] + counts["implied"]
    print(f"{NAME}: {len(rows)} printed columns, {columns_found} worked out")
    print(f"equal {counts['equal']}, implied {counts['implied']}, different {counts['different']}")
    print(f"agreement {agree / len(rows):.1%}")
    for row in rows:
        if row.verdict != "equal":
            printed, found = "/".join(row.printed), "/".join(row.found)
            print(f"{row.verdict:9} bar {row.bar:2} {row.bass.name:4} printed {printed:6} found {found}")


if __name__ == "__main__":
    main()
