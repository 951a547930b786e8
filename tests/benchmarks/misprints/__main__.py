"""Print the table of misprints: ``python -m tests.benchmarks.misprints [--split dev|test] [--rounds 3] [--seed 0]``.

Errors are seeded into pieces that are right (``seeding`` states the assumptions): arranged corpus pieces of the part
asked for (whole works apart from those learned from), and the anthology. Beside the proposals stand two baselines:
bar sums only, and as many random stops as the program suspects. Brackets: 95 %, by drawing pieces with replacement.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Sequence

import numpy as np

from pipeline.desk.misprints.proposal import OF_MUSIC, OF_TIME, Slip
from tests.benchmarks.misprints.material import RightPiece, anthology, arranged
from tests.benchmarks.misprints.measure import AMONG, FIRST, Counts, bar_sums, count, proposed, random_stops
from tests.benchmarks.misprints.seeding import read
from tests.benchmarks.voices import split

DRAWS = 1000
LINES = frozenset({Slip.BAR_LINE_MISSING, Slip.BAR_LINE_EXTRA})
GROUPS: tuple[tuple[str, frozenset[Slip]], ...] = (
    ("rhythm and bar lines", OF_TIME),
    ("rhythm signs", OF_TIME - LINES),
    *((f"  {slip.value}", frozenset({slip})) for slip in Slip if slip in OF_TIME - LINES),
    ("bar lines", LINES),
    *((f"  {slip.value}", frozenset({slip})) for slip in Slip if slip in LINES),
    ("stops", OF_MUSIC - OF_TIME),
    *((f"  {slip.value}", frozenset({slip})) for slip in Slip if slip in OF_MUSIC - OF_TIME),
)


def shares(counts: Sequence[Counts], slips: frozenset[Slip]) -> np.ndarray:
    """Seeds, found, right first, right among three; one row a piece."""
    whats = ("seeds", "found", FIRST, AMONG)
    return np.array([[sum(one.seeds[slip, what] for slip in slips) for what in whats] for one in counts], dtype=float)


def with_bounds(rows: np.ndarray, top: int, below: int, times: float = 1.0) -> str:
    """A share with its interval by piece."""
    sums = rows.sum(axis=0)
    if not sums[below]:
        return "-"
    chance = np.random.default_rng(1)
    drawn = rows[chance.integers(0, len(rows), (DRAWS, len(rows)))].sum(axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        low, high = np.nanpercentile(times * drawn[:, top] / drawn[:, below], [2.5, 97.5])
    return f"{times * sums[top] / sums[below]:.3f} [{low:.3f}-{high:.3f}]"


def table(title: str, counts: Sequence[Counts]) -> None:
    print(f"\n{title}")
    print(f"{'':26}{'errors':>7}{'found':>24}{'right mend first':>24}{'among three':>24}")
    for name, slips in GROUPS:
        rows = shares(counts, slips)
        cells = "".join(with_bounds(rows, column, 0).rjust(24) for column in (1, 2, 3))
        print(f"{name:26}{int(rows[:, 0].sum()):7}{cells}")
    alarms = np.array(
        [[one.false_time + one.false_stops, one.false_time, one.false_stops, one.clean] for one in counts]
    )
    for place, name in enumerate(("false alarms", "  of rhythm", "  of stops")):
        print(f"{name:26}{int(alarms[:, place].sum()):7}  per 40 clean bars {with_bounds(alarms, place, 3, 40.0)}")


def by_piece(pieces: Sequence[tuple[RightPiece, int]], counts: Sequence[Counts]) -> list[Counts]:
    """The rounds of one piece counted together, so that the brackets are by piece."""
    found: dict[str, Counts] = {}
    for (piece, _), one in zip(pieces, counts, strict=True):
        whole = found.setdefault(piece.text.name, Counts(one.kind))
        whole.seeds += one.seeds
        whole.clean += one.clean
        whole.false_time += one.false_time
        whole.false_stops += one.false_stops
    return list(found.values())


def run(pieces: Sequence[tuple[RightPiece, int]], siblings: bool) -> tuple[list[Counts], list[Counts], list[Counts]]:
    ours, sums, chosen = [], [], []
    whole = {piece.name: read(piece.text, piece.inherited) for piece, _ in pieces} if siblings else {}
    for piece, seed in pieces:
        seeded = piece.seeded(seed)
        others = [sounding for name, sounding in whole.items() if name != piece.name]
        alarms = proposed(seeded, piece.inherited, others)
        ours.append(count(piece.kind, seeded, alarms))
        sums.append(count(piece.kind, seeded, bar_sums(seeded)))
        stops = sum(not alarm.of_time for alarm in alarms)
        chosen.append(count(piece.kind, seeded, random_stops(seeded, stops, random.Random(seed))))
    return by_piece(pieces, ours), by_piece(pieces, sums), by_piece(pieces, chosen)


def show(title: str, pieces: Sequence[tuple[RightPiece, int]], siblings: bool = False) -> None:
    began = time.perf_counter()
    ours, sums, chosen = run(pieces, siblings)
    bars = sum(one.clean for one in ours)
    took = time.perf_counter() - began
    print(f"\n=== {title}: {len(ours)} pieces, {len(pieces)} texts, {bars} bars without an error ({took:.0f} s)")
    table("proposals", ours)
    for kind in sorted({one.kind for one in ours}):
        some = [one for one in ours if one.kind == kind]
        time_rows, stop_rows = shares(some, OF_TIME), shares(some, frozenset(Slip) - OF_TIME)
        alarms = np.array([[one.false_time + one.false_stops, one.clean] for one in some])
        print(
            f"  {kind:12} rhythm found {with_bounds(time_rows, 1, 0)}, first {with_bounds(time_rows, 2, 0)}; stops "
            f"found {with_bounds(stop_rows, 1, 0)}, among three {with_bounds(stop_rows, 3, 0)}; "
            f"false per 40 {with_bounds(alarms, 0, 1, 40.0)}"
        )
    table("baseline: bar sums only", sums)
    table("baseline: random stops", chosen)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--split", choices=("dev", "test"), default="dev")
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    rounds = range(asked.seed, asked.seed + asked.rounds)
    corpus = [(piece, seed) for seed in rounds for piece in arranged(split.names(asked.split), seed)]
    show(f"corpus, {asked.split}", corpus)
    show(
        "anthology",
        [(piece, seed) for seed in range(asked.seed, asked.seed + 5 * asked.rounds) for piece in anthology()],
        True,
    )


if __name__ == "__main__":
    main()
