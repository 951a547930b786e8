"""The accompaniment of a song: the tune is sung, the bass is typed, the other voices make chords over it.

A chord is struck with each bass note, and again where a bass note is long. Common practice, no source.
"""

from __future__ import annotations

import random

from tests.benchmarks.voices.idioms.model import Sound, Source, Texture, Tone
from tests.benchmarks.voices.idioms.slices import Sounding, pulse
from tests.benchmarks.voices.idioms.textures import WEIGHT


def song(source: Source, chance: random.Random) -> Texture:
    """Bass and chords; the tune is left to the singer, or doubled now and then by the top of the chords."""
    bass = source.voices - 1
    doubles = chance.random() < 0.3 or source.voices < 3
    upper = [voice for voice in range(bass) if voice or doubles]
    step = pulse(source, long=True)
    again = chance.random() < 0.6
    sounding = Sounding(source)
    found: list[Sound] = []
    for tone in source.line(bass):
        found.append(Sound(tone.onset, tone.pitch, (len(upper),), (tone.length,), "bass", WEIGHT["bass"]))
        moments = [tone.onset]
        if again and tone.length >= 2 * step:
            moments += range(tone.onset + step, tone.end, step)
        for at, until in zip(moments, [*moments[1:], tone.end], strict=True):
            found += _chord([t for t in sounding.at(at) if t.voice in upper], at, until - at, upper)
    order = sorted(found, key=lambda sound: (sound.onset, -sound.pitch))
    return Texture(tuple(order), len(upper) + 1, typed_bass=source.line(bass))


def _chord(tones: list[Tone], at: int, length: int, upper: list[int]) -> list[Sound]:
    shared: dict[int, list[int]] = {}
    for tone in tones:
        shared.setdefault(tone.pitch, []).append(upper.index(tone.voice))
    return [
        Sound(at, pitch, tuple(voices), (length,) * len(voices), "inner" if voices[0] else "tune", WEIGHT["inner"])
        for pitch, voices in shared.items()
    ]
