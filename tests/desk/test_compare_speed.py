"""Comparing takes time in proportion to the pieces, whether they are alike or not."""

from __future__ import annotations

import gc
import random
import time

import pytest

from pipeline.desk.compare.content import PieceContent
from pipeline.desk.compare.contents import content_of
from pipeline.desk.compare.differ import differences
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve
from tests.desk.test_compare import HEAD
from tests.made import text
from tests.pace import slowness


def _long(bars: int, chance: random.Random) -> list[str]:
    def event() -> str:
        courses = sorted(chance.sample(range(1, 7), chance.randint(1, 3)), reverse=True)
        return ",".join(f"{course}:{chance.randint(0, 5)}" for course in courses)

    return ["| 4=" + " ".join(event() for _ in range(4)) for _ in range(bars)]


def _facts(bars: list[str]) -> PieceContent:
    tablature = parse(text("\n".join(bars), HEAD)).value
    return content_of(resolve(tablature, declare(tablature).value).value)


def _changed(bars: list[str], every: int) -> list[str]:
    return [bar.replace(":", ":1", 1) if number % every == 0 else bar for number, bar in enumerate(bars)]


def _seconds(one: PieceContent, two: PieceContent, times: int = 1) -> float:
    """Of the processor, so that a busy machine does not count; the least of so many times. Garbage is not collected
    meanwhile: what the whole test run holds would be counted too."""
    took = []
    gc.disable()
    try:
        for _ in range(times):
            start = time.process_time()
            differences(one, two)
            took.append(time.process_time() - start)
    finally:
        gc.enable()
    return min(took)


@pytest.mark.parametrize("case", ["same", "a tenth changed", "all changed", "a ground"])
def test_five_thousand_bars_in_three_seconds(case: str) -> None:
    """20,000 events a side."""
    chance = random.Random(3)
    bars = _long(5000, chance)
    other = bars
    match case:
        case "a tenth changed":
            other = [bar for number, bar in enumerate(_changed(bars, 10)) if number % 97]
        case "all changed":
            other = _changed(bars, 1)
        case "a ground":
            bars = bars[:4] * 1250
            other = _changed(bars, 7)[3:]
    took = _seconds(_facts(bars), _facts(other))
    assert took < 3 or took < 3 * slowness()


@pytest.mark.parametrize("alike", [True, False])
def test_time_is_linear(alike: bool) -> None:
    """Also of pieces that have nothing in common."""
    chance = random.Random(5)
    bars = _long(4000, chance)
    other = _changed(bars, 5) if alike else _long(4000, chance)
    short, long = (_seconds(_facts(bars[:size]), _facts(other[:size]), times=3) for size in (1000, 4000))
    assert long < 8 * short, "four times the bars: about four times the time"


def test_one_bar_of_thousands_of_events() -> None:
    bars = _long(1500, random.Random(9))
    one, two = (_facts(["|> " + " ".join(bar[2:] for bar in side)]) for side in (bars, _changed(bars, 11)))
    took = _seconds(one, two)
    assert took < 3 or took < 3 * slowness()
