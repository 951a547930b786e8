"""The net that weighs lines, octaves and lengths, run with numpy in blocks that fit the cache.

Three rounds of messages between neighbouring stops; after the second each stop on a re-entrant course knows how
likely it is meant an octave up, and from there on intervals are read as mixtures of both octaves. Then links,
lengths and octaves are weighed, and weighed again along the links found, so that each helps the others. The weights
are learned (see ``DEVELOPERS.md``).
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from importlib.resources import files

import numpy as np

from pipeline.edition.lead.lines.arrays import FREE, Flags, Floats, Ints, StopArrays
from pipeline.edition.lead.lines.features import LIFTED, REACH, Seen, see
from pipeline.edition.lead.lines.pairs import Pairs, Small, describe, from_later, window
from pipeline.edition.lead.lines.tables import prepared

Tree = dict[str, Floats]
#: Stops per block; with their neighbours a block's arrays stay in the processor's cache.
BLOCK = 192
#: Long pieces are weighed in windows of so many stops, each with so much before and after it.
WINDOW, MARGIN = 8192, 160
#: How often the net weighs again along its own links. It learns with twice; once more gains nothing.
LISTENS = 1
_IMPOSSIBLE = -30.0


@cache
def learned_weights() -> Tree:
    """The stored weights; read once."""
    with (files("pipeline.edition.lead.lines") / "weights.npz").open("rb") as stream, np.load(stream) as stored:
        return prepared({name: np.ascontiguousarray(stored[name], dtype=np.float32) for name in stored.files})


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
    event: Ints
    onset: Floats


def weigh(stops: StopArrays, tree: Tree | None = None) -> Weighed:
    """Run the net. Linear in the number of stops; octaves that are pinned are taken as known."""
    tree = learned_weights() if tree is None else prepared(tree)
    seen = see(stops)
    known = np.where(stops.pin_octave == FREE, np.nan, (stops.pin_octave == 1).astype(np.float32)).astype(np.float32)
    rows = len(stops)
    if rows <= WINDOW + 2 * MARGIN:
        return _weigh(tree, seen, known)
    parts = []
    for at in range(0, rows, WINDOW):
        to = min(at + WINDOW, rows)
        first, last = max(0, at - MARGIN), min(rows, to + MARGIN)
        cut = {field.name: getattr(seen, field.name)[first:last] for field in fields(Seen)}
        got = _weigh(tree, Seen(**cut), known[first:last])
        inner = {field.name: getattr(got, field.name)[at - first : to - first] for field in fields(Weighed)}
        parts.append(Weighed(**inner))
    return Weighed(
        **{field.name: np.concatenate([getattr(part, field.name) for part in parts]) for field in fields(Weighed)}
    )


def _weigh(tree: Tree, seen: Seen, known: Floats) -> Weighed:
    blocks = describe(seen, BLOCK)
    mine = seen.re_entrant > 0
    h = np.maximum(seen.node @ tree["in_w"] + tree["in_b"], 0)
    low: Floats = np.zeros(len(h), dtype=np.float32)
    for layer in range(3):
        h = _round(tree, str(layer), h, blocks, low if layer == 2 else None)
        if layer == 1:
            low = _lifted(h @ tree["first_w"] + tree["first_b"], mine, known)
            count = max(1, int(mine.sum()))
            whole = np.array([low[mine].sum() / count, np.abs(low[mine] - 0.5).sum() / count], dtype=np.float32)
            h = h + whole @ tree["whole_w"]
    weighed, narrow = _heads(tree, h, blocks, seen, known)
    for _ in range(LISTENS):
        h = h + np.maximum(h @ tree["ru"] + _along_links(tree, weighed, narrow) + tree["rc"], 0)
        weighed, narrow = _heads(tree, h, blocks, seen, known)
    return weighed


def _lifted(logit: Floats, mine: Flags, known: Floats) -> Floats:
    chance = np.where(mine, 1 / (1 + np.exp(-np.clip(logit, -30, 30))), 0)
    found: Floats = np.where(np.isnan(known), chance, known).astype(np.float32)
    return found


def _mix(z: Floats, table: Floats, rise: Small, mine: Floats, theirs: Floats) -> None:
    """Add what the interval says if each of its ends may be lifted by an octave, with these chances.

    That of the interval as it sounds is in ``z`` already; only the difference is added, where there is any.
    """
    both = mine * theirs
    last = 2 * LIFTED
    for chance, by in ((theirs - both, 12), (mine - both, -12)):
        rows, columns = np.nonzero(chance > 5e-3)
        place = rise[rows, columns] + LIFTED
        change = table[np.clip(place + by, 0, last)] - table[np.clip(place, 0, last)]
        z[rows, columns] += change * chance[rows, columns, None]


class _Room:
    """Arrays of one block, used again for every block: making them anew would cost as much as the sums."""

    def __init__(self, width: int, size: int) -> None:
        self.sum = np.empty((BLOCK, width, size), dtype=np.float32)
        self.one = np.empty((BLOCK, width, size), dtype=np.float32)

    def first(self, tree: Tree, of: str, mine: Floats, theirs: Floats, pairs: Pairs) -> Floats:
        """Both stops and all that is looked up for the pair, summed; shape (stops, neighbours, size)."""
        rows = pairs.to - pairs.at
        z, one = self.sum[:rows], self.one[:rows]
        np.take(tree[f"interval{of}"], pairs.interval, axis=0, out=z, mode="clip")
        for table, place in ((f"courses{of}", pairs.courses), (f"wait{of}", pairs.wait)):
            np.take(tree[table], place, axis=0, out=one, mode="clip")
            z += one
        z += mine[pairs.at : pairs.to, None]
        z += theirs
        z += tree[f"offsets{of}"]
        return z


def _times(z: Floats, weights: Floats, bias: Floats, out: Floats) -> Floats:
    """Positive part of a product, of the last axis."""
    np.maximum(z, 0, out=z)
    np.matmul(z.reshape(-1, z.shape[-1]), weights, out=out.reshape(-1, weights.shape[1]))
    out += bias
    return np.maximum(out, 0, out=out)


def _round(tree: Tree, of: str, h: Floats, blocks: list[Pairs], low: Floats | None) -> Floats:
    """One round of messages between each stop and its neighbours."""
    mine = h @ tree[f"a{of}"]
    theirs = np.pad(h @ tree[f"b{of}"], [(REACH, REACH), (0, 0)])
    lows = None if low is None else np.pad(low, REACH)
    size = mine.shape[1]
    room = _Room(2 * REACH + 1, size)
    got = np.empty((len(h), 2 * size), dtype=np.float32)
    for pairs in blocks:
        at, to = pairs.at, pairs.to
        z = room.first(tree, of, mine, window(theirs, at, to, both=True), pairs)
        if lows is not None:
            here, around = lows[at + REACH : to + REACH, None], window(lows, at, to, both=True)
            _mix(z, tree[f"lift{of}"], pairs.rise, here, around)
        z = _times(z, tree[f"m_w{of}"], tree[f"m_b{of}"], room.one[: to - at])
        if not pairs.real.all():
            z *= pairs.real[..., None]
        got[at:to, :size] = _summed(z[:, :REACH])  # those before
        got[at:to, size:] = _summed(z[:, REACH + 1 :])  # those after
    got /= 8
    added = h @ tree[f"u{of}"] + got @ tree[f"v{of}"] + tree[f"c{of}"]
    result: Floats = h + np.maximum(added, 0)
    return result


def _heads(tree: Tree, h: Floats, blocks: list[Pairs], seen: Seen, known: Floats) -> tuple[Weighed, Floats]:
    """Octaves, then every pair within reach as seen with them; and what is known of each pair."""
    low = _lifted(h @ tree["last_w"] + tree["last_b"], seen.re_entrant > 0, known)
    mine = h @ tree["ap"]
    theirs = np.pad(h @ tree["bp"], [(REACH, REACH), (0, 0)])
    lows = np.pad(low, REACH)
    room = _Room(REACH, mine.shape[1])
    found = np.empty((len(h), REACH, 4), dtype=np.float32)
    narrow = np.empty((len(h), REACH, tree["p_w"].shape[1]), dtype=np.float32)
    for block in blocks:
        at, to, pairs = block.at, block.to, block.ahead()
        z = room.first(tree, "p", mine, window(theirs, at, to, both=False), pairs)
        here, around = lows[at + REACH : to + REACH, None], window(lows, at, to, both=False)
        _mix(z, tree["liftp"], pairs.rise, here, around)
        z = _times(z, tree["p_w"], tree["p_b"], narrow[at:to])
        answers = z @ tree["out_w"] + tree["out_b"]
        found[at:to] = np.where(pairs.later[..., None], answers, _IMPOSSIBLE)
    none = h @ tree["none_w"] + tree["none_b"]
    tight, rest, end, same = (found[..., column] for column in range(4))
    return Weighed(tight, rest, end, same, none[:, 0], none[:, 1], low, seen.event, seen.onset), narrow


def _along_links(tree: Tree, weighed: Weighed, narrow: Floats) -> Floats:
    """What is known of each likely link, brought to both its ends."""
    both = np.logaddexp(weighed.tight, weighed.rest)
    ahead = _shares(both, weighed.no_next)
    back = _shares(from_later(both, _IMPOSSIBLE), weighed.no_last)
    forward = _summed(narrow * ahead[..., None])
    backward: Floats = np.zeros_like(forward)
    for d in range(min(REACH, len(narrow) - 1)):
        backward[d + 1 :] += back[d + 1 :, d, None] * narrow[: -d - 1, d]
    result: Floats = forward @ tree["rn"] + backward @ tree["rl"]
    return result


def _summed(z: Floats) -> Floats:
    """The sum over the second axis, REACH long, by halves and in place."""
    left = REACH
    while left > 1:
        left //= 2
        z[:, :left] += z[:, left : 2 * left]
    return z[:, 0]


def _shares(logits: Floats, none: Floats) -> Floats:
    top = np.maximum(logits.max(axis=1), none)
    raised = np.exp(logits - top[:, None])
    shares: Floats = raised / (raised.sum(axis=1) + np.exp(none - top))[:, None]
    return shares
