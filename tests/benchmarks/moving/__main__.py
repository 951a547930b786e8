"""How good the moving of tablature is.

- ``--exact``: every piece of the anthology in 12 keys on 4 instruments: each note recomputed by a reader of its own,
  the new text checked.
- ``--keys``: the same pieces in 12 keys on their own instruments: how many notes keep their octave, and how many
  chords a hand can play whole; by the search, by the plainest rule, and by a shift of all frets.
- ``--costs``: how far the shares move when one figure of the costs is halved or doubled.
- else: asked for the same key and instrument, how often does the search fall on the source's own course and fret? With
  the source's right-hand pattern, from pitches alone, with the source's choices given; beside it the plainest rule.

``python -m tests.benchmarks.moving [--exact | --keys | --costs] [PATH …]``; the paths are added to the anthology.
"""

from __future__ import annotations

import argparse
import dataclasses
import time
from collections import Counter
from pathlib import Path

from pipeline.desk.move.record import Moved
from pipeline.desk.move.search import placed
from pipeline.desk.move.search.costs import COSTS, Costs
from pipeline.folder.files import discover
from pipeline.model.interval import Interval, parse_interval
from pipeline.model.record import replace
from tests.benchmarks.moving.material import ANTHOLOGY, Piece, agreement, given, kept, nearest, own, pieces, shifted
from tests.desk.moved import anthology, kinds_of, moved
from tests.desk.test_move_pitches import INSTRUMENTS, INTERVALS, SEMITONES, wrong


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for option in ("--exact", "--keys", "--costs"):
        parser.add_argument(option, action="store_true")
    parser.add_argument("paths", nargs="*", type=Path)
    asked = parser.parse_args()
    paths = [ANTHOLOGY, *asked.paths]
    if asked.exact:
        exact(paths)
    elif asked.keys:
        keys(paths)
    elif asked.costs:
        figures(pieces(paths))
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


def keys(paths: list[Path]) -> None:
    """Twelve keys on the instrument of each piece."""
    sums: dict[str, list[int]] = {name: [0, 0, 0, 0] for name in ("search", "nearest", "shift")}
    for name, semitones in zip(INTERVALS, SEMITONES, strict=True):
        interval = parse_interval(name)
        assert isinstance(interval, Interval)
        for piece in pieces(paths, interval) if semitones else ():
            ways = {
                "search": placed(piece.chords, piece.necks),
                "nearest": nearest(piece),
                "shift": shifted(piece, semitones),
            }
            for way, found in ways.items():
                sums[way] = [one + two for one, two in zip(sums[way], kept(piece, found), strict=True)]
    for way, (exact_stops, stops, whole, chords) in sums.items():
        print(f"{way:10}{exact_stops / stops:8.3f} of {stops} stops in their octave")
        print(f"{'':10}{whole / chords:8.3f} of {chords} chords whole in one hand")


def figures(found: list[Piece]) -> None:
    """Each figure of the costs halved and doubled."""

    def share(costs: Costs, *, blind: bool) -> float:
        hits = [agreement(piece, costs, blind=blind) for piece in found]
        return sum(one for one, _ in hits) / sum(of for _, of in hits)

    print(f"{'figure':16}{'as is':>8}{'half':>16}{'double':>16}   search, pitches alone")
    for name in vars_of(COSTS):
        tried = [replace(COSTS, **{name: getattr(COSTS, name) * by}) for by in (0.5, 2.0)]
        shares = [f"{share(costs, blind=False):8.3f}{share(costs, blind=True):8.3f}" for costs in tried]
        print(f"{name:16}{getattr(COSTS, name):8.2f}{''.join(shares)}", flush=True)


def vars_of(costs: Costs) -> list[str]:
    return [one.name for one in dataclasses.fields(costs)]


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
