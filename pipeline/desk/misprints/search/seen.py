"""What the judge sees of a reading of a stop: numbers, the same for the reading that is typed and for any other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipeline.desk.misprints.search.context import (
    ASIDE,
    COURSES,
    EDGE,
    PITCHES,
    Context,
    Floats,
    Ints,
    Passages,
    gathered,
)

#: Exact intervals are told apart up to so many semitones to the neighbouring events, and to the ones after those.
NEAR, FAR = 12, 7
WIDTH = 24 + 12 + 12 + 12 + 12 + 4 * 12 + 2 * (2 * NEAR + 1) + 2 * (2 * FAR + 1) + 4 * 10 + 8 + 3 + 12 + 4
#: Frets on a course nearby are told apart up to so many, from the fret read.
FRETS = 4


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings to be judged, one row each: the stop they belong to, and the course, fret and pitch read."""

    stop: Ints
    course: Ints
    fret: Ints
    pitch: Ints


def seen(context: Context, readings: Readings, passages: Passages, own: bool = True) -> Floats:
    """Numbers for each reading, shape (readings, WIDTH). ``own`` says that the passages hold this piece itself."""
    event = context.event[readings.stop]
    pitch = np.clip(readings.pitch, 0, PITCHES - 2 * EDGE)
    typed_pitch = context.pitch[readings.stop]
    rows = np.arange(len(event))

    def relative(table: Floats) -> Floats:
        """Classes counted from the pitch read."""
        found: Floats = table[rows[:, None], (pitch[:, None] + np.arange(12)) % 12]
        return found

    others = context.struck[event]
    others[rows, typed_pitch % 12] -= 1
    around = context.around[event]
    around[rows, typed_pitch % 12] -= 1
    whole = np.repeat(context.whole[None, :], len(event), axis=0)
    whole[rows, typed_pitch % 12] -= 1
    under = context.under[readings.stop]
    is_bass = readings.course > under
    chord = relative(others)
    bass = np.zeros((len(event), 12), dtype=np.float32)
    bass[rows, (pitch - context.under_pitch[readings.stop]) % 12] = ~is_bass
    parts = [
        chord * is_bass[:, None],
        chord * ~is_bass[:, None],
        bass,
        relative(context.ringing[event]),
        relative(_shares(around)),
        relative(_shares(whole)),
        *(relative(_beside(context.struck, event, step)) for step in (-1, 1, -2, 2)),
        *(_intervals(context, event, pitch, step) for step in (-1, 1, -2, 2)),
        *(_on_course(context, readings, event, step, aside) for step, aside in ((-1, 0), (1, 0), (0, -1), (0, 1))),
        _hand(context, readings, event),
        _passages(context, readings, event, passages, own),
        _weight(context, event, others.sum(axis=1)),
        _place_in_chord(context, readings, pitch),
    ]
    table: Floats = np.concatenate([np.asarray(part, dtype=np.float32) for part in parts], axis=1)
    return table


def _shares(counts: Floats) -> Floats:
    total = counts.sum(axis=1, keepdims=True)
    found: Floats = np.log((np.maximum(counts, 0) + 0.2) / (np.maximum(total, 0) + 2.4)) + 2.5
    return found


def _intervals(context: Context, event: Ints, pitch: Ints, step: int) -> Floats:
    """Which exact pitches the event ``step`` away has, counted from the pitch read."""
    reach = NEAR if abs(step) == 1 else FAR
    found: Floats = gathered(context.present, event + 2 + step, pitch + EDGE - reach, 2 * reach + 1).astype(np.float32)
    return found


def _beside(table: Floats, event: Ints, step: int) -> Floats:
    """The rows of the events ``step`` away, silent past both ends."""
    place = event + step
    inside = (place >= 0) & (place < len(table))
    found: Floats = table[np.clip(place, 0, len(table) - 1)] * inside[:, None]
    return found


