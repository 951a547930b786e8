"""One piece made: source, idiom, habit, arranger and seed in, a record out."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from pipeline.model.record import replace
from tests.benchmarks.voices.idioms import (
    broken,
    divisions,
    easiest,
    fitting,
    instruments,
    songs,
    strums,
    tastes,
    textures,
    thin,
    window,
    written,
)
from tests.benchmarks.voices.idioms.model import Place, Source, Strung, Texture

#: Idioms by name: what is to be played of a source.
TEXTURES: dict[str, Callable[[Source, random.Random], Texture]] = {
    "vocal": textures.vocal,
    "human": textures.vocal,
    "broken": broken.broken,
    "divisions": divisions.divisions,
    "bells": divisions.bells,
    "strums": strums.strums,
    "song": songs.song,
    "thin": thin.thin,
}
ARRANGERS = ("easiest", "window")
#: Notes of the source at most, where an idiom makes many notes of one.
NOTES = {"broken": 160, "strums": 200, "divisions": 260, "bells": 260, "human": 500}


@dataclass(frozen=True, slots=True)
class Order:
    """What is asked for."""

    idiom: str
    habit: str
    arranger: str
    seed: int


def make(source: Source, order: Order, own_values: bool = False) -> written.Record:
    """The piece arranged; the same order gives the same record. ``own_values`` keeps the source's note values."""
    chance = random.Random(f"{source.name} {order}")
    strung = instruments.draw(chance, re_entrant=order.habit != "literal" or chance.random() < 0.6)
    taste = tastes.draw(chance)
    cut = fitting.excerpt(source, chance, NOTES.get(order.idiom, fitting.NOTES))
    cut = cut if own_values else with_values(cut, chance)
    cut = some_voices(cut, chance) if order.idiom == "vocal" else cut
    moved = cut.moved(fitting.transposition(cut, strung, order.habit, chance))
    strung = instruments.scaled(strung, moved)
    fitted = fitting.folded(moved, strung, order.habit, taste, chance)
    texture = TEXTURES[order.idiom](fitted, chance)
    places = _place(texture, fitted, strung, taste, order, chance)
    if order.idiom == "strums":
        texture, places = strums.doubled(texture, places, strung, taste.reach, chance.choice((1, 2, 6)))
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
    if order.idiom == "bells":
        taste = replace(taste, cut=5.0)
    octaves = tastes.octaves(order.habit, texture.sounds, source, chance)
    return easiest.place(texture, strung, taste, octaves, chance)


def with_values(source: Source, chance: random.Random) -> Source:
    """In the note values of tablature, now and then twice as long or short."""
    source = fitting.values(source)
    lot = chance.random()
    return fitting.stretched(source, 2, 1) if lot < 0.1 else fitting.stretched(source, 1, 2) if lot < 0.2 else source


def some_voices(source: Source, chance: random.Random) -> Source:
    """Now and then without one voice, or with two only."""
    if source.voices > 2 and chance.random() < 0.25:
        left = chance.choice((source.voices - 1, source.voices - 1, 2))
        return fitting.keep_voices(source, chance.sample(range(source.voices), left))
    return source
