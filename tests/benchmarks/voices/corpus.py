"""Scores of music21's corpus as plain arrays, read once and kept in a cache.

The corpus is the outside truth of the benchmark: real polyphony, each part one voice.
"""

from __future__ import annotations

import os
import warnings
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np
import numpy.typing as npt

from pipeline.model.time import WHOLE

Ints = npt.NDArray[np.int64]

#: Where read scores are kept; ignored by git.
CACHE = Path(os.environ.get("LONGNECK_BENCHMARK_CACHE", "out/benchmarks"))


@dataclass(frozen=True, slots=True)
class PartScore:
    """A score, note by note, sorted by onset and then by part.

    ``onset`` and ``length`` in ticks, ``pitch`` in semitones (C4 = 60), ``fifths`` on the line of fifths,
    ``part`` from 0, the part printed on top. ``bars`` are the ticks at which bars begin, ``key`` the
    signature printed first. ``clean`` is true if no part has chords or overlapping notes.
    """

    name: str
    onset: Ints
    length: Ints
    pitch: Ints
    fifths: Ints
    part: Ints
    bars: Ints
    key: int
    clean: bool

    @property
    def parts(self) -> int:
        return int(self.part.max()) + 1 if len(self.part) else 0


def corpus_root() -> Path:
    from music21 import common  # noqa: PLC0415  heavy: only when a score must be read

    return Path(common.getCorpusFilePath())


def load(name: str) -> PartScore:
    """The score ``name``, a path inside the corpus, from the cache or else read by music21."""
    kept = CACHE / "scores" / (name.replace("/", "+") + ".npz")
    if not kept.exists():
        kept.parent.mkdir(parents=True, exist_ok=True)
        score = _read(name)
        columns = {field: getattr(score, field) for field in score.__slots__ if field != "name"}
        partial = kept.with_suffix(f".{os.getpid()}.npz")
        np.savez_compressed(partial, **columns)
        partial.replace(kept)
    with np.load(kept) as found:
        arrays = {field: found[field] for field in ("onset", "length", "pitch", "fifths", "part", "bars")}
        return PartScore(name=name, key=int(found["key"]), clean=bool(found["clean"]), **arrays)


def _ticks(quarters: object) -> int:
    return round(Fraction(quarters) * WHOLE / 4)  # type: ignore[arg-type]


def _read(name: str) -> PartScore:
    from music21 import converter  # noqa: PLC0415  heavy

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = converter.parse(corpus_root() / name, forceSource=True)
        if not hasattr(score, "parts") or not len(score.parts):
            raise ValueError(f"{name} has no parts")
        return _columns(name, score)


def _columns(name: str, score: object) -> PartScore:
    rows: list[tuple[int, int, int, int, int]] = []
    clean = True
    for number, part in enumerate(score.parts):  # type: ignore[attr-defined]
        last_end = 0
        for note in part.stripTies().flatten().notes:
            if "Harmony" in note.classes or note.duration.isGrace or not note.pitches:
                continue  # chord symbols are counted as notes there; grace notes have no time
            onset, length = _ticks(note.offset), _ticks(note.quarterLength)
            clean = clean and len(note.pitches) == 1 and onset >= last_end
            last_end = onset + length
            for pitch in note.pitches:
                rows.append((onset, number, round(pitch.ps), length, _fifths(pitch)))
    rows.sort()
    onset, part_of, pitch, length, fifths = (np.array(column, dtype=np.int64) for column in zip(*rows, strict=True))
    first = score.parts[0]  # type: ignore[attr-defined]
    bars = [_ticks(bar.offset) for bar in first.getElementsByClass("Measure")]
    keys = list(first.recurse().getElementsByClass("KeySignature"))
    return PartScore(
        name,
        onset,
        length,
        pitch,
        fifths,
        part_of,
        np.array(bars, dtype=np.int64),
        keys[0].sharps if keys else 0,
        clean,
    )


def _fifths(pitch: object) -> int:
    places = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
    accidental = pitch.accidental  # type: ignore[attr-defined]
    return places[pitch.step] + 7 * (int(accidental.alter) if accidental else 0)  # type: ignore[attr-defined]
