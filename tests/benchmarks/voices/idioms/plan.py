"""Which pieces are made: how often each work is arranged, in which idioms and by whom."""

from __future__ import annotations

import random
from collections.abc import Iterator

from tests.benchmarks.voices import split
from tests.benchmarks.voices.idioms import making, sources, tastes
from tests.benchmarks.voices.idioms.making import Order
from tests.benchmarks.voices.idioms.written import Record

#: Turns of each training piece: kinds with few pieces more often.
TURNS = {"palestrina": 1, "bach": 3, "monteverdi": 9, "other": 9}
#: A piece of fewer stops teaches nothing; one that lost more of its notes is no arrangement.
FEWEST, LOST = 24, 0.2


def pieces(part: str, seed: int, arranger: str) -> Iterator[Record]:
    """Every record of the part; of the training part by the one ``arranger``."""
    for number, (kind, work, name) in enumerate(split.entries(part)):
        source = sources.source(work, name)
        for order in orders(part, kind, number, seed, arranger):
            record = making.make(source, order)
            if serves(record):
                yield record


def orders(part: str, kind: str, number: int, seed: int, arranger: str) -> Iterator[Order]:
    """What is asked of a piece. Training: in each turn a habit by rotation and the other idioms by lot; else every
    habit by both arrangers, and other idioms by lot."""
    chance = random.Random(f"{part} {number} {seed}")
    others = [idiom for idiom in making.TEXTURES if idiom not in ("vocal", "human")]
    if part == "train":
        for turn in range(TURNS[kind]):
            yield Order("vocal", tastes.HABITS[(number + turn) % 3], arranger, seed * 100 + turn)
            if others:
                yield Order(chance.choice(others), chance.choice(tastes.HABITS), arranger, seed * 100 + turn)
        return
    for either in making.ARRANGERS:
        for habit in tastes.HABITS:
            yield Order("vocal", habit, either, seed * 100)
        for idiom in chance.sample(others, min(2, len(others))):
            yield Order(idiom, chance.choice(tastes.HABITS), either, seed * 100)


def serves(record: Record) -> bool:
    """Whether there is enough to learn from, and most of the music is still in it."""
    events, dropped = record["events"], record["dropped"]
    assert isinstance(events, list) and isinstance(dropped, list)
    stops = sum(len(event["stops"]) for event in events)
    return stops >= FEWEST and len(dropped) <= LOST * (stops + len(dropped))
