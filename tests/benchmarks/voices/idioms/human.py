"""What human editors printed, as lessons: in the tablature that comes with it, and arranged for other instruments.

The parts hold whole works, dealt out by a hash of the work's name.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import random
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from pipeline.model.presets import find_preset
from pipeline.model.time import WHOLE
from tests.benchmarks.voices.idioms import instruments, making, tastes
from tests.benchmarks.voices.idioms.making import Order
from tests.benchmarks.voices.idioms.model import Place, Sound, Source, Strung, Texture, Tone, role, signature
from tests.benchmarks.voices.idioms.plan import serves
from tests.benchmarks.voices.idioms.written import Record, record

EDITIONS = Path(__file__).parents[3] / "data" / "human" / "editions.jsonl.gz"

#: The guitar of the tablatures (common practice, no source).
GUITARS = {
    "guitar": Strung("guitar", (64, 59, 55, 50, 45, 40), 6, ()),
    "guitar, 6 = D": Strung("guitar, 6 = D", (64, 59, 55, 50, 45, 38), 6, ()),
}
Edition = dict[str, Any]


def part_of(work: str) -> str:
    """``train``, ``dev`` or ``test``: seven works of ten, one, two."""
    lot = hashlib.sha256(work.encode()).digest()[0] / 256
    return "train" if lot < 0.7 else "dev" if lot < 0.8 else "test"


def editions(part: str) -> Iterator[Edition]:
    """The editions of a part, in order."""
    with gzip.open(EDITIONS, "rt", encoding="utf-8") as lines:
        for line in lines:
            edition = json.loads(line)
            if part_of(edition["work"]) == part:
                yield edition


def pieces(part: str, seed: int) -> Iterator[Record]:
    """Each edition in its tablature, then arranged for instruments drawn by lot: thrice by ``easiest`` for training,
    else once by each arranger in each habit."""
    chance = random.Random(f"{part} {seed}")
    for edition in editions(part):
        if edition["tablature"]:
            yield tablature(edition)
        source = as_source(edition)
        arrangers = ("easiest",) if part == "train" else making.ARRANGERS
        for arranger in arrangers:
            for habit in tastes.HABITS:
                made = making.make(source, Order("human", habit, arranger, chance.randrange(10**6)), own_values=True)
                if serves(made):
                    yield made


def ticks(text: str) -> int:
    """A fraction of a whole note in ticks."""
    return round(Fraction(text) * WHOLE)


def as_source(edition: Edition) -> Source:
    """The notes, ties joined."""
    tones: list[Tone] = []
    tied: dict[tuple[int, int], int] = {}
    for onset, length, pitch, _, voice, _, tied_on in sorted(edition["notes"], key=lambda n: (ticks(n[0]), n[4], n[2])):
        at, key = ticks(onset), (voice, pitch)
        before = tied.pop(key, None)
        if before is not None and tones[before].end == at:
            tones[before] = Tone(voice - 1, tones[before].onset, tones[before].length + ticks(length), pitch)
        else:
            before = len(tones)
            tones.append(Tone(voice - 1, at, ticks(length), pitch))
        if tied_on:
            tied[key] = before
    tones = [tone for tone in tones if tone.length > 0]
    return Source(
        edition["name"],
        edition["work"],
        tuple(sorted(tones, key=lambda tone: (tone.onset, tone.voice, -tone.pitch))),
        tuple((ticks(bar["onset"]), ticks(bar["length"])) for bar in edition["bars"]),
        _metre(edition),
        edition["keys"][0]["fifths"] if edition["keys"] else 0,
        max(tone.voice for tone in tones) + 1,
    )


def _metre(edition: Edition) -> tuple[tuple[int, int, int], ...]:
    found: list[tuple[int, int, int]] = []
    for bar in edition["bars"]:
        beats, unit = (int(number) for number in bar["metre"].split("/"))
        if not found or found[-1][1:] != (beats, unit):
            found.append((ticks(bar["onset"]), beats, unit))
    return tuple(found)


def tablature(edition: Edition) -> Record:
    """The tablature that comes with an edition; what is not in it is not known to be missing, so none is listed."""
    given = edition["tablature"]
    source = as_source(edition)
    strung = _strung(given["instrument"], given["bass"])
    sounds: list[Sound] = []
    places: dict[int, Place] = {}
    for onset, stops in given["events"]:
        for course, fret, sounding, voices, lengths in stops:
            places[len(sounds)] = Place(course, fret, sounding)
            pairs = sorted(zip((voice - 1 for voice in voices), map(ticks, lengths), strict=True))
            names = {role(voice, source.voices) for voice, _ in pairs}
            name = next(name for name in ("tune", "bass", "inner") if name in names)
            sounds.append(Sound(ticks(onset), sounding, tuple(v for v, _ in pairs), tuple(n for _, n in pairs), name))
    moved = source.moved(given["shift"])
    written = record(moved, strung, Texture(tuple(sounds), source.voices), places)
    assert written["fifths"] == signature(source.fifths, given["shift"])
    about = {"idiom": "human", "habit": "none", "arranger": "field", "seed": 0, "kind": edition["kind"]}
    return {**written, **about}


def _strung(name: str, bass: list[int]) -> Strung:
    if name in GUITARS:
        return GUITARS[name]
    preset = find_preset(name)
    if preset is None:
        raise ValueError(f"no preset is called {name}")
    usual = instruments.strung(preset.instrument)
    return Strung(name, (*usual.courses[: usual.stopped], *bass), usual.stopped, usual.tuned_down)
