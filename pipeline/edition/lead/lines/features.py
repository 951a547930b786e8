"""What the net sees: numbers for each stop, and an index for each pair of neighbouring stops."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from pipeline.edition.lead.lines.arrays import Floats, Ints, StopArrays
from pipeline.model.time import WHOLE

#: Figures for each stop.
NODE = 67


@dataclass(frozen=True, slots=True)
class Seen:
    """``node`` (stops, NODE) floats; per stop: ``event`` its number, ``log_onset``-free ``onset`` in quarter
    notes."""

    node: Floats
    event: Ints
    onset: Floats
    pitch: Ints
    course: Ints
    re_entrant: Ints
    strike: Floats


def see(stops: StopArrays) -> Seen:
    """Numbers for every stop. Linear in their number."""
    event = np.concatenate([[0], np.cumsum(np.diff(stops.onset) > 0)]).astype(np.int64)
    quarter = WHOLE / 4
    strike = np.minimum((stops.next_strike - stops.onset) / quarter, 64.0).astype(np.float32)
    return Seen(
        _node(stops, event, strike),
        event,
        (stops.onset / quarter).astype(np.float32),
        stops.pitch,
        stops.course,
        stops.re_entrant.astype(np.int64),
        strike,
    )


def _node(stops: StopArrays, event: Ints, strike: Floats) -> Floats:
    rows = len(stops)
    columns: list[npt.NDArray[Any]] = []
    firsts = np.flatnonzero(np.diff(event, prepend=-1))
    sizes = np.diff(np.append(firsts, rows))
    first, size = firsts[event], sizes[event]
    times = stops.onset[firsts] / (WHOLE / 4)
    gaps = np.diff(times)
    before, after = np.append(4.0, gaps)[event], np.append(gaps, 4.0)[event]
    pitch = stops.pitch.astype(np.float64)
    mean = pitch.mean()
    columns += [
        (pitch - 52) / 12,
        (pitch - mean) / 12,
        stops.fret / 12,
        stops.fret == 0,
        stops.re_entrant,
        stops.diapason,
    ]
    columns += [stops.course == number for number in range(1, 7)] + [stops.course / 14]
    columns += [_log(before), _log(after), _log(after) - _log(before), _log(strike), strike > 63]
    columns += [size == number for number in range(1, 5)] + [size >= 5]
    columns += _ranks(stops, event, first, size)
    columns += [stops.phase % (WHOLE // part) == 0 for part in (1, 2, 4, 8, 16)] + [stops.phase == 0]
    place = (stops.pitch * 7 - stops.key) % 12
    columns += [place == number for number in range(12)]
    local, whole = _habit(stops, event)
    columns += local
    columns += [np.full(rows, number) for number in whole]
    return np.stack([column.astype(np.float32) for column in columns], axis=1)


def _log(quarters: npt.NDArray[Any]) -> npt.NDArray[np.float64]:
    found: npt.NDArray[np.float64] = np.log2(np.maximum(quarters, 1 / 32).astype(np.float64)) / 3
    return found


def _ranks(stops: StopArrays, event: Ints, first: Ints, size: Ints) -> list[npt.NDArray[Any]]:
    """Where the stop stands in its chord: by course, by pitch, by pitch as if lifted."""
    rows = np.arange(len(stops))
    from_last = rows - first
    columns: list[npt.NDArray[Any]] = [from_last == 0, from_last == size - 1, from_last / 4]
    lifted = stops.pitch + 12 * stops.re_entrant
    for height in (stops.pitch, lifted):
        order = np.lexsort((height, event))
        rank = np.empty(len(rows), dtype=np.int64)
        rank[order] = rows
        rank -= first
        columns += [rank == 0, rank == size - 1, rank / 4]
    return columns


def _habit(stops: StopArrays, event: Ints) -> tuple[list[npt.NDArray[Any]], list[float]]:
    """How near each stop lies to the plain courses around it, as it sounds and an octave up; and how the whole piece
    goes about its re-entrant courses."""
    rows = len(stops)
    sounding, lifted = np.full(rows, 24.0), np.full(rows, 24.0)
    for lag in range(1, min(8, rows)):
        step = (stops.pitch[lag:] - stops.pitch[:-lag]).astype(np.float64)
        apart = event[lag:] - event[:-lag]
        near = (apart >= 1) & (apart <= 2)
        for here, there, rise in (
            (slice(lag, None), slice(None, -lag), step),
            (slice(None, -lag), slice(lag, None), -step),
        ):
            good = near & ~stops.re_entrant[there]
            sounding[here] = np.where(good, np.minimum(sounding[here], np.abs(rise)), sounding[here])
            lifted[here] = np.where(good, np.minimum(lifted[here], np.abs(rise + 12)), lifted[here])
    local: list[npt.NDArray[Any]] = [sounding / 12, lifted / 12, np.sign(sounding - lifted)]
    mine = stops.re_entrant
    count = max(1, int(mine.sum()))
    third = (stops.course == 3) & (stops.fret >= 5)
    whole = [
        float(mine.mean()),
        float(np.minimum(sounding[mine], 12).sum()) / count / 12,
        float(np.minimum(lifted[mine], 12).sum()) / count / 12,
        float((sounding[mine] < lifted[mine]).sum()) / count,
        float((sounding[mine] > lifted[mine]).sum()) / count,
        float(third.mean()) * 4,
        float((stops.fret[mine] >= 3).sum()) / count,
        float((stops.fret[mine] >= 7).sum()) / count,
        float((stops.course == 3).mean()),
        float(stops.diapason.mean()),
        rows / max(1, int(event[-1]) + 1) / 3,
        float((np.bincount(event) >= 4).mean()),
        float((np.bincount(event) >= 5).mean()),
        float((np.bincount(event) == 1).mean()),
    ]
    return local, whole
