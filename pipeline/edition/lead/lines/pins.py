"""Pins that no reading can follow."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from pipeline.edition.lead.lines.arrays import FREE, StopArrays


class Impossible(Enum):
    """Why a pin cannot be followed."""

    STRUCK_AGAIN = "its course is struck again before that"
    NO_SUCH_VOICE = "voices are numbered from 1"
    OVERTAKEN = "its voice is pinned to move on before that"


@dataclass(frozen=True, slots=True)
class ImpossiblePin:
    """``row`` of the stop, why, and the tick from which the pin cannot hold (0 if that says nothing)."""

    row: int
    why: Impossible
    at: int


def impossible_pins(stops: StopArrays) -> tuple[ImpossiblePin, ...]:
    """Every pin that must be given up, in order of rows; ``read_lines`` cuts such lengths at ``at``."""
    found: list[ImpossiblePin] = []
    end = stops.onset + stops.pin_length
    pinned = stops.pin_length != FREE
    for row in np.flatnonzero(pinned & (end > stops.next_strike)).tolist():
        found.append(ImpossiblePin(row, Impossible.STRUCK_AGAIN, int(stops.next_strike[row])))
    voiced = stops.pin_voice != FREE
    for row in np.flatnonzero(voiced & (stops.pin_voice < 1)).tolist():
        found.append(ImpossiblePin(row, Impossible.NO_SUCH_VOICE, 0))
    for voice in np.unique(stops.pin_voice[voiced]).tolist():
        rows = np.flatnonzero(stops.pin_voice == voice)
        later = np.searchsorted(stops.onset[rows], stops.onset[rows], "right")
        for place, row in enumerate(rows.tolist()):
            if pinned[row] and later[place] < len(rows) and end[row] > stops.onset[rows[later[place]]]:
                found.append(ImpossiblePin(row, Impossible.OVERTAKEN, int(stops.onset[rows[later[place]]])))
    return tuple(sorted(found, key=lambda pin: pin.row))
