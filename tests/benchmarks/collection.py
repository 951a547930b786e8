"""Invented pieces of mixed kinds, in any number: the same number gives the same pieces. The music means nothing; its
density, its signs and its lengths are those of the demo anthology."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

BARS = 60
_LETTERS = "abcdefghi"
_VOWELS = ("la", "dol", "mor", "ce", "spi", "ra", "ven", "to", "ro", "sa")


def write_collection(folder: Path, pieces: int, bars: int = BARS) -> None:
    """A collection of its own, ten folders wide, each with a heading."""
    (folder / ".git").mkdir(parents=True)
    for number in range(pieces):
        shelf = folder / f"shelf{number % 10}"
        if not shelf.is_dir():
            shelf.mkdir()
            (shelf / "heading.intav").write_text("longneck 1\npitch 415\n", encoding="utf-8")
        (shelf / f"{number:04d}.intav").write_text(piece(number, bars), encoding="utf-8")


def piece(number: int, bars: int = BARS) -> str:
    """One piece as typed; its kind follows from its number."""
    rng = random.Random(number)
    heading, bar = _KINDS[number % len(_KINDS)]
    lines = [line for place in range(bars) for line in bar(rng, place == bars - 1)]
    return f"longneck 1\ntitle {_NAMES[number % len(_NAMES)]} {number}\n{heading}\n" + "\n".join(lines) + "\n"


def _toccata(rng: random.Random, last: bool) -> list[str]:
    """Theorbo: a chord over a diapason, runs, and spread chords."""
    if last:
        return ["| 1=7,4:0,3:0 |||"]
    chord = f"{rng.choice('789X')},4:{rng.randrange(4)},3:{rng.randrange(3)}"
    if rng.random() < 0.3:
        return [f"| 2={chord} {rng.choice('789X')},5:{rng.randrange(4)},4:{rng.randrange(4)},3:{rng.randrange(3)}"]
    run = " ".join(f"{rng.choice('123')}:{rng.randrange(5)}" for _ in range(7))
    return [f"| 8={chord} {run}"]


def _dance(rng: random.Random, last: bool) -> list[str]:
    """Lute in D minor, French letters: broken chords over a bass."""
    if last:
        return ["| 1=a,3a,2a,1a |||"]
    words = []
    for half in range(2):
        bass = rng.choice(("a", "/a", "//a", "6a", "5a"))
        words += [f"{bass},{rng.randrange(1, 3)}{rng.choice(_LETTERS[:5])}"]
        words += [f"{rng.randrange(1, 5)}{rng.choice(_LETTERS[:6])}" for _ in range(3)]
        del half
    return ["| 8=" + " ".join(words)]


def _fantasia(rng: random.Random, last: bool) -> list[str]:
    """Lute in G, Italian figures: two voices in crotchets and quavers."""
    if last:
        return ["| 1=6:0,4:2,2:0 |||"]
    words = []
    for place in range(4):
        upper, lower = rng.randrange(1, 3), rng.randrange(4, 7)
        sign = "4=" if place == 0 else "8=" if place == 3 else ""
        words.append(f"{sign}{lower}:{rng.randrange(4)},{upper}:{rng.randrange(6)}")
    words.append(f"{rng.randrange(1, 4)}:{rng.randrange(6)}")
    return ["| " + " ".join(words)]


def _song(rng: random.Random, last: bool) -> list[str]:
    """A voice with words over chords of the theorbo."""
    if last:
        return ["| 1=7,4:0,3:0 |||", "v 1=G4", "1 fin."]
    notes = [rng.choice("GAB") + "4" if rng.random() < 0.6 else rng.choice("CDE") + "5" for _ in range(4)]
    bass = rng.choice("789X")
    return [
        f"| 2={bass},4:{rng.randrange(4)},3:{rng.randrange(3)} {rng.choice('789X')},5:{rng.randrange(4)},3:0",
        "v 4=" + " ".join(notes),
        "1 " + " ".join(rng.choice(_VOWELS) for _ in notes),
    ]


_NAMES = ("Toccata", "Courante", "Fantasia", "Aria")
_KINDS: tuple[tuple[str, Callable[[random.Random, bool], list[str]]], ...] = (
    ("instrument theorbo in A\nmetre C\nkey D minor\n", _toccata),
    ("instrument lute in D minor, 11 courses\nsigns french\nmetre C\nkey D minor\n", _dance),
    ("instrument lute in G, 6 courses\nmetre C\nkey G minor\n", _fantasia),
    ("instrument theorbo in A\nmetre C\nkey G major\nlayer v = Canto, clef C1\n", _song),
)
