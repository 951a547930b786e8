"""The net that weighs lines, octaves and lengths, run with numpy in blocks that fit the cache.

Three rounds of messages between neighbouring stops; after the second each stop on a re-entrant course knows how
likely it is meant an octave up, and from there on intervals are read as mixtures of both octaves, so that lines and
octaves are weighed together. The weights are learned (see ``DEVELOPERS.md``).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import numpy.typing as npt

from pipeline.stages.lead.lines.arrays import FREE, Floats, Ints, StopArrays
from pipeline.stages.lead.lines.features import LIFTED, REACH, STEPS, WIDEST, Seen, see

Tree = dict[str, Floats]
#: Stops per block; with their neighbours a block's arrays stay in the processor's cache.
BLOCK = 192
_BOTH = np.array([d for d in range(-REACH, REACH + 1) if d])
_AHEAD = np.arange(1, REACH + 1)
_IMPOSSIBLE = -30.0
#: Event distance to its class, forwards; from 5 on all the same.
_STEP = np.array([0, 1, 2, 3, 3, 4], dtype=np.int64)


@cache
def learned_weights() -> Tree:
    """The stored weights; read once."""
    with (files("pipeline.stages.lead.lines") / "weights.npz").open("rb") as stream, np.load(stream) as stored:
        return {name: np.ascontiguousarray(stored[name], dtype=np.float32) for name in stored.files}


@dataclass(frozen=True, slots=True)
class Weighed:
    """Logits. ``tight``, ``rest`` and ``end``, shape (stops, REACH): that the stop at that distance is the next note
    of the voice, inside a phrase or across a rest; that the note ends when it begins. ``same``: that both are meant
    in the octave they sound in, or both are not. ``no_next``, ``no_last``: that there is none within reach. ``low``
    the chance that the note is meant an octave up (0 off the re-entrant courses)."""

    tight: Floats
    rest: Floats
    end: Floats
    same: Floats
    no_next: Floats
    no_last: Floats
    low: Floats
    seen: Seen


def weigh(stops: StopArrays, tree: Tree | None = None) -> Weighed:
    """Run the net. Linear in the number of stops; octaves that are pinned are taken as known."""
    tree = learned_weights() if tree is None else tree
    seen = see(stops)
    pads = _Padded(seen)
    known = np.where(stops.pin_octave == FREE, np.nan, (stops.pin_octave == 1).astype(np.float32)).astype(np.float32)
    h = np.maximum(seen.node @ tree["in_w"] + tree["in_b"], 0)
    mine = stops.re_entrant
    low: Floats = np.zeros(len(stops), dtype=np.float32)
    for layer in range(3):
        h = _round(tree, str(layer), h, pads, low if layer == 2 else None)
        if layer == 1:
            low = _lifted(h @ tree["first_w"] + tree["first_b"], mine, known)
            count = max(1, int(mine.sum()))
            whole = np.array([low[mine].sum() / count, np.abs(low[mine] - 0.5).sum() / count], dtype=np.float32)
            h = h + whole @ tree["whole_w"]
    low = _lifted(h @ tree["last_w"] + tree["last_b"], mine, known)
    found = _pairs(tree, h, pads, low)
    none = h @ tree["none_w"] + tree["none_b"]
    return Weighed(found[..., 0], found[..., 1], found[..., 2], found[..., 3], none[:, 0], none[:, 1], low, seen)


def _lifted(logit: Floats, mine: npt.NDArray[np.bool_], known: Floats) -> Floats:
    chance = np.where(mine, 1 / (1 + np.exp(-np.clip(logit, -30, 30))), 0)
    found: Floats = np.where(np.isnan(known), chance, known).astype(np.float32)
    return found


class _Padded:
    """The piece with REACH empty stops at both ends, so that a neighbour is a slice."""

    def __init__(self, seen: Seen) -> None:
        def pad(values: npt.NDArray[Any], empty: float) -> npt.NDArray[Any]:
            return np.pad(values, REACH, constant_values=empty)

        self.rows = len(seen.event)
        self.event = pad(seen.event.astype(np.int32), -1000)
        self.event[self.rows + REACH :] = 1 << 28
        self.pitch = pad(seen.pitch.astype(np.int32), 0)
        self.course = pad(seen.course.astype(np.int32), 0)
        self.re = pad(seen.re_entrant.astype(np.int32), 0)
        self.onset = pad(seen.onset, 0)
        self.strike = pad(seen.strike, 0)

    def blocks(self) -> list[tuple[int, int]]:
        return [(at, min(at + BLOCK, self.rows)) for at in range(0, self.rows, BLOCK)]


@dataclass(slots=True)
class _Pairs:
    """One block's pairs: index into the interval table and the course table, scalars, rise, and which are real."""

    t: Ints
    k: Ints
    s: Floats
    rise: Ints
    real: npt.NDArray[np.bool_]
    later: npt.NDArray[np.bool_]


def _window(padded: npt.NDArray[Any], at: int, to: int, both: bool) -> npt.NDArray[Any]:
    """Neighbours of stops ``at`` to ``to``: (stops, offsets, …), a view where they are all ahead."""
    first = at if both else at + REACH + 1
    width = 2 * REACH + 1 if both else REACH
    cut = padded[first : to - at + first + width - 1]
    return np.moveaxis(np.lib.stride_tricks.sliding_window_view(cut, width, axis=0), -1, 1)


