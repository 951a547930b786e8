"""What the reader learns from: tablatures with the reading that is true for them, as plain arrays.

Three sources: scores arranged for the instrument (``arrange.py``), the same arrangements broken up, struck as blocks
or set over a bass (``breaking.py``), and what human editors printed.
"""

from __future__ import annotations

import gzip
import json
import random
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from pipeline.edition.lead.lines.arrays import StopArrays, stop_arrays
from pipeline.model.time import WHOLE
from tests.benchmarks.voices.arrange import Arranged

Ints = npt.NDArray[np.int64]
#: Registers of lines: tune, three inner ones, bass; which a voice has among so many, from the highest.
REGISTERS = {1: (0,), 2: (0, 4), 3: (0, 2, 4), 4: (0, 1, 3, 4), 5: (0, 1, 2, 3, 4), 6: (0, 1, 2, 3, 3, 4)}


@dataclass(frozen=True, slots=True)
class Example:
    """A tablature, one row per stop, and its reading: ``voices`` (from 0, the highest) that share each stop,
    ``links`` of rows one voice takes one after the other, with whether a rest lies between; ``end`` in ticks, ``low``
    where the note is meant an octave up, ``filler`` where it stands in a chord that its voice's line does not lead
    through."""

    name: str
    kind: str
    stops: StopArrays
    voices: tuple[tuple[int, ...], ...]
    links: tuple[tuple[int, int, bool], ...]
    ends: tuple[tuple[int, ...], ...]
    low: npt.NDArray[np.bool_]
    filler: npt.NDArray[np.bool_]
    count: int


def tablature(piece: Arranged) -> StopArrays:
    """What the reader may see of an arranged piece."""
    return stop_arrays(
        piece.onset,
        piece.sounding,
        piece.course,
        piece.fret,
        re_entrant=tuple(range(1, piece.neck.re_entrant + 1)),
        stopped=len(piece.neck.stopped),
        bars=piece.bars,
        key=piece.signature,
    )


def from_arranged(piece: Arranged) -> Example:
    """A score arranged for the instrument."""
    stops = tablature(piece)
    links = tuple((row, to, rested) for row, nexts in enumerate(piece.following) for to, rested in nexts)
    ends = tuple((end,) for end in (piece.onset + piece.length).tolist())
    none = np.zeros(len(stops), dtype=np.bool_)
    return Example(
        piece.name, piece.habit.value, stops, piece.voices, links, ends, piece.pitch > piece.sounding, none, piece.parts
    )


def linked(onset: Ints, voices: tuple[tuple[int, ...], ...], filler: Any, ends: Any) -> Any:
    """Links of each voice from its leading note to the next one."""
    last: dict[int, int] = {}
    found: list[tuple[int, int, bool]] = []
    for row, mine in enumerate(voices):
        if filler[row]:
            continue
        for voice in mine:
            if voice in last and onset[last[voice]] < onset[row]:
                before = last[voice]
                found.append((before, row, max(ends[before]) < onset[row]))
            last[voice] = row
    return tuple(found)


def _ticks(text: str, slower: Fraction = Fraction(1)) -> int:
    return round(Fraction(text) * WHOLE * slower)


def editions(path: Path) -> Iterator[dict[str, Any]]:
    """The editions that are put on the strings."""
    with gzip.open(path, "rt", encoding="utf-8") as lines:
        for line in lines:
            piece = json.loads(line)
            if piece["tablature"]:
                yield piece


def part_of_work(work: str) -> str:
    """The division of the editions by whole works: a seeded draw by name."""
    lot = random.Random(f"1604 {work}").random()
    return "dev" if lot < 0.15 else "test" if lot < 0.4 else "train"


