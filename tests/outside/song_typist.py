"""Types a song as an editor would: an arranged tablature in the bars of its score, a part of the score over it."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import groupby
from typing import Any

from pipeline.model.time import WHOLE
from tests.benchmarks.voices.arrange import Arranged
from tests.outside.typist import _scale, _stop, _values

_UNITS = {"breve": 0, "whole": 1, "half": 2, "quarter": 4, "eighth": 8, "16th": 16, "32nd": 32}
_HYPHENS = {"begin": "-", "middle": "-"}
#: How the corpus writes two vowels on one note.
ELISION = "\u035c"


@dataclass(frozen=True)
class Sung:
    """A note of the score's part: onset and length in ticks, semitones (None for a rest), tie from before, word."""

    bar: int
    onset: int
    length: int
    pitch: int | None
    tied: bool
    text: str
    syllabic: str


@cache
def sung(name: str, part: int = 0) -> tuple[tuple[Sung, str], ...]:
    """Every note of a part as music21 reads it, each with the word an editor types for it."""
    from music21 import corpus  # noqa: PLC0415  heavy: only when a score must be read

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = corpus.parse(name)
    found = []
    for bar, measure in enumerate(score.parts[part].getElementsByClass("Measure")):
        for note in measure.notesAndRests:
            lyric = next((each for each in note.lyrics if each.text), None)
            tied = note.isNote and note.tie is not None and note.tie.type in ("stop", "continue")
            row = Sung(
                bar,
                _ticks(measure.offset + note.offset),
                _ticks(note.quarterLength),
                None if note.isRest else round(note.pitch.ps),
                tied,
                lyric.text if lyric else "",
                (lyric.syllabic or "single") if lyric else "",
            )
            found.append((row, _note(note, tied)))
    return tuple(found)


def typed_song(piece: Arranged, line: tuple[tuple[Sung, str], ...], ends: list[int], with_text: bool = True) -> str:
    """The whole song. ``ends`` are the ticks at which the bars end. Stops between the 64ths of a bar (triplets) are
    left to the singer."""
    lines = [
        "longneck 1",
        "title Arranged",
        f"instrument {piece.neck.name}",
        f"diapasons {_scale(piece)}",
        "metre C",
        "layer v = Canto, clef C1",
        "",
    ]
    rows = [row for row in range(len(piece.onset)) if int(piece.onset[row]) % (WHOLE // 64) == 0]
    events = [list(together) for _, together in groupby(rows, key=lambda row: int(piece.onset[row]))]
    start, begun = 0, False
    for bar, end in enumerate(ends):
        here = [rows for rows in events if start <= int(piece.onset[rows[0]]) < end]
        opening = "|" if end - start == WHOLE else "|>" if end - start > WHOLE else "|<"
        lines.append(" ".join([opening, *_tablature(piece, here, start, end)]))
        notes = [(row, word) for row, word in line if row.bar == bar]
        lines.append(" ".join(["v", *(word for _, word in notes)]))
        words = []
        for row, _ in notes:
            if row.pitch is not None:
                begun = begun or bool(row.text)
                words.append(_word(row) or ("_" if begun else "-"))
        if words and with_text:
            lines.append(" ".join(["1", *words]))
        start = end
    return "\n".join(lines) + "\n"


def _tablature(piece: Arranged, events: list[list[int]], start: int, end: int) -> Iterator[str]:
    onsets = [int(piece.onset[rows[0]]) for rows in events]
    if not events:
        yield from (f"{value}=-" for value in _values(end - start))
        return
    yield from (f"{value}=-" for value in _values(onsets[0] - start))
    for rows, onset, following in zip(events, onsets, [*onsets[1:], end], strict=True):
        stops = ",".join(_stop(int(piece.course[row]), int(piece.fret[row])) for row in rows)
        first, *rest = _values(following - onset)
        yield f"{first}={stops}"
        yield from (f"{value}=-" for value in rest)


def _note(note: Any, tied: bool) -> str:
    value = f"{_UNITS[note.duration.type]}{'.' * note.duration.dots}"
    group = ""
    if note.duration.tuplets and note.duration.tuplets[0].type in ("start", "startStop"):
        group = f"/{note.duration.tuplets[0].numberNotesActual}"
    if note.isRest:
        return f"{value}{group}=-"
    sign = {None: "", 0: "n", 1: "#", -1: "b"}[note.pitch.accidental.alter if note.pitch.accidental else None]
    return f"{value}{group}={'_' if tied else ''}{note.pitch.step}{sign}{note.pitch.octave}"


def _word(row: Sung) -> str:
    return row.text.replace(ELISION, "_") + _HYPHENS.get(row.syllabic, "") if row.text else ""


def _ticks(quarters: Any) -> int:
    return round(Fraction(quarters) * WHOLE / 4)
