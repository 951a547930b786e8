"""What players like, drawn anew for each piece, and which octave their habit asks for on courses tuned down."""

from __future__ import annotations

import random
from dataclasses import dataclass

from tests.benchmarks.voices.idioms.model import INFINITE, Sound, Source

HABITS = ("literal", "lute", "mixed")
FOLDS = ("leave out", "note", "phrase")
MIXTURES = ("ease", "role", "section", "course", "line")

#: For each sound what it costs at pitch on a course tuned down, and an octave low on the first and the second.
Octaves = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Taste:
    """Costs in arbitrary units, larger is harder; ``reach`` and ``highest`` in frets."""

    fret: float
    stopping: float
    shift: float
    span: float
    cut: float
    whim: float
    low_course: float
    reach: int
    highest: int
    fold: str
    deep: float


def draw(chance: random.Random) -> Taste:
    """A player."""
    return Taste(
        fret=chance.uniform(0.05, 0.7),
        stopping=chance.uniform(0.0, 1.2),
        shift=chance.choice((0.1, 0.3, 0.6, 1.2)),
        span=chance.uniform(0.1, 0.9),
        cut=chance.choice((0.3, 1.0, 2.0, 4.0)),
        whim=chance.choice((0.0, 0.2, 0.6, 1.5)),
        low_course=chance.uniform(-0.25, 0.25),
        reach=chance.choice((3, 4, 4, 5)),
        highest=chance.choice((7, 9, 10, 12)),
        fold=chance.choice(FOLDS),
        deep=chance.choice((0.0, 0.0, 0.2, 0.5)),
    )


def octaves(habit: str, sounds: tuple[Sound, ...], source: Source, chance: random.Random) -> list[Octaves]:
    """For each sound what the habit makes of its octave."""
    if habit == "literal":
        resort = chance.choice((6.0, 10.0, INFINITE))
        return [(0.0, resort, resort)] * len(sounds)
    if habit == "lute":
        return [(INFINITE, 0.0, 0.0)] * len(sounds)
    return _mixed(chance.choice(MIXTURES), sounds, source, chance)


def _mixed(mixture: str, sounds: tuple[Sound, ...], source: Source, chance: random.Random) -> list[Octaves]:
    liking, other = chance.uniform(-2.0, 1.5), chance.uniform(-2.0, 1.5)
    if mixture == "ease":
        return [(0.0, liking, other)] * len(sounds)
    if mixture == "course":
        lows = [(0.0, -1.5, 6.0), (0.0, 6.0, -1.5)]
        return [chance.choice(lows)] * len(sounds)
    low, true = (chance.uniform(1.0, 5.0), 0.0, 0.0), (0.0, chance.uniform(1.0, 5.0), chance.uniform(1.0, 5.0))
    if mixture == "role":
        of_role = {name: chance.choice((low, true, (0.0, liking, liking))) for name in ("tune", "inner", "bass")}
        return [of_role[sound.role] for sound in sounds]
    if mixture == "section":
        return _sections(sounds, source, chance, low, true)
    return _lines(sounds, chance, low, true)


def _sections(
    sounds: tuple[Sound, ...], source: Source, chance: random.Random, low: Octaves, true: Octaves
) -> list[Octaves]:
    """A few bars as on a lute, a few at pitch, in turns."""
    turns: list[int] = []
    left = 0
    for onset, _ in source.bars:
        if left == 0:
            turns.append(onset)
            left = chance.randint(2, 8)
        left -= 1
    first = chance.randrange(2)
    return [(low, true)[(first + sum(turn <= sound.onset for turn in turns)) % 2] for sound in sounds]


def _lines(sounds: tuple[Sound, ...], chance: random.Random, low: Octaves, true: Octaves) -> list[Octaves]:
    """Each voice keeps to one way for a while."""
    stay = chance.choice((0.8, 0.9, 0.97))
    now: dict[int, Octaves] = {}
    found = []
    for sound in sounds:
        voice = sound.voices[0] if sound.voices else -1
        if voice not in now or chance.random() > stay:
            now[voice] = chance.choice((low, true))
        found.append(now[voice])
    return found
