"""Chords taken apart: a figure over a bass that rings, or every voice of the chord struck after the other.

Truth as editors print it: in a figure the bass is held until the next one and may be the figure's first note too
(written twice); in the other way each voice keeps its note to the end of the chord. Common practice, no source.
"""

from __future__ import annotations

import random

from tests.benchmarks.voices.idioms.model import Sound, Source, Texture, role
from tests.benchmarks.voices.idioms.slices import Sounding, beats, pulse
from tests.benchmarks.voices.idioms.textures import WEIGHT

ORDERS = ("up", "up and down", "down", "top between")


def broken(source: Source, chance: random.Random) -> Texture:
    """A figure (two voices) or one note a voice."""
    return figure(source, chance) if chance.random() < 0.6 else one_a_voice(source, chance)


def figure(source: Source, chance: random.Random) -> Texture:
    """The bass at the head of each beat, the others in a pattern of equal notes."""
    step = pulse(source, long=chance.random() < 0.6)
    count = chance.choice((4, 6, 8) if step * 2 % 3 else (6,))
    order, twice = chance.choice(ORDERS), chance.random() < 0.5
    sounding = Sounding(source)
    found: list[Sound] = []
    for onset, length in beats(source, step):
        pitches = sorted({tone.pitch for tone in sounding.at(onset)})
        if not pitches:
            continue
        bass, unit = pitches[0], step // count
        voices, lengths = ((0, 1), (unit, length)) if twice else ((1,), (length,))
        found.append(Sound(onset, bass, voices, lengths, "bass", WEIGHT["bass"]))
        for number, pitch in enumerate(pattern(pitches[1:], length // unit - 1, order), start=1):
            at = onset + number * unit
            found.append(Sound(at, pitch, (0,), (unit,), "tune", WEIGHT["tune"], ring=onset + length - at))
    return Texture(tuple(found), 2)


def pattern(pitches: list[int], count: int, order: str) -> list[int]:
    """``count`` notes out of ``pitches`` (from low to high) in the order named."""
    if not pitches:
        return []
    ways = {
        "up": pitches,
        "down": pitches[::-1],
        "up and down": pitches + pitches[-2:0:-1],
        "top between": [pitch for low in pitches[:-1] for pitch in (pitches[-1], low)] or pitches,
    }
    way = ways[order]
    return [way[number % len(way)] for number in range(count)]


def one_a_voice(source: Source, chance: random.Random) -> Texture:
    """Each voice strikes its note in turn, the bass first, and holds it to the end of the beat."""
    step = pulse(source, long=chance.random() < 0.7)
    tune_second = chance.random() < 0.4
    sounding = Sounding(source)
    found: list[Sound] = []
    for onset, length in beats(source, step):
        tones = sorted(sounding.at(onset), key=lambda tone: (-tone.voice, tone.pitch))
        if tune_second and len(tones) > 2:
            tones = [tones[0], tones[-1], *tones[1:-1]]
        unit = step // (4 if len(tones) <= 4 else 8)
        for number, tone in enumerate(tones):
            name = role(tone.voice, source.voices)
            if (left := length - number * unit) > 0:
                at = onset + number * unit
                found.append(Sound(at, tone.pitch, (tone.voice,), (left,), name, WEIGHT[name]))
    return Texture(tuple(found), source.voices)
