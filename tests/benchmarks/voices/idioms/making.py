"""One piece made: source, idiom, habit, arranger and seed in, a record out."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from tests.benchmarks.voices.idioms import easiest, fitting, instruments, tastes, textures, window, written
from tests.benchmarks.voices.idioms.model import Place, Source, Strung, Texture

#: Idioms by name: what is to be played of a source.
TEXTURES: dict[str, Callable[[Source, random.Random], Texture]] = {"vocal": textures.vocal}
ARRANGERS = ("easiest", "window")


@dataclass(frozen=True, slots=True)
class Order:
    """What is asked for."""

    idiom: str
    habit: str
    arranger: str
    seed: int


def make(source: Source, order: Order) -> written.Record:
    """The piece arranged; the same order gives the same record."""
    chance = random.Random(f"{source.name} {order}")
    strung = instruments.draw(chance, re_entrant=order.habit != "literal" or chance.random() < 0.6)
    taste = tastes.draw(chance)
    cut = varied(fitting.excerpt(source, chance), chance)
    moved = cut.moved(fitting.transposition(cut, strung, order.habit, chance))
    strung = instruments.scaled(strung, moved)
    fitted = fitting.folded(moved, strung, order.habit, taste, chance)
    texture = TEXTURES[order.idiom](fitted, chance)
    places = _place(texture, fitted, strung, taste, order, chance)
    return {
        **written.record(fitted, strung, texture, places),
        "idiom": order.idiom,
        "habit": order.habit if strung.tuned_down else "none",
        "arranger": order.arranger,
        "seed": order.seed,
    }


def _place(
    texture: Texture, source: Source, strung: Strung, taste: tastes.Taste, order: Order, chance: random.Random
) -> dict[int, Place]:
    if order.arranger == "window":
        return window.place(texture, strung, order.habit, chance)
    octaves = tastes.octaves(order.habit, texture.sounds, source, chance)
    return easiest.place(texture, strung, taste, octaves, chance)


def varied(source: Source, chance: random.Random) -> Source:
    """In the note values of tablature; now and then with other values, or with some voices only."""
    source = fitting.values(source)
    lot = chance.random()
    if lot < 0.1:
        source = fitting.stretched(source, 2, 1)
    elif lot < 0.2:
        source = fitting.stretched(source, 1, 2)
    if source.voices > 2 and chance.random() < 0.25:
        left = chance.choice((source.voices - 1, source.voices - 1, 2))
        source = fitting.keep_voices(source, chance.sample(range(source.voices), left))
    return source
