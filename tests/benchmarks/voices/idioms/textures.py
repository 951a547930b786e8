"""The vocal texture: the voices as they are."""

from __future__ import annotations

import random

from tests.benchmarks.voices.idioms.model import Sound, Source, Texture, Tone, role

WEIGHT = {"tune": 3.0, "bass": 4.0, "inner": 2.0}


def sounds(tones: list[Tone], voices: int) -> tuple[Sound, ...]:
    """Unisons struck together are one sound that its voices share."""
    together: dict[tuple[int, int], list[Tone]] = {}
    for tone in tones:
        together.setdefault((tone.onset, tone.pitch), []).append(tone)
    found = []
    for (onset, pitch), sharing in sorted(together.items(), key=lambda item: (item[0][0], -item[0][1])):
        lengths: dict[int, int] = {}
        for tone in sharing:
            lengths[tone.voice] = max(tone.length, lengths.get(tone.voice, 0))
        shared = tuple(sorted(lengths))
        roles = {role(voice, voices) for voice in shared}
        name = next(name for name in ("tune", "bass", "inner") if name in roles)
        weight = max(WEIGHT[name] for name in roles)
        found.append(Sound(onset, pitch, shared, tuple(lengths[voice] for voice in shared), name, weight))
    return tuple(found)


def vocal(source: Source, chance: random.Random) -> Texture:
    """All voices as they are."""
    return Texture(sounds(list(source.tones), source.voices), source.voices)
