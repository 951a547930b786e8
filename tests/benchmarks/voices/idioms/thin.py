"""Two voices that enter one after the other and rest now and then. Common practice, no source."""

from __future__ import annotations

import random

from tests.benchmarks.voices.idioms import fitting, textures
from tests.benchmarks.voices.idioms.model import Source, Texture


def thin(source: Source, chance: random.Random) -> Texture:
    """Two of the voices, each silent for some bars, never both; mostly one begins alone."""
    pair = (
        [0, source.voices - 1] if chance.random() < 0.6 else chance.sample(range(source.voices), min(2, source.voices))
    )
    two = fitting.keep_voices(source, pair)
    tones = set(two.tones)
    silent = chance.randrange(2)
    place = chance.choice((0, 0, 3))
    while place < len(two.bars) - 1 and two.voices == 2:
        last = min(len(two.bars) - 1, place + chance.randint(0, 2))
        start, end = two.bars[place][0], sum(two.bars[last])
        tones -= {tone for tone in tones if tone.voice == silent and start <= tone.onset < end}
        silent, place = chance.randrange(2), last + chance.randint(3, 8)
    kept = sorted(tones, key=lambda tone: (tone.onset, tone.voice, -tone.pitch))
    return Texture(textures.sounds(kept, two.voices), two.voices)
