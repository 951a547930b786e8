"""Polyphony to be arranged: works of the corpus by their split."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from pipeline.model.time import WHOLE
from tests.benchmarks.voices import corpus
from tests.benchmarks.voices.idioms.model import Source, Tone


def source(work: str, name: str) -> Source:
    """A piece of the corpus."""
    score = corpus.load(name)
    columns = (score.part, score.onset, score.length, score.pitch)
    tones = tuple(
        Tone(*row)
        for row in sorted(zip(*(column.tolist() for column in columns), strict=True), key=lambda r: (r[1], r[0]))
        if row[2] > 0
    )
    end = max(tone.end for tone in tones)
    starts = sorted({0, *(at for at in score.bars.tolist() if at < end)})
    bars = tuple((at, after - at) for at, after in pairwise([*starts, max(end, starts[-1] + 1)]))
    return Source(name, work, tones, bars, metres(bars), score.key, score.parts)


def metres(bars: tuple[tuple[int, int], ...]) -> tuple[tuple[int, int, int], ...]:
    """Metre as the lengths of the bars have it; one odd bar is an upbeat or an end and changes nothing."""
    usual = Counter(length for _, length in bars).most_common(1)[0][0]
    found = [(0, *_metre(usual))]
    for (onset, length), (_, following) in pairwise(bars):
        if length == following and _metre(length) != found[-1][1:]:
            found = [(onset, *_metre(length))] if onset == 0 else [*found, (onset, *_metre(length))]
    return tuple(found)


def _metre(ticks: int) -> tuple[int, int]:
    """Halves for bars of three halves and more, else quarters, else eighths or less."""
    units = (2, 4, 8, 16, 32) if 2 * ticks >= 3 * WHOLE else (4, 8, 16, 32)
    unit = next((unit for unit in units if ticks * unit % WHOLE == 0), 64)
    return max(1, round(ticks * unit / WHOLE)), unit