def from_edition(
    piece: dict[str, Any], *, lowered: tuple[int, ...] = (), move: int = 0, slower: Fraction = Fraction(1)
) -> Example:
    """A human edition; on request with courses ``lowered`` an octave, as on a theorbo, moved by semitones, in values so
    many times as long."""
    rows: list[tuple[int, int, int, int, tuple[int, ...], tuple[int, ...]]] = []
    for onset, stops in piece["tablature"]["events"]:
        at = _ticks(onset, slower)
        for course, fret, pitch, voices, lengths in sorted(stops, key=lambda stop: -stop[0]):
            ends = tuple(at + _ticks(length, slower) for length in lengths)
            down = 12 if course in lowered else 0
            rows.append((at, course, fret, pitch + move - down, tuple(v - 1 for v in voices), ends))
    onset, course, fret, pitch = (np.array([row[at] for row in rows], dtype=np.int64) for at in range(4))
    voices = tuple(row[4] for row in rows)
    low = np.isin(course, np.array(lowered, dtype=np.int64))
    count = piece["voices"]
    filler = _fillers(onset, pitch + 12 * low, voices, count)
    ends = tuple(row[5] for row in rows)
    key = (piece["keys"][0]["fifths"] if piece["keys"] else 0) + 7 * move
    stops = stop_arrays(
        onset,
        pitch,
        course,
        fret,
        re_entrant=lowered,
        stopped=6,
        bars=np.array([_ticks(bar["onset"], slower) for bar in piece["bars"]], dtype=np.int64),
        key=(key + 5) % 12 - 5,
    )
    return Example(piece["name"], "human", stops, voices, linked(onset, voices, filler, ends), ends, low, filler, count)


def _fillers(onset: Ints, height: Ints, voices: tuple[tuple[int, ...], ...], count: int) -> npt.NDArray[np.bool_]:
    """All of a voice's chord but the note that leads: the lowest in the bass, the highest elsewhere."""
    leads: dict[tuple[int, int], int] = {}
    for row, mine in enumerate(voices):
        for voice in mine:
            key = (int(onset[row]), voice)
            sign = -1 if voice == count - 1 and count > 1 else 1
            if key not in leads or sign * height[row] > sign * height[leads[key]]:
                leads[key] = row
    found = np.ones(len(onset), dtype=np.bool_)
    found[list(leads.values())] = False
    return found


def records(path: Path) -> Iterator[dict[str, Any]]:
    """Arrangements by other hands, one a line: tuning, and events with their stops and how each is meant."""
    with gzip.open(path, "rt", encoding="utf-8") as lines:
        for line in lines:
            yield json.loads(line)


def from_record(piece: dict[str, Any]) -> Example:
    """Such an arrangement; a filler has no voice."""
    rows: list[tuple[Any, ...]] = []
    for event in piece["events"]:
        at = _ticks(event["onset"])
        for stop in sorted(event["stops"], key=lambda stop: -stop["course"]):
            ends = tuple(at + _ticks(length) for length in stop["lengths"])
            lifted = stop["intended"] > stop["sounding"]
            place = (at, stop["course"], stop["fret"], stop["sounding"])
            rows.append((*place, tuple(stop["voices"]), ends, bool(stop["filler"]), lifted))
    onset, course, fret, pitch = (np.array([row[at] for row in rows], dtype=np.int64) for at in range(4))
    voices, ends = tuple(row[4] for row in rows), tuple(row[5] for row in rows)
    filler = np.array([row[6] for row in rows])
    stops = stop_arrays(
        onset,
        pitch,
        course,
        fret,
        re_entrant=tuple(piece["tuned_down"]),
        stopped=piece["fretted"],
        bars=np.array([_ticks(bar[0]) for bar in piece["bars"]], dtype=np.int64),
        key=piece["fifths"],
        strums=tuple(_ticks(one["onset"]) for one in piece["events"] if {"d", "u"} & set(one.get("marks", ""))),
        bass={_ticks(begins): pitch for begins, _, pitch in piece.get("typed_bass") or ()},
    )
    low = np.array([row[7] for row in rows])
    links = linked(onset, voices, filler, ends)
    return Example(piece["name"], piece["habit"], stops, voices, links, ends, low, filler, piece["voices"])
