"""Chords struck with the hand, up and down, with the courses that lie free struck as well.

Voices hold their notes as the chord has them; what is doubled on free courses belongs to no voice. Common practice,
no source.
"""

from __future__ import annotations

import random

from pipeline.model.record import replace
from tests.benchmarks.voices.idioms.model import Place, Sound, Source, Strung, Texture, role, sounds_by_onset
from tests.benchmarks.voices.idioms.slices import Sounding, beats, pulse
from tests.benchmarks.voices.idioms.textures import WEIGHT, vocal

#: How a beat is struck, in quarters of it.
RHYTHMS = ((4,), (2, 2), (2, 1, 1), (1, 1, 2), (3, 1))


def strums(source: Source, chance: random.Random) -> Texture:
    """Each beat's chord in a rhythm; some bars as the voices have them."""
    step = pulse(source, long=chance.random() < 0.4)
    liked = chance.sample(RHYTHMS, 2)
    plain = chance.choice((0.0, 0.2, 0.5))
    sounding = Sounding(source)
    found: list[Sound] = []
    marks: dict[int, str] = {}
    voices = vocal(source, chance).sounds
    for onset, length in source.bars:
        if chance.random() < plain:
            found += [sound for sound in voices if onset <= sound.onset < onset + length]
            continue
        bar = replace(source, bars=((onset, length),))
        for at, lasts in beats(bar, step):
            rhythm = chance.choice(liked)
            struck = at
            for number, share in enumerate(rhythm if lasts == step else (4,)):
                value = lasts * share // 4
                chord = _chord(sounding, at, struck, value, source.voices)
                found += chord
                if len(chord) > 2:
                    marks[struck] = "d" if number % 2 == 0 else "u"
                struck += value
    return Texture(tuple(found), source.voices, tuple(sorted(marks.items())))


def _chord(sounding: Sounding, at: int, struck: int, value: int, voices: int) -> list[Sound]:
    shared: dict[int, list[int]] = {}
    for tone in sounding.at(at):
        shared.setdefault(tone.pitch, []).append(tone.voice)
    chord = []
    for pitch, of_voices in sorted(shared.items(), reverse=True):
        names = [role(voice, voices) for voice in of_voices]
        name = next(name for name in ("tune", "bass", "inner") if name in names)
        chord.append(Sound(struck, pitch, tuple(of_voices), (value,) * len(of_voices), name, WEIGHT[name]))
    return chord


def doubled(
    texture: Texture, places: dict[int, Place], strung: Strung, reach: int, most: int
) -> tuple[Texture, dict[int, Place]]:
    """Free stopped courses above the lowest struck one take a note of the chord that lies under the hand: open, or
    within ``reach`` frets of what is stopped; ``most`` of them at a stroke."""
    sounds, placed = list(texture.sounds), dict(places)
    marked = dict(texture.marks)
    for onset, indices in sounds_by_onset(texture):
        struck = [index for index in indices if index in places]
        if onset not in marked or not struck:
            continue
        length = max(max(texture.sounds[index].lengths) for index in struck)
        for spot in _free([places[index] for index in struck], strung, reach)[:most]:
            placed[len(sounds)] = spot
            sounds.append(Sound(onset, spot.sounding, (), (length,), "inner", 1.0, filler=True))
    return replace(texture, sounds=tuple(sounds)), placed


def _free(struck: list[Place], strung: Strung, reach: int) -> list[Place]:
    classes = {spot.sounding % 12 for spot in struck}
    taken = {spot.course for spot in struck}
    frets = [spot.fret for spot in struck if spot.fret]
    found: list[Place] = []
    for course in range(1, min(max(taken), strung.stopped)):
        if course in taken:
            continue
        for fret in range(0, 8):
            near = not fret or all(abs(fret - other) <= reach for other in frets)
            if near and _fingers(frets, fret) and (strung.courses[course - 1] + fret) % 12 in classes:
                found.append(Place(course, fret, strung.courses[course - 1] + fret))
                frets += [fret] if fret else []
                break
    return found


def _fingers(frets: list[int], fret: int) -> bool:
    """Whether one more stop leaves the hand with four fingers, the first laid across its fret if need be."""
    stopped = [*frets, fret] if fret else frets
    return len(stopped) <= 4 or sum(other > min(stopped) for other in stopped) <= 3
