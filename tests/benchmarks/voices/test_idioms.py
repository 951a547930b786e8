"""True answers by another hand: what hands and strings can do, and nothing of the source lost in silence."""

from __future__ import annotations

import ast
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.benchmarks.voices import split
from tests.benchmarks.voices.idioms import human, making, plan, storing, tastes
from tests.benchmarks.voices.idioms.making import Order
from tests.benchmarks.voices.idioms.model import Source

IDIOMS = [idiom for idiom in making.TEXTURES if idiom != "human"]
EVERY = [(idiom, habit, arranger) for idiom in IDIOMS for habit in tastes.HABITS for arranger in making.ARRANGERS]


def polyphony() -> Source:
    """A keyboard piece in three voices or more as its human editor printed it: from outside the project."""
    return human.as_source(next(edition for edition in human.editions("dev") if edition["voices"] >= 3))


@pytest.fixture(scope="module", params=EVERY, ids=str)
def made(request: pytest.FixtureRequest) -> dict[str, Any]:
    idiom, habit, arranger = request.param
    return making.make(polyphony(), Order(idiom, habit, arranger, 3))


def stops(record: dict[str, Any]) -> list[tuple[Fraction, dict[str, Any]]]:
    return [(Fraction(event["onset"]), stop) for event in record["events"] for stop in event["stops"]]


def test_what_sounds_is_where_it_is_stopped(made: dict[str, Any]) -> None:
    assert made["events"]
    for _, stop in stops(made):
        assert made["tuning"][stop["course"] - 1] + stop["fret"] == stop["sounding"]


def test_octaves_as_the_habit_has_them(made: dict[str, Any]) -> None:
    for _, stop in stops(made):
        down = stop["course"] in made["tuned_down"]
        assert stop["intended"] - stop["sounding"] in ((0, 12) if down else (0,))
        if made["habit"] == "lute" and down and not stop["filler"]:
            assert stop["intended"] - stop["sounding"] == 12


def test_the_hand(made: dict[str, Any]) -> None:
    """Four fingers, the first of which may lie across; five frets' reach (from memory); diapasons open."""
    for event in made["events"]:
        courses = [stop["course"] for stop in event["stops"]]
        assert len(set(courses)) == len(courses)
        assert not any(stop["fret"] for stop in event["stops"] if stop["course"] > made["fretted"])
        frets = [stop["fret"] for stop in event["stops"] if stop["fret"]]
        assert not frets or (max(frets) - min(frets) <= 5 and max(frets) <= 12)
        assert len(frets) <= 4 or sum(fret > min(frets) for fret in frets) <= 3


def test_a_course_rings_until_it_is_struck_again(made: dict[str, Any]) -> None:
    struck: dict[int, Fraction] = {}
    for onset, stop in reversed(stops(made)):
        assert all(Fraction(length) > 0 for length in stop["lengths"])
        if stop["course"] in struck:
            assert all(onset + Fraction(length) <= struck[stop["course"]] for length in stop["lengths"])
        struck[stop["course"]] = onset


def test_lengths_stand_beside_voices(made: dict[str, Any]) -> None:
    for _, stop in stops(made):
        assert len(stop["lengths"]) == max(1, len(stop["voices"]))
        assert stop["filler"] == (not stop["voices"])
        assert all(0 <= voice < made["voices"] for voice in stop["voices"])


@pytest.mark.parametrize("arranger", making.ARRANGERS)
@pytest.mark.parametrize("habit", tastes.HABITS)
@pytest.mark.parametrize("seed", range(3))
def test_every_note_of_the_source_is_played_or_listed(habit: str, arranger: str, seed: int) -> None:
    """Octaves may be folded, so pitches are compared by their classes: one move of time and pitch explains all."""
    source = polyphony()
    record = making.make(source, Order("human", habit, arranger, seed), own_values=True)
    found = {(onset, voice, stop["intended"] % 12) for onset, stop in stops(record) for voice in stop["voices"]}
    found |= {(Fraction(onset), voice, pitch % 12) for voice, onset, pitch in record["dropped"]}
    bars = [Fraction(length) for _, length in record["bars"]]
    starts = {making.written.whole_notes(onset) for onset, _ in source.bars}
    assert any(_moved(source, Fraction(start), sum(bars), move) == found for start in starts for move in range(12))


