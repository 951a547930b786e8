"""Pairs of neighbouring stops, block by block: what the net looks up for each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from pipeline.edition.lead.lines.arrays import Flags, Floats
from pipeline.edition.lead.lines.features import LIFTED, REACH, STEPS, Seen
from pipeline.edition.lead.lines.tables import LONGEST, SHORTEST, WAITS

Small = npt.NDArray[np.int32]
Index = npt.NDArray[np.intp]
#: Distance in events to its class, forwards; from 5 on all the same.
_STEP = np.array([0, 1, 2, 3, 3, 4], dtype=np.int32)


@dataclass(frozen=True, slots=True)
class Pairs:
    """Stops ``at`` to ``to`` with their neighbours, REACH before and after (itself in the middle).

    ``interval``, ``courses`` and ``wait`` are rows of the net's tables (``tables.py``); ``rise`` in semitones;
    ``real`` false past the ends of the piece; ``later`` true where the neighbour belongs to a later event.
    """

    at: int
    to: int
    interval: Index
    courses: Index
    wait: Index
    rise: Small
    real: Flags
    later: Flags

    def ahead(self) -> Pairs:
        """The pairs with later neighbours only."""
        cut = np.s_[:, REACH + 1 :]
        return Pairs(
            self.at,
            self.to,
            self.interval[cut],
            self.courses[cut],
            self.wait[cut],
            self.rise[cut],
            self.real[cut],
            self.later[cut],
        )


def window(padded: npt.NDArray[Any], at: int, to: int, *, both: bool) -> npt.NDArray[Any]:
    """Neighbours of stops ``at`` to ``to`` as a view: (stops, offsets, …), to both sides or ahead only.

    ``padded`` has REACH empty rows at both ends.
    """
    first = at if both else at + REACH + 1
    width = 2 * REACH + 1 if both else REACH
    cut = padded[first : to - at + first + width - 1]
    return np.moveaxis(np.lib.stride_tricks.sliding_window_view(cut, width, axis=0), -1, 1)


def from_later(ahead: Floats, empty: float) -> Floats:
    """(stops, REACH) seen from the later stop: entry [j, d] is the pair (j - d - 1, j)."""
    found = np.full_like(ahead, empty)
    for d in range(min(REACH, len(ahead) - 1)):
        found[d + 1 :, d] = ahead[: -d - 1, d]
    return found


def describe(seen: Seen, block: int) -> list[Pairs]:
    """All pairs, in blocks of so many stops."""
    rows = len(seen.event)
    event = np.pad(seen.event.astype(np.int32), REACH, constant_values=-(1 << 28))
    event[rows + REACH :] = 1 << 28
    kinds = (seen.pitch, seen.course, seen.re_entrant)
    whole = [event, *(np.pad(values.astype(np.int32), REACH) for values in kinds)]
    whole += [np.pad(seen.onset, REACH), np.pad(seen.strike, REACH)]
    return [_block(whole, at, min(at + block, rows)) for at in range(0, rows, block)]


def _block(whole: list[npt.NDArray[Any]], at: int, to: int) -> Pairs:
    event, pitch, course, re_entrant, onset, strike = whole
    here = slice(at + REACH, to + REACH)

    def gap(padded: npt.NDArray[Any]) -> npt.NDArray[Any]:
        found: npt.NDArray[Any] = window(padded, at, to, both=True) - padded[here, None]
        return found

    away = gap(event)
    step = _STEP[np.minimum(np.abs(away), 5)]
    step += 4 * (away < 0)
    rise: Small = gap(pitch)
    over = np.clip(gap(course), -8, 8) + 8
    kind = 2 * re_entrant[here, None] + window(re_entrant, at, to, both=True)
    wait = gap(onset)
    span = np.abs(wait)
    again = np.where(away > 0, strike[here, None], window(strike, at, to, both=True))
    restruck = np.where(span > again + 1e-4, 2, np.where(span > again - 1e-4, 1, 0))
    real = np.abs(away) < 1 << 26
    interval = (np.clip(rise, -LIFTED, LIFTED) + LIFTED) * STEPS + step
    courses = ((over * 4 + kind) * 3 + restruck) * 3 + np.sign(away) + 1
    scale = (WAITS - 1) / (LONGEST - SHORTEST)
    long = ((np.log2(span + np.float32(0.125)) / 3 - SHORTEST) * scale + 0.5).astype(np.intp)
    return Pairs(at, to, interval.astype(np.intp), courses.astype(np.intp), long, rise, real, real & (away > 0))
