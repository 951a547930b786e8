"""Cutting, thinning, transposing and folding a source until it lies on the instrument."""

from __future__ import annotations

import random
from bisect import bisect_right
from collections.abc import Callable

from pipeline.model.record import replace
from pipeline.model.time import WHOLE
from tests.benchmarks.voices.idioms.model import Source, Strung, Tone, signature
from tests.benchmarks.voices.idioms.tastes import Taste

#: An excerpt has at most so many notes (bars are never cut).
NOTES = 420


def excerpt(source: Source, chance: random.Random, notes: int = NOTES) -> Source:
    """Some bars in a row, all if they are few; a note that enters from before is left out, one that goes on is
    ended with the last bar."""
    if len(source.tones) <= notes:
        return source
    first = chance.randrange(len(source.bars) // 2 + 1)
    start = source.bars[first][0]
    inside = [tone for tone in source.tones if tone.onset >= start][: notes + 1]
    last = max(first, bisect_right([onset for onset, _ in source.bars], inside[-1].onset) - 2)
    end = sum(source.bars[last])
    tones = tuple(
        replace(tone, onset=tone.onset - start, length=min(tone.end, end) - tone.onset)
        for tone in inside
        if tone.onset < end
    )
    bars = tuple((onset - start, length) for onset, length in source.bars[first : last + 1])
    before = [sign for sign in source.metre if sign[0] <= start][-1:] or list(source.metre[:1])
    changes = [sign for sign in source.metre if start < sign[0] < end]
    metre = ((0, *before[0][1:]), *((onset - start, beats, unit) for onset, beats, unit in changes))
    return replace(source, tones=tones, bars=bars, metre=metre)


def keep_voices(source: Source, kept: list[int]) -> Source:
    """Only these voices, numbered anew from the top."""
    number = {voice: place for place, voice in enumerate(sorted(kept))}
    tones = tuple(replace(tone, voice=number[tone.voice]) for tone in source.tones if tone.voice in number)
    return replace(source, tones=tones, voices=len(number))


def stretched(source: Source, numerator: int, denominator: int) -> Source:
    """Other note values for the same music."""

    def times(ticks: int) -> int:
        return ticks * numerator // denominator

    return replace(
        source,
        tones=tuple(replace(tone, onset=times(tone.onset), length=times(tone.length)) for tone in source.tones),
        bars=tuple((times(onset), times(length)) for onset, length in source.bars),
        metre=tuple((times(onset), beats, unit * denominator // numerator) for onset, beats, unit in source.metre),
    )


def values(source: Source) -> Source:
    """In quarters and eighths where the print has wholes and halves, as tablature does."""
    mean = sum(tone.length for tone in source.tones) / len(source.tones)
    return stretched(source, 1, 2) if mean > 0.4 * WHOLE else source


def transposition(source: Source, strung: Strung, habit: str, chance: random.Random) -> int:
    """Semitones that put most notes within reach, in few sharps or flats; one of the best few."""
    low, high = compass(strung, habit)
    weights = [5.0, 4.0, 2.0, 1.0, 1.0]
    found: list[tuple[float, int]] = []
    pitches = sorted(tone.pitch for tone in source.tones)
    middle = pitches[len(pitches) // 2]
    centre = (high + strung.courses[strung.stopped - 1]) / 2
    for move in range(-29, 13):
        out = sum(not low <= pitch + move <= high for pitch in pitches) / len(pitches)
        keys = abs(signature(source.fifths, move))
        found.append((20 * out + 0.06 * keys + 0.06 * abs(middle + move - centre), move))
    found.sort()
    return chance.choices([move for _, move in found[:5]], weights)[0]


def compass(strung: Strung, habit: str) -> tuple[int, int]:
    """The lowest and the highest note that can be written for the habit."""
    down = strung.courses[strung.tuned_down[0] - 1] if strung.tuned_down else 0
    as_it_sounds = max(strung.courses) + 9
    high = down + 12 + 8 if strung.tuned_down and habit != "literal" else as_it_sounds
    return min(strung.courses), max(high, as_it_sounds) if habit == "mixed" else high


def folded(source: Source, strung: Strung, habit: str, taste: Taste, chance: random.Random) -> Source:
    """Notes out of reach moved by octaves, and phrases of the bass put an octave lower if the player likes it."""
    low, high = compass(strung, habit)
    diapasons = set(strung.courses[strung.stopped :])
    lowest_stopped = strung.courses[strung.stopped - 1]

    def reachable(pitch: int) -> bool:
        return lowest_stopped <= pitch <= high or pitch in diapasons

    tones: list[Tone] = []
    for voice in range(source.voices):
        for whole in phrases(source.line(voice)):
            phrase = whole
            if voice == source.voices - 1 and voice and chance.random() < taste.deep:
                lower = [tone.pitch - 12 for tone in phrase]
                if min(lower) >= low and sum(map(reachable, lower)) > 0.9 * len(lower):
                    phrase = [replace(tone, pitch=tone.pitch - 12) for tone in phrase]
            tones += _fold(phrase, reachable, taste.fold)
    return replace(source, tones=tuple(sorted(tones, key=lambda tone: (tone.onset, tone.voice))))


def _fold(phrase: list[Tone], reachable: Callable[[int], bool], fold: str) -> list[Tone]:
    if fold == "leave out" or all(reachable(tone.pitch) for tone in phrase):
        return phrase
    if fold == "phrase":
        moves = sorted((0, 12, -12), key=lambda move: -sum(reachable(tone.pitch + move) for tone in phrase))
        return [replace(tone, pitch=tone.pitch + moves[0]) for tone in phrase]
    return [
        replace(
            tone, pitch=next((p for p in (tone.pitch, tone.pitch + 12, tone.pitch - 12) if reachable(p)), tone.pitch)
        )
        for tone in phrase
    ]


def phrases(line: tuple[Tone, ...]) -> list[list[Tone]]:
    """A voice split at its rests."""
    found: list[list[Tone]] = []
    for tone in line:
        if found and found[-1][-1].end >= tone.onset:
            found[-1].append(tone)
        else:
            found.append([tone])
    return found
