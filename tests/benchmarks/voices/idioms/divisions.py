"""Runs over what is held, and bells: the same runs, each note on another course than the one before.

A run fills a long note of the tune or of the bass with steps of the scale to the next note. Truth: one voice, each
note as long as its value, in bells too, though the strings ring on. Common practice, no source.
"""

from __future__ import annotations

import random
from bisect import bisect_right

from pipeline.model.time import WHOLE
from tests.benchmarks.voices.idioms import textures
from tests.benchmarks.voices.idioms.model import Sound, Source, Texture, Tone
from tests.benchmarks.voices.idioms.slices import scale, walk

#: Notes of a run at most; what lasts longer, as a final long does, is held.
LONGEST = 16


def divisions(source: Source, chance: random.Random) -> Texture:
    """In each bar the tune runs, or the bass, or none."""
    return _set(source, chance, value=chance.choice((8, 16, 16)), of_bass=0.25, ring=1)


def bells(source: Source, chance: random.Random) -> Texture:
    """The tune runs, and its notes should ring over one another."""
    return _set(source, chance, value=chance.choice((8, 8, 16)), of_bass=0.0, ring=3)


def _set(source: Source, chance: random.Random, value: int, of_bass: float, ring: int) -> Texture:
    unit, bass = WHOLE // value, source.voices - 1
    plain = chance.choice((0.1, 0.3))
    bars = [onset for onset, _ in source.bars]
    runner = [-1 if chance.random() < plain else bass if chance.random() < of_bass else 0 for _ in range(len(bars) + 1)]
    chosen = {tone for tone in source.tones if runner[bisect_right(bars, tone.onset)] == tone.voice}
    runs: list[Tone] = []
    for voice in {0, bass}:
        line = source.line(voice)
        for tone, after in zip(line, [*line[1:], line[-1]], strict=True) if line else ():
            if tone in chosen and tone.length % unit == 0 and 2 <= tone.length // unit <= LONGEST:
                runs += run(tone, after.pitch, unit, source.fifths, up_first=chance.random() < 0.5)
            else:
                chosen.discard(tone)
    held = [tone for tone in source.tones if tone not in chosen]
    found = textures.sounds(held + runs, source.voices)
    running = {(tone.onset, tone.voice) for tone in runs}
    return Texture(tuple(_ringing(sound, running, ring * unit) for sound in found), source.voices)


def run(tone: Tone, goal: int, unit: int, fifths: int, up_first: bool) -> list[Tone]:
    """The long note as a run of notes of ``unit`` ticks that leads to ``goal``."""
    pitches = walk(tone.pitch, goal, tone.length // unit, scale(fifths), up_first)
    return [Tone(tone.voice, tone.onset + place * unit, unit, pitch) for place, pitch in enumerate(pitches)]


def _ringing(sound: Sound, running: set[tuple[int, int]], ring: int) -> Sound:
    if ring > max(sound.lengths) and any((sound.onset, voice) in running for voice in sound.voices):
        return Sound(sound.onset, sound.pitch, sound.voices, sound.lengths, sound.role, sound.weight, ring)
    return sound
