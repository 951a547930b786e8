"""How good the moving of tablature is.

- ``--exact``: every piece of the anthology in 12 keys on 4 instruments: each note recomputed by a reader of its own,
  the new text checked.
- else: asked for the same key and instrument, how often does the search fall on the source's own course and fret? With
  the source's right-hand pattern, from pitches alone, with the source's choices given; beside it the plainest rule.

``python -m tests.benchmarks.moving [--exact] [PATH …]``; the paths are added to the anthology.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from pathlib import Path

from pipeline.desk.move.record import Moved
from pipeline.desk.move.search import placed
from pipeline.folder.files import discover
from tests.benchmarks.moving.material import ANTHOLOGY, Piece, agreement, given, nearest, own, pieces
from tests.desk.moved import anthology, kinds_of, moved
from tests.desk.test_move_pitches import INSTRUMENTS, INTERVALS, SEMITONES, wrong


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--exact", action="store_true")
    parser.add_argument("paths", nargs="*", type=Path)
    asked = parser.parse_args()
    paths = [ANTHOLOGY, *asked.paths]
    if asked.exact:
        exact(paths)
    else:
        same(pieces(paths))


def same(found: list[Piece]) -> None:
    """The source's own key and instrument."""
    print(f"{'piece':28}{'stops':>6}{'search':>8}{'pitches':>9}{'nearest':>9}{'given':>7}")
    total: Counter[str] = Counter()
    for piece in found:
        hits = {
            "search": agreement(piece)[0],
            "pitches": agreement(piece, blind=True)[0],
            "nearest": own(piece, nearest(piece))[0],
            "given": own(piece, placed(given(piece), piece.necks))[0],
        }
        stops = own(piece, nearest(piece))[1]
        total.update(hits)
        total["stops"] += stops
        _row(piece.name, stops, hits)
    _row("all", total["stops"], total)
    start = time.process_time()
    for piece in found:
        agreement(piece)
    chords = sum(len(piece.chords) for piece in found)
    print(f"{chords / (time.process_time() - start):.0f} events a second, the search alone")


def _row(name: str, stops: int, hits: dict[str, int] | Counter[str]) -> None:
    shares = [hits[key] / max(1, stops) for key in ("search", "pitches", "nearest", "given")]
    print(f"{name:28}{stops:6}{shares[0]:8.3f}{shares[1]:9.3f}{shares[2]:9.3f}{shares[3]:7.3f}")


def exact(paths: list[Path]) -> None:
    """Every key and instrument."""
    told: Counter[str] = Counter()
    own_kinds: Counter[str] = Counter()
    faults = stops = made_pieces = 0
    spent = 0.0
    for file in discover(paths):
        source = anthology(file)
        stops_here = sum(len(event.stops) for bar in source.led.sounding.bars for event in bar.events)
        for number, interval in enumerate(INTERVALS):
            for instrument in INSTRUMENTS:
                start = time.process_time()
                made = moved(source, interval, instrument)
                spent += time.process_time() - start
                found = wrong(source, made, SEMITONES[number])
                faults += len(found)
                for fault in found:
                    print(f"{file.path.stem} {interval} {instrument}: {fault}")
                told.update(one.code.slug for one in made.diagnostics)
                own_kinds.update(_new_kinds(made, source.kinds))
                stops += stops_here
                made_pieces += 1
    print(f"{made_pieces} movings, {stops} stops, {faults} wrong; findings {dict(told)}")
    print(f"kinds of findings in the new texts that their sources lack: {dict(own_kinds)}")
    print(f"{spent:.1f} s of moving")


def _new_kinds(made: Moved, kinds: frozenset[str]) -> frozenset[str]:
    return kinds_of(made.text) - kinds


if __name__ == "__main__":
    main()
