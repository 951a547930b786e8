"""The net that weighs lines, octaves, lengths and registers, run with numpy in blocks.

Every stop attends to those around it, four times over, each pair weighed by interval, time and course; after the
second round each stop on a re-entrant course knows how likely it is meant an octave up, and intervals are read so from
there on. The weights are learned (see ``DEVELOPERS.md``).
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from importlib.resources import files

import numpy as np

from pipeline.edition.lead.lines.arrays import FREE, Flags, Floats, StopArrays
from pipeline.edition.lead.lines.features import Seen, see
from pipeline.edition.lead.lines.pairs import REACH, Block, blocks_of, lifted

Tree = dict[str, Floats]
LAYERS, HEADS = 4, 4
#: Long pieces are weighed in windows of so many stops, each with so much before and after it.
WINDOW, MARGIN = 2048, 160
_IMPOSSIBLE = -30.0


@cache
def learned_weights() -> Tree:
    """The stored weights; read once."""
    with (files("pipeline.edition.lead.lines") / "weights.npz").open("rb") as stream, np.load(stream) as stored:
        return {name: np.ascontiguousarray(stored[name], dtype=np.float32) for name in stored.files}


@dataclass(frozen=True, slots=True)
class Weighed:
    """Logarithms of chances. ``ahead`` and ``back``, shape (stops, REACH): that the stop at that distance is the next
    note of the line, as seen from the earlier and (row by row of the earlier too) from the later stop; ``end`` that
    the note ends when it begins; ``no_next``, ``no_last``, ``no_end`` that there is none within reach. ``same`` is
    the chance that both are meant in the octave they sound in or both are not, ``low`` that the note is meant an
    octave up (0 off the re-entrant courses), ``filler`` that no line leads through it. ``register``: (stops, 5), tune,
    three inner ones, bass."""

    ahead: Floats
    back: Floats
    end: Floats
    no_next: Floats
    no_last: Floats
    no_end: Floats
    same: Floats
    low: Floats
    filler: Floats
    register: Floats


def weigh(stops: StopArrays, tree: Tree | None = None) -> Weighed:
    """Run the net. Linear in the number of stops; octaves that are pinned are taken as known."""
    tree = learned_weights() if tree is None else tree
    seen = see(stops)
    known = np.where(stops.pin_octave == FREE, np.nan, np.clip(stops.pin_octave, 0, 1)).astype(np.float32)
    parts = []
    for at in range(0, len(stops), WINDOW):
        first, last = max(0, at - MARGIN), min(len(stops), at + WINDOW + MARGIN)
        cut = Seen(**{field.name: getattr(seen, field.name)[first:last] for field in fields(Seen)})
        got = _weigh(tree, cut, known[first:last])
        inner = slice(at - first, min(at + WINDOW, len(stops)) - first)
        parts.append(Weighed(**{field.name: getattr(got, field.name)[inner] for field in fields(Weighed)}))
    return Weighed(
        **{field.name: np.concatenate([getattr(part, field.name) for part in parts]) for field in fields(Weighed)}
    )


def _weigh(tree: Tree, seen: Seen, known: Floats) -> Weighed:
    blocks = blocks_of(seen)
    biases = [_bias(tree, block) for block in blocks]
    mine = seen.re_entrant > 0
    h = _line(tree, "inp", seen.node)
    low = np.zeros(len(h), dtype=np.float32)
    for layer in range(LAYERS):
        if layer == 2:
            low = _chance(_line(tree, "mid", _norm(h))[:, 0], mine, known)
            h = h + _line(tree, "lifted", np.stack([low, mine.astype(np.float32)], axis=-1))
            low = (low > 0.5).astype(np.float32)
        h = h + _line(tree, f"out.{layer}", _attend(tree, layer, h, blocks, biases, low))
        h = h + _line(tree, f"down.{layer}", np.maximum(_line(tree, f"up.{layer}", _norm(h)), 0))
    return _answers(tree, _norm(h), blocks, low, mine, known)


def _line(tree: Tree, name: str, values: Floats) -> Floats:
    found: Floats = values @ tree[f"{name}.weight"].T + tree[f"{name}.bias"]
    return found


def _norm(h: Floats) -> Floats:
    found: Floats = h / np.sqrt(np.mean(h * h, axis=-1, keepdims=True) + np.float32(1e-5))
    return found


def _chance(logit: Floats, mine: Flags, known: Floats) -> Floats:
    chance = np.where(mine, 1 / (1 + np.exp(-np.clip(logit, -30, 30))), 0)
    found: Floats = np.where(np.isnan(known), chance, known).astype(np.float32)
    return found


def _bias(tree: Tree, block: Block) -> Floats:
    """(layers · heads, stops of the block, stops around it)"""
    found = tree["bias_i.weight"][block.interval]
    found += tree["bias_t.weight"][block.wait]
    found += tree["bias_r.weight"][block.courses]
    found[~block.near] = -1e4
    return np.ascontiguousarray(np.moveaxis(found, -1, 0))


def _attend(tree: Tree, layer: int, h: Floats, blocks: list[Block], biases: list[Floats], low: Floats) -> Floats:
    size = h.shape[1] // HEADS
    qkv = _line(tree, f"qkv.{layer}", _norm(h)).reshape(len(h), 3, HEADS, size).transpose(1, 2, 0, 3)
    q, k, v = qkv[0] * np.float32(size**-0.5), qkv[1], qkv[2]
    found = np.empty_like(h)
    for block, bias in zip(blocks, biases, strict=True):
        score = q[:, block.at : block.to] @ k[:, block.first : block.last].transpose(0, 2, 1)
        score += bias[layer * HEADS : (layer + 1) * HEADS]
        if layer >= 2:
            which = slice((layer - 2) * HEADS, (layer - 1) * HEADS)
            score += np.moveaxis(tree["bias_l.weight"][lifted(block, low), which], -1, 0)
        score -= score.max(axis=-1, keepdims=True)
        np.exp(score, out=score)
        score /= score.sum(axis=-1, keepdims=True)
        got = score @ v[:, block.first : block.last]
        found[block.at : block.to] = got.transpose(1, 0, 2).reshape(block.to - block.at, -1)
    return found


def _answers(tree: Tree, h: Floats, blocks: list[Block], low: Floats, mine: Flags, known: Floats) -> Weighed:
    heads = _line(tree, "heads", h)
    pair = _pairs(tree, h, blocks, low)
    no_next, no_last, no_end = heads[:, 2], heads[:, 3], heads[:, 4]
    ahead, without_next = _shares(pair[..., 0], no_next)
    back = np.full_like(ahead, _IMPOSSIBLE)
    for d in range(min(REACH, len(h) - 1)):
        back[d + 1 :, d] = pair[: -d - 1, d, 0]
    back, without_last = _shares(back, no_last)
    from_earlier = np.full_like(back, _IMPOSSIBLE)
    for d in range(min(REACH, len(h) - 1)):
        from_earlier[: -d - 1, d] = back[d + 1 :, d]
    end, without_end = _shares(pair[..., 2], no_end)
    return Weighed(
        ahead,
        from_earlier,
        end,
        without_next,
        without_last,
        without_end,
        _sigmoid(pair[..., 1]),
        _chance(heads[:, 0], mine, known),
        _sigmoid(heads[:, 1]),
        _shares(heads[:, 5:], np.full(len(h), _IMPOSSIBLE, dtype=np.float32))[0],
    )


def _pairs(tree: Tree, h: Floats, blocks: list[Block], low: Floats) -> Floats:
    """(stops, REACH, 3): link, same octave, end; for each stop with those after it."""
    mine = _line(tree, "pa", h)
    theirs = np.pad(_line(tree, "pb", h), [(0, REACH), (0, 0)])
    found = np.full((len(h), REACH, 3), _IMPOSSIBLE, dtype=np.float32)
    ahead = np.arange(1, REACH + 1)
    for block in blocks:
        rows = np.arange(block.at, block.to)
        column = np.minimum(rows[:, None] + ahead, block.last - 1) - block.first
        here = rows[:, None] - block.at
        z = mine[rows, None] + theirs[rows[:, None] + ahead]
        z += tree["pi.weight"][block.interval[here, column]]
        z += tree["pt.weight"][block.wait[here, column]]
        z += tree["pr.weight"][block.courses[here, column]]
        z += tree["pl.weight"][lifted(block, low)[here, column]]
        z = np.maximum(_line(tree, "p1", np.maximum(z, 0)), 0)
        later = block.later[here, column] & (rows[:, None] + ahead < len(h))
        found[rows] = np.where(later[..., None], _line(tree, "p2", z), _IMPOSSIBLE)
    return found


def _sigmoid(logit: Floats) -> Floats:
    found: Floats = (1 / (1 + np.exp(-np.clip(logit, -30, 30)))).astype(np.float32)
    return found


def _shares(logits: Floats, none: Floats) -> tuple[Floats, Floats]:
    top = np.maximum(logits.max(axis=1), none)
    total = top + np.log(np.exp(logits - top[:, None]).sum(axis=1) + np.exp(none - top))
    return logits - total[:, None], none - total