def _on_course(context: Context, readings: Readings, event: Ints, step: int, aside: int) -> Floats:
    """What is stopped on the course read, or on the one ``aside`` of it, in the event ``step`` away: the fret counted
    from the one read, up to ``FRETS``; the last column where nothing is."""
    course = np.clip(readings.course + ASIDE + aside, 0, COURSES - 1)
    fret = context.on[event + 1 + step, course]
    own = (step == 0) & (readings.course + aside == context.course[readings.stop])
    fret = np.where(own, 0, fret)
    away = np.clip(fret - 1 - readings.fret, -FRETS, FRETS) + FRETS
    table = np.zeros((len(event), 2 * FRETS + 2), dtype=np.float32)
    table[np.arange(len(event)), np.where(fret > 0, away, 2 * FRETS + 1)] = 1
    return table


def _hand(context: Context, readings: Readings, event: Ints) -> Floats:
    """Where the finger lies: open, how high, how far from the rest of the hand here and nearby."""
    fret = readings.fret.astype(np.float32)
    typed = context.fret[readings.stop]
    near = context.frets[event]
    number = near[:, 1] - (typed > 0)
    middle = np.where(number > 0, (near[:, 0] - typed) / np.maximum(number, 1), fret)
    low, high = context.low[readings.stop], context.high[readings.stop]
    span = np.where(readings.fret > 0, np.maximum(high, fret) - np.minimum(low, fret), 0)
    span = np.where(high > 0, span, 0)
    away = np.where(readings.fret > 0, np.abs(fret - middle), 0)
    columns = [
        readings.fret == 0,
        fret / 8,
        span / 4,
        span > 4,
        span > 6,
        away / 4,
        away > 4,
        readings.course / 10,
    ]
    return np.stack(columns, axis=1).astype(np.float32)


def _passages(context: Context, readings: Readings, event: Ints, passages: Passages, own: bool) -> Floats:
    """How often this reading stands in the same passage, chord, or line elsewhere."""
    figures, count = context.figures, len(context.figures)
    found = np.zeros((len(event), 3), dtype=np.float32)
    typed_course, typed_fret = context.course.tolist(), context.fret.tolist()
    rows = zip(readings.stop.tolist(), event.tolist(), readings.course.tolist(), readings.fret.tolist(), strict=True)
    last, around = -1, ((), (), ())
    for row, (stop, place, course, fret) in enumerate(rows):
        typed = (typed_course[stop], typed_fret[stop])
        if stop != last:
            others = tuple(other for other in figures[place] if other != typed)
            before = figures[place - 1] if place else ()
            after = figures[place + 1] if place + 1 < count else ()
            last, around = stop, (before, others, after)
        counts = passages.counts(*around, (course, fret))
        itself = own and (course, fret) == typed
        found[row] = [max(0, times - itself) for times in counts]
    logs: Floats = np.log1p(np.minimum(found, 20))
    return logs


def _weight(context: Context, event: Ints, others: Floats) -> Floats:
    """How many sound together, how strong the beat is, how long the event: the same for all readings of a stop."""
    size = np.clip(others, 0, 3).astype(np.int64)
    level = np.clip(context.level[event], 0, 4)
    length = np.searchsorted([4, 8], context.lengths[event], "right")
    table = np.zeros((len(event), 12), dtype=np.float32)
    rows = np.arange(len(event))
    table[rows, size] = 1
    table[rows, 4 + level] = 1
    table[rows, 9 + length] = 1
    return table


def _place_in_chord(context: Context, readings: Readings, pitch: Ints) -> Floats:
    """Distance to the lowest of the others, in octaves and as an exact unison; diapason or not."""
    under = context.under[readings.stop]
    away = np.where(under > 0, (pitch - context.under_pitch[readings.stop]) / 12, 0)
    unison = (np.abs(away) < 0.01) & (under > 0)
    columns = [away, unison, away < 0, readings.course > 6]
    return np.stack(columns, axis=1).astype(np.float32)