def _moved(source: Source, start: Fraction, length: Fraction | int, move: int) -> set[tuple[Fraction, int, int]]:
    """The notes that begin in a stretch of the source, in its time, transposed."""
    tones = [(Fraction(making.written.whole_notes(tone.onset)) - start, tone) for tone in source.tones]
    return {(at, tone.voice, (tone.pitch + move) % 12) for at, tone in tones if 0 <= at < length}


@pytest.mark.parametrize("idiom", IDIOMS)
def test_the_same_order_gives_the_same_bytes(idiom: str, tmp_path: Path) -> None:
    files = [tmp_path / "one.gz", tmp_path / "two.gz"]
    for file in files:
        storing.store(file, [making.make(polyphony(), Order(idiom, "mixed", "easiest", 5))])
    assert files[0].read_bytes() == files[1].read_bytes()
    storing.store(files[1], [making.make(polyphony(), Order(idiom, "mixed", "easiest", 6))])
    assert files[0].read_bytes() != files[1].read_bytes()


def test_training_hears_one_arranger_only() -> None:
    for number, (kind, _, _) in enumerate(split.entries("train")):
        assert {order.arranger for order in plan.orders("train", kind, number, 1, "easiest")} == {"easiest"}
    for part in ("dev", "test"):
        assert {order.arranger for order in plan.orders(part, "bach", 0, 1, "easiest")} == {"easiest", "window"}


def test_nothing_of_the_reader_nor_of_the_first_arranger_is_used() -> None:
    for path in Path(making.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            for name in names:
                assert not name.startswith("pipeline") or name.startswith("pipeline.model."), (path.name, name)
                assert "voices.arrange" not in name, (path.name, name)


def test_human_editions_are_split_by_whole_works_and_all_there() -> None:
    parts = {part: list(human.editions(part)) for part in ("train", "dev", "test")}
    works = {part: {edition["work"] for edition in found} for part, found in parts.items()}
    assert not works["train"] & (works["dev"] | works["test"]) and not works["dev"] & works["test"]
    assert sum(map(len, parts.values())) == 166  # as its README says
    assert all(parts.values())


def test_the_field_tablature_is_taken_over_stop_for_stop() -> None:
    """Lengths too, but for 19 of 21,595 stops that are printed longer than their string can sound: these are cut."""
    cut = total = 0
    for edition in (edition for part in ("train", "dev", "test") for edition in human.editions(part)):
        if not edition["tablature"]:
            continue
        record: dict[str, Any] = human.tablature(edition)
        for (onset, stop), (given, until) in zip(stops(record), _given(edition["tablature"]["events"]), strict=True):
            course, fret, sounding, voices, lengths = given
            assert (stop["course"], stop["fret"], stop["sounding"]) == (course, fret, sounding)
            assert record["tuning"][course - 1] + fret == sounding
            printed = {voice - 1: Fraction(length) for voice, length in zip(voices, lengths, strict=True)}
            kept = dict(zip(stop["voices"], map(Fraction, stop["lengths"]), strict=True))
            assert kept == {voice: min(length, until - onset) for voice, length in printed.items()}
            cut, total = cut + (kept != printed), total + 1
    assert (cut, total) == (19, 21595)


def _given(events: list[Any]) -> list[tuple[list[Any], Fraction]]:
    """Each stop of a field tablature with the next stroke on its course, in order of time and course."""
    found: list[tuple[list[Any], Fraction]] = []
    struck: dict[int, Fraction] = {}
    for onset, event in reversed(events):
        rows = sorted(event, key=lambda stop: stop[0], reverse=True)
        found += [(stop, struck.get(stop[0], Fraction(10**6))) for stop in rows]
        struck |= {stop[0]: Fraction(onset) for stop in event}
    return found[::-1]
