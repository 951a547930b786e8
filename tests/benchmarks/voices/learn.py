"""Learn the reader's weights: ``python -m tests.benchmarks.voices.learn --out weights.npz`` (torch; a GPU if any).

Seeded. Examples are made by all processors, cut into stretches of ``LENGTH`` stops, and learned from for ``--steps``.
On a CPU, with one thread, the same command gives the same bytes; a GPU is much faster. The result is judged by
``python -m tests.benchmarks.voices.judge``, on the development part.
"""

from __future__ import annotations

import argparse
import random
import time
from dataclasses import dataclass
from fractions import Fraction
from multiprocessing import Pool
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn
from torch.nn import functional

from pipeline.edition.lead.lines.features import NODE, see
from pipeline.edition.lead.lines.pairs import REACH
from tests.benchmarks.voices import corpus, examples, split
from tests.benchmarks.voices.arrange import Habit, arrange
from tests.benchmarks.voices.breaking import KINDS, idiom
from tests.benchmarks.voices.examples import REGISTERS, Example
from tests.benchmarks.voices.variety import varied

WIDTH, HEADS, LAYERS, PAIR, HIDDEN = 96, 4, 4, 32, 192
#: Share of the net's figures that are left out at random while it learns; without it longer learning only fits the
#: pieces learned from.
DROPPED = 0.15
LENGTH = 256
INTERVAL, TIME, RESTRIKE, LIFT = 53 * 5, 17 * 20, 17 * 3, 97
TIMES = {"bach": 3, "monteverdi": 7, "palestrina": 1, "other": 8}


def columns(piece: Example, move: int = 0) -> dict[str, np.ndarray]:
    seen = see(piece.stops)
    rows = len(seen.event)
    nexts, lasts = np.zeros((rows, REACH), np.float16), np.zeros((rows, REACH), np.float16)
    no_next, no_last, end = np.ones(rows, np.float16), np.ones(rows, np.float16), np.full((rows, 2), -1, np.int8)
    out, into = np.zeros(rows), np.zeros(rows)
    for row, to, _ in piece.links:
        out[row] += 1
        into[to] += 1
    same = np.full((rows, REACH), -1, np.int8)
    for row, to, _ in piece.links:
        if to - row <= REACH:
            nexts[row, to - row - 1] += 1 / out[row]
            no_next[row] -= 1 / out[row]
            lasts[to, to - row - 1] += 1 / into[to]
            no_last[to] -= 1 / into[to]
            same[row, to - row - 1] = piece.low[row] == piece.low[to]
    onset = piece.stops.onset
    for row in range(rows):
        moment = max(piece.ends[row])
        a, b = int(np.searchsorted(onset, moment)), int(np.searchsorted(onset, moment, "right"))
        if a >= rows or a - row > REACH:
            end[row] = (-2, -2)  # none within reach
        elif onset[a] == moment:
            end[row] = (a - row - 1, min(b - row, REACH + 1) - 1)
    reg = np.zeros((rows, 5), np.float16)
    names = REGISTERS.get(piece.count, (0, 1, 2, 3, 4))
    for row, voices in enumerate(piece.voices):
        for v in voices:
            reg[row, names[min(v, len(names) - 1)]] += 1 / len(voices)
    return {
        "node": seen.node.astype(np.float16),
        "event": seen.event.astype(np.int32),
        "onset": seen.onset.astype(np.float64),
        "pitch": seen.pitch.astype(np.int32),
        "course": seen.course.astype(np.int32),
        "re": seen.re_entrant.astype(np.int32),
        "strike": seen.strike.astype(np.float32),
        "nexts": nexts,
        "lasts": lasts,
        "no_next": no_next,
        "no_last": no_last,
        "same": same,
        "end": end,
        "reg": reg,
        "low": piece.low.astype(np.float32),
        "filler": piece.filler.astype(np.float32),
    }


def _score(job: tuple[str, int, int]) -> list[dict[str, np.ndarray]]:
    name, times, seed = job
    chance = random.Random(f"{name} {seed}")
    score = corpus.load(name)
    found = []
    for habit in Habit:
        for turn in range(times):
            piece = arrange(varied(score, chance), habit, seed * 1000 + turn, wide=chance.random() < 0.75)
            if len(piece.onset) > 24 and piece.dropped < 0.15:
                found.append(columns(examples.from_arranged(piece)))
            if chance.random() < (0.6 if times > 1 else 0.25):
                piece = arrange(score, habit, seed * 1000 + 500 + turn, wide=True)
                made = idiom(piece, chance.choice(KINDS), chance)
                if made is not None:
                    found.append(columns(made))
    return found


