"""What the net learns from: arranged pieces of the training part as arrays, with the right answers."""

from __future__ import annotations

import random
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from pipeline.edition.lead.lines.arrays import StopArrays, stop_arrays
from pipeline.edition.lead.lines.features import REACH, see
from pipeline.model.record import replace
from tests.benchmarks.voices import corpus, split
from tests.benchmarks.voices.arrange import Arranged, Habit, arrange

#: How often each piece is arranged anew in each habit.
TIMES = {"bach": 3, "monteverdi": 9, "palestrina": 1, "other": 9}


def tablature(piece: Arranged) -> StopArrays:
    """What the decoder may see of an arranged piece."""
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


@dataclass(frozen=True, slots=True)
class Lessons:
    """All pieces end to end. ``start`` holds where each begins, with the end added. Inputs as in ``features.Seen``;
    answers: ``tight`` and ``rest`` (stops, REACH) shares of the next note of the voice inside a phrase and across a
    rest, ``no_next``, ``no_last`` shares of having none within reach, ``end`` (stops, REACH) marks the stops with
    whose event the note ends, ``low`` whether the note is meant an octave up."""

    start: npt.NDArray[np.int64]
    node: npt.NDArray[np.float16]
    event: npt.NDArray[np.int32]
    onset: npt.NDArray[np.float32]
    pitch: npt.NDArray[np.int16]
    course: npt.NDArray[np.int16]
    re_entrant: npt.NDArray[np.int8]
    strike: npt.NDArray[np.float32]
    tight: npt.NDArray[np.float16]
    rest: npt.NDArray[np.float16]
    no_next: npt.NDArray[np.float16]
    no_last: npt.NDArray[np.float16]
    end: npt.NDArray[np.bool_]
    low: npt.NDArray[np.int8]


def lesson(piece: Arranged) -> Lessons:
    """One piece."""
    seen = see(tablature(piece))
    rows = len(piece.onset)
    tight, rest = np.zeros((rows, REACH)), np.zeros((rows, REACH))
    no_next, in_from = np.zeros(rows), np.zeros(rows)
    last_count = np.zeros(rows)
    for row, nexts in enumerate(piece.following):
        for to, _ in nexts:
            last_count[to] += 1
        share = 1.0 / max(1, len(nexts))
        if not nexts:
            no_next[row] = 1.0
        for to, rested in nexts:
            if to - row <= REACH:
                (rest if rested else tight)[row, to - row - 1] += share
            else:
                no_next[row] += share
    for row, nexts in enumerate(piece.following):
        for to, _ in nexts:
            if to - row <= REACH:
                in_from[to] += 1.0 / last_count[to]
    end_at = piece.onset + piece.length
    ahead = np.minimum(np.arange(rows)[:, None] + np.arange(1, REACH + 1), rows - 1)
    inside = (np.arange(rows)[:, None] + np.arange(1, REACH + 1)) < rows
    end = (piece.onset[ahead] == end_at[:, None]) & inside
    return Lessons(
        np.array([0, rows]),
        seen.node.astype(np.float16),
        seen.event.astype(np.int32),
        seen.onset,
        seen.pitch.astype(np.int16),
        seen.course.astype(np.int16),
        seen.re_entrant.astype(np.int8),
        seen.strike,
        tight.astype(np.float16),
        rest.astype(np.float16),
        no_next.astype(np.float16),
        (1.0 - in_from).astype(np.float16),
        end,
        (piece.pitch > piece.sounding).astype(np.int8),
    )


def join(parts: list[Lessons]) -> Lessons:
    lengths = [int(part.start[-1]) for part in parts]
    columns = {
        field.name: np.concatenate([getattr(part, field.name) for part in parts])
        for field in fields(Lessons)
        if field.name != "start"
    }
    return Lessons(start=np.concatenate([[0], np.cumsum(lengths)]), **columns)


def varied(score: corpus.PartScore, chance: random.Random) -> corpus.PartScore:
    """Now and then another note value, or some parts only: practice is wider than the corpus."""
    scale = chance.choice((1, 2, 2, 2, 4))  # halves
    keep = np.ones(len(score.onset), dtype=bool)
    lot = chance.random()
    if score.parts > 2 and lot < 0.3:
        left = score.parts - 1 if lot < 0.15 else 2 if lot < 0.23 else 1
        keep = np.isin(score.part, chance.sample(range(score.parts), left))
    order = {number: place for place, number in enumerate(sorted(set(score.part[keep].tolist())))}
    return replace(
        score,
        onset=score.onset[keep] * scale // 2,
        length=score.length[keep] * scale // 2,
        pitch=score.pitch[keep],
        fifths=score.fifths[keep],
        part=np.array([order[number] for number in score.part[keep].tolist()]),
        bars=score.bars * scale // 2,
    )


def training(seed: int) -> Lessons:
    """Every training piece in every habit, by many players."""
    chance = random.Random(seed)
    parts = []
    for kind, times in TIMES.items():
        for name in split.names("train", kind):
            score = corpus.load(name)
            for habit in Habit:
                for turn in range(times):
                    piece = arrange(varied(score, chance), habit, seed * 1000 + turn, wide=chance.random() < 0.67)
                    if len(piece.onset) > 24 and piece.dropped < 0.15:
                        parts.append(lesson(piece))
    return join(parts)