def _describe(pads: _Padded, at: int, to: int, both: bool) -> _Pairs:
    here = slice(at + REACH, to + REACH)

    def gap(padded: npt.NDArray[Any]) -> npt.NDArray[Any]:
        found: npt.NDArray[Any] = _window(padded, at, to, both) - padded[here, None]
        return found

    away = gap(pads.event)
    step = _STEP[np.minimum(np.abs(away), 5)]
    step += np.where(away < 0, 4, 0)
    rise = gap(pads.pitch)
    over = np.clip(gap(pads.course), -8, 8) + 8
    kind = 2 * pads.re[here, None] + _window(pads.re, at, to, both)
    wait = gap(pads.onset)
    strike = np.where(away > 0, pads.strike[here, None], _window(pads.strike, at, to, both))
    span = np.abs(wait)
    scalars = np.stack(
        [np.log2(span + np.float32(0.125)) / 3, span > strike + 1e-4, np.abs(span - strike) < 1e-4, np.sign(wait)],
        axis=-1,
    )
    real = (away > -500) & (away < 1 << 27)
    return _Pairs(
        (np.clip(rise, -WIDEST, WIDEST) + WIDEST) * STEPS + step,
        over * 4 + kind,
        scalars.astype(np.float32),
        rise,
        real,
        real & (away > 0),
    )


def _mix(table: Floats, rise: Ints, mine: Floats, theirs: Floats) -> Floats:
    """What the interval says if each of its ends may be lifted by an octave, with these chances."""
    both = mine * theirs
    up, down = theirs - both, mine - both
    place = rise + LIFTED
    last = 2 * LIFTED
    total: Floats = table[np.clip(place, 0, last)] * (1 - up - down)[..., None]
    for chance, by in ((up, 12), (down, -12)):
        rows, columns = np.nonzero(chance > 0)
        total[rows, columns] += table[np.clip(place[rows, columns] + by, 0, last)] * chance[rows, columns, None]
    return total


def _first(tree: Tree, of: str, mine: Floats, theirs: Floats, pairs: _Pairs) -> Floats:
    z: Floats = tree[f"t{of}"][pairs.t]
    z += tree[f"k{of}"][pairs.k]
    z += mine[:, None]
    z += theirs
    z += pairs.s @ tree[f"s{of}"]
    return z


def _round(tree: Tree, of: str, h: Floats, pads: _Padded, low: Floats | None) -> Floats:
    """One round of messages between each stop and its neighbours."""
    mine = h @ tree[f"a{of}"]
    theirs = np.pad(h @ tree[f"b{of}"], [(REACH, REACH), (0, 0)])
    lows = None if low is None else np.pad(low, REACH)
    offsets = np.insert(tree[f"d{of}"], REACH, 0, axis=0)
    got = np.empty((pads.rows, 2 * mine.shape[1]), dtype=np.float32)
    size = mine.shape[1]
    for at, to in pads.blocks():
        pairs = _describe(pads, at, to, both=True)
        z = _first(tree, of, mine[at:to], _window(theirs, at, to, True), pairs)
        z += offsets
        if lows is not None:
            z += _mix(tree[f"lift{of}"], pairs.rise, lows[at + REACH : to + REACH, None], _window(lows, at, to, True))
        np.maximum(z, 0, out=z)
        z = z.reshape(-1, size) @ tree[f"m_w{of}"]
        z += tree[f"m_b{of}"]
        np.maximum(z, 0, out=z)
        both = np.zeros((to - at, 2, 2 * REACH + 1), dtype=np.float32)  # those before, those after
        both[:, 0, :REACH], both[:, 1, REACH + 1 :] = pairs.real[:, :REACH], pairs.real[:, REACH + 1 :]
        got[at:to] = (both @ z.reshape(to - at, 2 * REACH + 1, size)).reshape(to - at, -1)
    got /= 8
    added = h @ tree[f"u{of}"] + got @ tree[f"v{of}"] + tree[f"c{of}"]
    result: Floats = h + np.maximum(added, 0)
    return result


def _pairs(tree: Tree, h: Floats, pads: _Padded, low: Floats) -> Floats:
    """Logits of every pair within reach, shape (stops, REACH, 4)."""
    mine = h @ tree["ap"]
    theirs = np.pad(h @ tree["bp"], [(REACH, REACH), (0, 0)])
    lows = np.pad(low, REACH)
    found = np.empty((pads.rows, REACH, 4), dtype=np.float32)
    for at, to in pads.blocks():
        pairs = _describe(pads, at, to, both=False)
        z = _first(tree, "p", mine[at:to], _window(theirs, at, to, False), pairs)
        z += tree["dp"]
        z += _mix(tree["liftp"], pairs.rise, lows[at + REACH : to + REACH, None], _window(lows, at, to, False))
        np.maximum(z, 0, out=z)
        z = np.maximum(z.reshape(-1, z.shape[-1]) @ tree["p_w"] + tree["p_b"], 0)
        z = (z @ tree["out_w"] + tree["out_b"]).reshape(to - at, REACH, 4)
        found[at:to] = np.where(pairs.later[..., None], z, _IMPOSSIBLE)
    return found
