"""Arrangements set in the idioms of the lute that no score for voices has: broken, struck, over a bass.

They are made of the stops of an arranged piece (``arrange.py``), so every chord can be played. Common practice, no
source.
"""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np

from pipeline.edition.lead.lines.arrays import next_strikes
from pipeline.model.time import WHOLE
from tests.benchmarks.voices.arrange import Arranged
from tests.benchmarks.voices.examples import Example, from_arranged, linked

#: A stop to be struck: onset, row of the arrangement, voice, end (0: until its voice moves), filler.
_Stroke = tuple[int, int, int, int, bool]
KINDS = ("broken", "strum", "song", "runs")


def idiom(piece: Arranged, kind: str, chance: random.Random) -> Example | None:
    """The piece in another idiom; None where too little of it is left."""
    plain = from_arranged(piece)
    unit = WHOLE // chance.choice((2, 2, 4))
    strokes: list[_Stroke] = []
    last = int(piece.onset[-1])
    order = chance.choice(("up", "up", "down", "mixed", "alberti"))
    step = chance.choice((2, 3, 4, 4, 6, 8))
    for at in range(0, last, unit):
        sounding = np.flatnonzero((piece.onset <= at) & (piece.onset + piece.length > at)).tolist()
        if len({int(piece.course[r]) for r in sounding}) != len(sounding) or len(sounding) < 2:
            continue
        sounding.sort(key=lambda r: int(piece.pitch[r]))
        if kind == "broken":
            strokes += _broken(at, unit, sounding, step, order, chance)
        elif kind == "strum":
            end = at + unit
            for turn in range(parts := chance.choice((1, 1, 1, 2, 4))):
                begin = at + turn * unit // parts
                stop = at + (turn + 1) * unit // parts if turn + 1 < parts else end
                strokes += [(begin, r, 0, stop, r != sounding[-1]) for r in sounding]
        elif kind == "song":
            strokes.append((at, sounding[0], 1, 0, False))
            late = at + chance.choice((0, 0, 0, unit // 2))
            strokes += [(late, r, 0, at + unit, r != sounding[-1]) for r in sounding[1:]]
        else:
            strokes.append((at, sounding[0], 1, 0, False))
            top = [r for r in range(len(piece.onset)) if 0 in piece.voices[r] and at <= piece.onset[r] < at + unit]
            first = sounding[1:-1]
            strokes += [(int(piece.onset[r]), r, 0, 0, False) for r in top if r != sounding[0]]
            if top and int(piece.onset[top[0]]) == at:
                strokes += [(at, r, 0, int(piece.onset[top[0]]) + unit, True) for r in first if r not in top]
    if len(strokes) < 24:
        return None
    return _example(plain, kind, strokes, last + unit)


def _broken(at: int, unit: int, chord: list[int], step: int, order: str, chance: random.Random) -> list[_Stroke]:
    bass, upper = chord[0], chord[1:]
    if order == "down":
        upper = upper[::-1]
    elif order == "mixed":
        upper = upper[:]
        chance.shuffle(upper)
    elif order == "alberti" and len(upper) > 1:
        upper = [upper[0], upper[-1]]
    found = [(at, bass, 1, 0, False)]
    with_bass = chance.random() < 0.3
    for turn in range(0 if with_bass else 1, step):
        begin, end = at + turn * unit // step, at + (turn + 1) * unit // step
        found.append((begin, upper[(turn - (0 if with_bass else 1)) % len(upper)], 0, end, False))
    return found


def _example(plain: Example, kind: str, strokes: list[_Stroke], last: int) -> Example:
    stops = plain.stops
    unique = {(onset, int(stops.course[row])): (onset, row, v, end, f) for onset, row, v, end, f in strokes}
    strokes = sorted(unique.values(), key=lambda one: (one[0], -int(stops.course[one[1]])))
    rows = np.array([one[1] for one in strokes])
    onset = np.array([one[0] for one in strokes], dtype=np.int64)
    course = stops.course[rows]
    strike = next_strikes(onset, course)
    voices = tuple((one[2],) for one in strokes)
    moves: dict[int, tuple[int, int]] = {}
    ends: list[tuple[int, ...]] = [()] * len(strokes)
    for at in range(len(strokes) - 1, -1, -1):
        begin, _, voice, end, _ = strokes[at]
        now, after = moves.get(voice, (last, last))
        if now != begin:
            now, after = begin, now
            moves[voice] = (now, after)
        ends[at] = (min(end or after, after, int(strike[at])),)
    filler = np.array([one[4] for one in strokes])
    free = stops.pin_voice[rows]
    starts = np.unique(stops.onset - stops.phase)
    place = np.clip(np.searchsorted(starts, onset, "right") - 1, 0, None)
    made = replace(
        stops,
        onset=onset,
        pitch=stops.pitch[rows],
        course=course,
        fret=stops.fret[rows],
        re_entrant=stops.re_entrant[rows],
        diapason=stops.diapason[rows],
        next_strike=strike,
        phase=onset - starts[place],
        pin_voice=free,
        pin_octave=free,
        pin_length=free,
        strummed=np.zeros(len(rows), dtype=np.bool_),
        basso=np.zeros(len(rows), dtype=np.bool_),
        ditto=np.zeros(len(rows), dtype=np.bool_),
        bar=place,
    )
    count = 1 if kind == "strum" else 2
    # a block or a filler has no line that could mean another octave
    low = plain.low[rows] & ~filler & (kind != "strum")
    return Example(plain.name, kind, made, voices, linked(onset, voices, filler, ends), tuple(ends), low, filler, count)
