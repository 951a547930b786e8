"""Pairs of neighbouring stops, block by block: which rows of the net's tables each looks up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pipeline.edition.lead.lines.arrays import Flags, Floats
from pipeline.edition.lead.lines.features import Seen

#: Neighbours seen to each side, in stops; links are sought among so many later stops.
REACH = 16
#: Stops per block.
BLOCK = 32
Index = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Block:
    """Stops ``at`` to ``to`` against stops ``first`` to ``last`` (shape of all arrays): ``interval``, ``wait`` and
    ``courses`` are rows of the net's tables, ``rise`` is in semitones; ``near`` within reach, ``later`` of a later
    event."""

    at: int
    to: int
    first: int
    last: int
    interval: Index
    wait: Index
    courses: Index
    rise: Index
    near: Flags
    later: Flags


def blocks_of(seen: Seen) -> list[Block]:
    """All pairs within reach."""
    rows = len(seen.event)
    return [_block(seen, at, min(at + BLOCK, rows), rows) for at in range(0, rows, BLOCK)]


def _block(seen: Seen, at: int, to: int, rows: int) -> Block:
    first, last = max(0, at - REACH), min(rows, to + REACH)
    here, there = slice(at, to), slice(first, last)
    rise = (seen.pitch[there] - seen.pitch[here, None]).astype(np.intp)
    away = seen.event[there] - seen.event[here, None]
    over = seen.course[there] - seen.course[here, None]
    kind = np.where(over == 0, 4, 2 * seen.re_entrant[here, None] + seen.re_entrant[there])
    span = np.abs(seen.onset[there].astype(np.float64) - seen.onset[here, None]).astype(np.float32)
    bucket = np.clip((np.log2(span + np.float32(0.0625)) + 4) * 2 + np.float32(0.5), 0, 19).astype(np.intp)
    strike = np.where(away > 0, seen.strike[here, None], seen.strike[there])
    again = np.where(span > strike + 1e-3, 2, np.where(span > strike - 1e-3, 1, 0))
    near = np.abs(np.arange(first, last) - np.arange(at, to)[:, None]) <= REACH
    return Block(
        at,
        to,
        first,
        last,
        (np.clip(rise, -26, 26) + 26) * 5 + kind,
        (np.clip(away, -8, 8) + 8) * 20 + bucket,
        (np.clip(over, -8, 8) + 8) * 3 + again,
        rise,
        near,
        away > 0,
    )


def lifted(block: Block, low: Floats) -> Index:
    """Rows of the tables of intervals as they are meant, where ``low`` (0 or 1) says which stops lie an octave low."""
    up = 12 * low.astype(np.intp)
    meant = block.rise + up[block.first : block.last] - up[block.at : block.to, None]
    found: Index = np.clip(meant, -48, 48) + 48
    return found