def _edition(job: tuple[dict[str, Any], int]) -> list[dict[str, np.ndarray]]:
    piece, seed = job
    chance = random.Random(f"{piece['name']} {seed}")
    found = []
    for lowered in ((), (), (1, 2), (1, 2), (1,)):
        slower = Fraction(chance.choice((1, 2, 2, 2, 4)), 2)
        made = examples.from_edition(piece, lowered=lowered, move=chance.randint(-7, 5), slower=slower)
        found.append(columns(made))
    return found


def _record(piece: dict[str, Any]) -> list[dict[str, np.ndarray]]:
    if len(piece["events"]) < 20:
        return []
    return [columns(examples.from_record(piece))]


def lessons(editions_at: Path, seed: int, others: list[str], many: int) -> list[dict[str, np.ndarray]]:
    """What is learned from. Of the editions only those whose works stand in a file of ``others``, if any is given."""
    jobs = [(name, TIMES[kind] * many, seed) for kind in TIMES for name in split.names("train", kind)]
    jobs = [job for job in jobs if (corpus.CACHE / "scores" / (job[0].replace("/", "+") + ".npz")).exists()]
    records = [piece for path in others for piece in examples.records(Path(path))]
    works = {piece["work"] for piece in records if piece["idiom"] == "human"}
    human = [(piece, seed) for piece in examples.editions(editions_at) if piece["work"] in works]
    with Pool() as pool:
        made = [one for many in pool.map(_score, jobs, chunksize=4) for one in many]
        printed = [one for many in pool.map(_edition, human, chunksize=2) for one in many]
        theirs = [one for many in pool.map(_record, records, chunksize=8) for one in many]
    for what, pieces in (("arranged", made), ("editions", printed), ("by other hands", theirs)):
        print(what, len(pieces), "pieces", sum(len(piece["event"]) for piece in pieces), "stops", flush=True)
    return made + printed * 3 + theirs * 2


class Looking(torch.autograd.Function):
    """Rows of a table; the many gradients of one row are summed by a product, which a GPU does much faster."""

    @staticmethod
    def forward(ctx: Any, table: torch.Tensor, rows: torch.Tensor) -> torch.Tensor:
        ctx.save_for_backward(rows)
        ctx.size = len(table)
        return functional.embedding(rows, table)

    @staticmethod
    def backward(ctx: Any, *grads: torch.Tensor) -> tuple[torch.Tensor, None]:
        (rows,) = ctx.saved_tensors
        flat = grads[0].reshape(-1, grads[0].shape[-1])
        which = functional.one_hot(rows.reshape(-1).long(), ctx.size).to(torch.bfloat16)
        return (which.T @ flat.to(torch.bfloat16)).float(), None


def look(table: nn.Embedding, rows: torch.Tensor) -> torch.Tensor:
    if rows.device.type == "cuda":
        found: torch.Tensor = Looking.apply(table.weight, rows)
        return found
    return functional.embedding(rows, table.weight)


