"""Instruments as tuned for a piece, drawn from the presets."""

from __future__ import annotations

import random
from collections import Counter

from pipeline.model.instrument import Instrument
from pipeline.model.presets import PRESETS
from pipeline.model.record import replace
from tests.benchmarks.voices.idioms.model import Source, Strung

#: How often each preset is drawn: theorbos first, since their octaves are the question (from memory).
OFTEN = {
    "theorbo in A": 10,
    "theorbo in G": 5,
    "theorbo in G, first course re-entrant": 1,
    "théorbe de pièces in D": 1,
    "tiorbino in A": 1,
    "archlute in G": 3,
    "lute in G, 6 courses": 1,
    "lute in G, 7 courses": 1,
    "lute in G, 7 courses, low D": 1,
    "lute in G, 8 courses": 1,
    "lute in G, 10 courses": 1,
    "lute in D minor, 11 courses": 1,
    "lute in D minor, 13 courses": 1,
}

#: Steps that a diapason may be moved from its usual tuning, by pitch class: a letter is natural, or altered as was
#: usual (from memory): F or F sharp, C or C sharp, G or G sharp, E or E flat, B or B flat, A or A flat.
LETTERS = {5: (0, 1), 6: (0, -1), 0: (0, 1), 7: (0, 1), 4: (0, -1), 3: (0, 1), 11: (0, -1), 10: (0, 1), 9: (0, -1)}


def strung(instrument: Instrument) -> Strung:
    """The preset as its name has it."""
    courses = tuple(course.pitch.semitones for course in instrument.courses)
    return Strung(instrument.name, courses, instrument.stopped, instrument.re_entrant)


def draw(chance: random.Random, re_entrant: bool) -> Strung:
    """An instrument of those named above; ``re_entrant`` asks for one with courses tuned down."""
    choice = [strung(preset.instrument) for preset in PRESETS if preset.instrument.name in OFTEN]
    if re_entrant:
        choice = [found for found in choice if found.tuned_down]
    return chance.choices(choice, [OFTEN[found.name] for found in choice])[0]


def scaled(instrument: Strung, source: Source) -> Strung:
    """Each diapason tuned natural or altered, whichever note the bass has more of, then the other voices."""
    bass = Counter(tone.pitch for tone in source.tones if tone.voice == source.voices - 1)
    classes = Counter(tone.pitch % 12 for tone in source.tones)
    tuned = []
    for usual in instrument.courses[instrument.stopped :]:
        choice = [usual + step for step in LETTERS.get(usual % 12, (0,))]
        tuned.append(max(choice, key=lambda pitch: (bass[pitch], classes[pitch % 12], pitch == usual)))
    return replace(instrument, courses=(*instrument.courses[: instrument.stopped], *tuned))