class Reader(nn.Module):
    def __init__(self) -> None:
        super().__init__()
        self.left_out = nn.Dropout(DROPPED)
        self.inp = nn.Linear(NODE, WIDTH)
        self.qkv = nn.ModuleList(nn.Linear(WIDTH, 3 * WIDTH) for _ in range(LAYERS))
        self.out = nn.ModuleList(nn.Linear(WIDTH, WIDTH) for _ in range(LAYERS))
        self.up = nn.ModuleList(nn.Linear(WIDTH, HIDDEN) for _ in range(LAYERS))
        self.down = nn.ModuleList(nn.Linear(HIDDEN, WIDTH) for _ in range(LAYERS))
        self.bias_i = nn.Embedding(INTERVAL, HEADS * LAYERS)
        self.bias_t = nn.Embedding(TIME, HEADS * LAYERS)
        self.bias_r = nn.Embedding(RESTRIKE, HEADS * LAYERS)
        self.bias_l = nn.Embedding(LIFT, HEADS * 2)
        self.lifted = nn.Linear(2, WIDTH)
        self.mid = nn.Linear(WIDTH, 1)
        self.heads = nn.Linear(WIDTH, 10)  # low, filler, no next, no last, no end, five registers
        self.pa, self.pb = nn.Linear(WIDTH, PAIR), nn.Linear(WIDTH, PAIR)
        self.pi, self.pt = nn.Embedding(INTERVAL, PAIR), nn.Embedding(TIME, PAIR)
        self.pr, self.pl = nn.Embedding(RESTRIKE, PAIR), nn.Embedding(LIFT, PAIR)
        self.p1, self.p2 = nn.Linear(PAIR, PAIR), nn.Linear(PAIR, 3)
        for e in (self.bias_i, self.bias_t, self.bias_r, self.bias_l, self.pi, self.pt, self.pr, self.pl):
            nn.init.normal_(e.weight, std=0.05)

    def forward(self, x: dict[str, torch.Tensor]) -> dict[str, torch.Tensor]:
        """Each stop with those at most REACH before and after it: (stretches, stops, 2 · REACH + 1, …)."""
        many, size = x["event"].shape
        around = torch.arange(-REACH, REACH + 1, device=x["event"].device)
        there = torch.arange(size, device=around.device)[:, None] + around
        idx = there.clamp(0, size - 1)
        inside = ((there >= 0) & (there < size))[None] & x["real"][:, idx]
        near = inside & x["real"][..., None] | (around == 0)
        i1, i2, i3, rise = pair_indices(x, idx)
        bias = (look(self.bias_i, i1) + look(self.bias_t, i2) + look(self.bias_r, i3)).unflatten(-1, (LAYERS, HEADS))
        block = torch.where(near, 0.0, -1e4)[..., None]
        h = self.left_out(self.inp(x["node"]))
        low = torch.zeros_like(x["low"])
        mid, lift_bias = low, None
        for n in range(LAYERS):
            if n == 2:
                mid = self.mid(norm(h))[..., 0]
                chance = torch.sigmoid(mid.detach()) * x["re"]
                low = (chance > 0.5).float()
                h = h + self.lifted(torch.stack([chance, x["re"].float()], -1))
                lift_bias = look(self.bias_l, lifted(rise, low, idx)).unflatten(-1, (2, HEADS))
            extra = bias[..., n, :] + block + (lift_bias[..., n - 2, :] if lift_bias is not None else 0)
            q, k, v = self.qkv[n](norm(h)).unflatten(-1, (3, HEADS, WIDTH // HEADS)).unbind(2)
            k, v = (functional.pad(one, (0, 0, 0, 0, REACH, REACH)).unfold(1, 2 * REACH + 1, 1) for one in (k, v))
            score = torch.einsum("bshd,bshdw->bswh", q, k) * (WIDTH // HEADS) ** -0.5
            share = torch.softmax(score.float() + extra.float(), 2).to(v.dtype)
            got = torch.einsum("bswh,bshdw->bshd", share, v)
            h = h + self.left_out(self.out[n](got.reshape(many, size, WIDTH)))
            h = h + self.left_out(self.down[n](self.left_out(functional.relu(self.up[n](norm(h))))))
        z = self.left_out(norm(h))
        heads = self.heads(z)
        later = slice(REACH + 1, None)
        i1, i2, i3, rise, idx = i1[..., later], i2[..., later], i3[..., later], rise[..., later], idx[:, later]
        p = self.pa(z)[:, :, None] + self.pb(z)[:, idx] + look(self.pi, i1) + look(self.pt, i2) + look(self.pr, i3)
        p = functional.relu(p + look(self.pl, lifted(rise, low, idx)))
        p = self.p2(functional.relu(self.p1(p)))
        after = (x["event"][:, idx] > x["event"][:, :, None]) & inside[..., later]
        p = torch.where(after[..., None], p.float(), torch.tensor(-30.0, device=p.device))
        return {"mid": mid.float(), "heads": heads.float(), "pair": p, "later": after}


def lifted(rise: torch.Tensor, low: torch.Tensor, idx: torch.Tensor) -> torch.Tensor:
    """Rows of the tables of intervals as they are meant."""
    return (rise + 12 * (low[:, idx] - low[:, :, None])).long().clamp(-48, 48) + 48


def norm(h: torch.Tensor) -> torch.Tensor:
    return h * torch.rsqrt((h.float() ** 2).mean(-1, keepdim=True) + 1e-5).to(h.dtype)


def pair_indices(x: dict[str, torch.Tensor], idx: torch.Tensor) -> tuple[torch.Tensor, ...]:
    """For each stop and those at ``idx``: rows of the tables, and the interval to them."""

    def d(a: torch.Tensor) -> torch.Tensor:
        return a[:, idx] - a[:, :, None]

    rise, ev, wait, over = d(x["pitch"]), d(x["event"]), d(x["onset"]), d(x["course"])
    kind = torch.where(over == 0, 4, x["re"][:, :, None] * 2 + x["re"][:, idx])
    i1 = (rise.clamp(-26, 26) + 26) * 5 + kind
    span = wait.abs().float()
    bucket = ((torch.log2(span + 0.0625) + 4) * 2 + 0.5).long().clamp(0, 19)
    i2 = (ev.clamp(-8, 8) + 8) * 20 + bucket
    strike = torch.where(ev > 0, x["strike"][:, :, None], x["strike"][:, idx])
    again = torch.where(span > strike + 1e-3, 2, torch.where(span > strike - 1e-3, 1, 0))
    i3 = (over.clamp(-8, 8) + 8) * 3 + again
    return i1, i2, i3, rise


def loss_of(got: dict[str, torch.Tensor], x: dict[str, torch.Tensor]) -> torch.Tensor:
    heads, pair, real = got["heads"], got["pair"], x["real"].float()
    low, filler, none_next, none_last, none_end, reg = (
        heads[..., 0],
        heads[..., 1],
        heads[..., 2],
        heads[..., 3],
        heads[..., 4],
        heads[..., 5:],
    )
    lead = real * (1 - x["filler"])
    forward = torch.cat([pair[..., 0], none_next[..., None]], -1).log_softmax(-1)
    want = torch.cat([x["nexts"], x["no_next"][..., None]], -1)
    total = mean(-(forward * want).sum(-1), lead)
    back = torch.full_like(pair[..., 0], -30.0)
    for dist in range(1, REACH + 1):
        back[:, dist:, dist - 1] = pair[:, :-dist, dist - 1, 0]
    backward = torch.cat([back, none_last[..., None]], -1).log_softmax(-1)
    want = torch.cat([x["lasts"], x["no_last"][..., None]], -1)
    total = total + mean(-(backward * want).sum(-1), lead)
    ends = torch.cat([pair[..., 2], none_end[..., None]], -1).log_softmax(-1)
    place = torch.arange(REACH + 1, device=ends.device)
    first, last = x["end"][..., :1].long(), x["end"][..., 1:].long()
    hit = torch.where(first == -2, place == REACH, (place >= first) & (place <= last) & (place < REACH))
    known = (first[..., 0] != -1).float() * real
    total = total + mean(-torch.logsumexp(torch.where(hit, ends, torch.tensor(-1e4, device=ends.device)), -1), known)
    re = real * x["re"]
    total = total + 1.2 * mean(functional.binary_cross_entropy_with_logits(low, x["low"], reduction="none"), re)
    total = total + 0.3 * mean(functional.binary_cross_entropy_with_logits(got["mid"], x["low"], reduction="none"), re)
    total = total + mean(-(reg.log_softmax(-1) * x["reg"]).sum(-1), real)
    total = total + 0.5 * mean(functional.binary_cross_entropy_with_logits(filler, x["filler"], reduction="none"), real)
    alike = (x["same"] >= 0).float() * got["later"].float()
    same = functional.binary_cross_entropy_with_logits(pair[..., 1], (x["same"] == 1).float(), reduction="none")
    return total + 0.5 * mean(same, alike)


def mean(loss: torch.Tensor, weight: torch.Tensor) -> torch.Tensor:
    return (loss * weight).sum() / weight.sum().clamp(min=1)


@dataclass
class Deck:
    """All pieces end to end on the device, cut at random."""

    data: dict[str, torch.Tensor]
    start: np.ndarray
    size: np.ndarray

    @classmethod
    def of(cls, pieces: list[dict[str, np.ndarray]], device: str) -> Deck:
        size = np.array([len(p["event"]) for p in pieces])
        names = pieces[0]
        data = {n: torch.from_numpy(np.concatenate([p[n] for p in pieces])).to(device) for n in names}
        return cls(data, np.cumsum(size) - size, size)

    def draw(self, chance: np.random.Generator, batch: int) -> dict[str, torch.Tensor]:
        weight = np.minimum(self.size, 600) / np.minimum(self.size, 600).sum()
        piece = chance.choice(len(self.size), batch, p=weight)
        room = np.maximum(self.size[piece] - LENGTH, 0)
        first = (chance.random(batch) * (room + 1)).astype(np.int64)
        device = self.data["event"].device
        place = torch.from_numpy(self.start[piece] + first).to(device)[:, None] + torch.arange(LENGTH, device=device)
        end = torch.from_numpy(self.start[piece] + self.size[piece]).to(device)[:, None]
        real = place < end
        place = torch.minimum(place, end - 1)
        x = {name: values[place] for name, values in self.data.items()}
        x["real"] = real
        x["event"] = x["event"].long()
        for name in ("node", "nexts", "lasts", "no_next", "no_last", "reg"):
            x[name] = x[name].float()
        return x


def edges(x: dict[str, torch.Tensor]) -> dict[str, torch.Tensor]:
    """Links that leave the stretch count as none known: such rows are not asked."""
    size = LENGTH
    at = torch.arange(size, device=x["event"].device)
    x["no_last"] = torch.where((at < REACH)[None], torch.zeros_like(x["no_last"]), x["no_last"])
    cut = at[:, None] + torch.arange(1, REACH + 1, device=at.device) >= size
    x["nexts"] = torch.where(cut[None], torch.zeros_like(x["nexts"]), x["nexts"])
    back = at[:, None] - torch.arange(1, REACH + 1, device=at.device) < 0
    x["lasts"] = torch.where(back[None], torch.zeros_like(x["lasts"]), x["lasts"])
    tail = (at >= size - REACH)[None, :, None]
    x["end"] = torch.where(tail, torch.full_like(x["end"], -1), x["end"])
    return x


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--out", required=True)
    asked.add_argument("--editions", required=True, help="human editions (.jsonl.gz)")
    asked.add_argument("--steps", type=int, default=24_000)
    asked.add_argument("--batch", type=int, default=64)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--many", type=int, default=1, help="times as many arrangements of each score")
    asked.add_argument("--start", default="")
    asked.add_argument("--others", nargs="*", default=[], help="arrangements by other hands (.jsonl.gz)")
    asked.add_argument("--rate", type=float, default=2e-3)
    args = asked.parse_args()
    torch.manual_seed(args.seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    deck = Deck.of(lessons(Path(args.editions), args.seed, args.others, args.many), device)
    net = Reader().to(device)
    if args.start:
        with np.load(args.start) as old:
            net.load_state_dict({n: torch.from_numpy(old[n].astype(np.float32)) for n in old.files})
    rule = torch.optim.AdamW(net.parameters(), lr=args.rate, weight_decay=0.05, betas=(0.9, 0.98))
    chance = np.random.default_rng(args.seed)
    read = torch.compile(net) if device == "cuda" else net
    began, seen = time.time(), 0.0
    smooth: dict[str, torch.Tensor] = {n: p.detach().clone() for n, p in net.state_dict().items()}
    for step in range(args.steps):
        rate = args.rate * min(1, (step + 1) / 200) * max(0.01, 0.5 + 0.5 * np.cos(np.pi * step / args.steps))
        for group in rule.param_groups:
            group["lr"] = rate
        x = edges(deck.draw(chance, args.batch))
        with torch.autocast(device, dtype=torch.bfloat16, enabled=device == "cuda"):
            got = read(x)
        loss = loss_of(got, x)
        rule.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        rule.step()
        if step % 10 == 0:
            for n, p in net.state_dict().items():
                smooth[n].lerp_(p.detach(), min(1.0, 0.05))
        seen = seen * 0.98 + float(loss.detach()) * 0.02 if step % 10 == 0 else seen
        if step % 500 == 499:
            save(args.out, smooth)
            print(step + 1, round(time.time() - began), round(seen, 4), flush=True)
    save(args.out, smooth)


def save(path: str, weights: dict[str, torch.Tensor]) -> None:
    np.savez(path, **{name: value.cpu().numpy().astype(np.float16) for name, value in weights.items()})


if __name__ == "__main__":
    main()
