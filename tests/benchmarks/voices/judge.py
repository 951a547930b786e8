"""Judge the reader by true answers in all idioms and by what editors printed.

``python -m tests.benchmarks.voices.judge FILE …``, files as ``tests.benchmarks.voices.idioms`` makes them. Every link
is counted, also those over a rest. ``--every N`` takes each Nth piece of a group. Keys are inferred, as where none is
declared.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from multiprocessing import Pool
from pathlib import Path
from typing import Any

import numpy as np

from pipeline.edition.lead.lines import LineArrays, read_lines
from pipeline.edition.lead.lines.net import Tree
from pipeline.edition.spelling import spell
from pipeline.model.record import replace
from tests.benchmarks.voices.examples import Example, from_record, records
from tests.benchmarks.voices.measure import Counts, links_of

Group = tuple[str, str, str]


def group_of(piece: dict[str, Any]) -> Group:
    """Idiom, arranger and, of vocal music and editions, habit."""
    habit = piece["habit"] if piece["idiom"] in ("vocal", "human") else ""
    return (piece["idiom"], piece["arranger"], habit)


def judged(piece: dict[str, Any], tree: Tree | None = None) -> tuple[Group, Counts]:
    """The counts of the reading of one piece, by ``tree`` if given, and its group."""
    true = from_record(piece)
    stops = true.stops
    key = spell(stops.onset.tolist(), stops.pitch.tolist()).signature
    read = read_lines(replace(stops, key=key), tree=tree)
    group = group_of(piece)
    counts = _links(true, read) | _lengths(true, read) | _bass(true, read) | _order(true, read) | _octaves(true, read)
    return group, counts | _blocks(true, read) | _stated(true, read) | _sure(true, read)


def _links(true: Example, read: LineArrays) -> Counts:
    wanted = {(row, to) for row, to, _ in true.links} | set(_chord_links(true))
    found = set(links_of(read.voice, true.stops.onset))
    hit = found & wanted
    starts, ends = {row for row, _ in hit}, {to for _, to in hit}
    shared = [len(voices) > 1 for voices in true.voices]
    recalled = sum(
        link in found or (shared[link[0]] and link[0] in starts) or (shared[link[1]] and link[1] in ends)
        for link in wanted
    )
    return {"links": len(wanted), "links found": len(found), "links right": len(hit), "links recalled": recalled}


def _chord_links(true: Example) -> Iterator[tuple[int, int]]:
    """Where a voice has chords, each of its notes goes with each of the next chord."""
    if not true.filler.any():
        return
    chords: dict[int, dict[int, list[int]]] = {}
    for row, voices in enumerate(true.voices):
        for voice in voices:
            chords.setdefault(voice, {}).setdefault(int(true.stops.onset[row]), []).append(row)
    for line in chords.values():
        moments = sorted(line)
        for before, after in pairwise(moments):
            yield from ((one, other) for one in line[before] for other in line[after])


def _lengths(true: Example, read: LineArrays) -> Counts:
    ends = (true.stops.onset + read.length).tolist()
    return {"stops": len(ends), "lengths": sum(end in true.ends[row] for row, end in enumerate(ends))}


def _bass(true: Example, read: LineArrays) -> Counts:
    if true.count < 2:
        return {"bass": 0, "bass found": 0, "bass right": 0}
    wanted = {row for row, voices in enumerate(true.voices) if true.count - 1 in voices}
    found = set(np.flatnonzero(read.voice == read.voices).tolist()) if read.voices > 1 else set()
    return {"bass": len(wanted), "bass found": len(found), "bass right": len(wanted & found)}


def _order(true: Example, read: LineArrays) -> Counts:
    height = true.stops.pitch + 12 * (read.octave > 0)
    pairs = upside = 0
    onset = true.stops.onset
    for rows in np.split(np.arange(len(onset)), np.flatnonzero(np.diff(onset)) + 1):
        for at, one in enumerate(rows.tolist()):
            for other in rows[at + 1 :].tolist():
                if read.voice[one] != read.voice[other]:
                    pairs += 1
                    upside += int((height[one] - height[other]) * (read.voice[other] - read.voice[one]) < 0)
    return {"pairs": pairs, "upside down": upside}


def _octaves(true: Example, read: LineArrays) -> Counts:
    pairs = np.array([(row, to) for row, to, rested in true.links if not rested], dtype=np.int64).reshape(-1, 2)

    def rise(pitch: Any) -> Any:
        return pitch[pairs[:, 1]] - pitch[pairs[:, 0]]

    pitch = true.stops.pitch
    wanted = rise(pitch + 12 * true.low)
    before, after = rise(pitch) == wanted, rise(pitch + 12 * read.octave) == wanted
    up = read.octave > 0
    return {
        "intervals": len(pairs),
        "right before": float(before.sum()),
        "right after": float(after.sum()),
        "harmed": float((before & ~after).sum()),
        "low": float(true.low.sum()),
        "lifted": float(up.sum()),
        "lifted right": float((up & true.low).sum()),
        "asked": float(read.asked.sum()),
    }


def _stated(true: Example, read: LineArrays) -> Counts:
    """For the notes on re-entrant courses how likely an octave is said to be, in bins, and how often it is meant."""
    mine = true.stops.re_entrant
    chance, low = read.chance[mine], true.low[mine]
    place = np.digitize(chance, BINS)
    found = {"asked right": float((read.asked[mine] & low).sum())}
    for number in range(len(BINS) + 1):
        here = place == number
        found |= {f"in {number}": float(here.sum()), f"true {number}": float(low[here].sum())}
        found[f"stated {number}"] = float(chance[here].sum())
    return found


def _sure(true: Example, read: LineArrays) -> Counts:
    """For the notes that follow another how likely they are said to, in bins, and how often they do."""
    wanted = {(row, to) for row, to, _ in true.links} | set(_chord_links(true))
    later = np.flatnonzero(read.follows >= 0)
    right = np.array([(int(read.follows[row]), int(row)) in wanted for row in later], dtype=bool)
    place = np.digitize(read.link[later], BINS)
    found: Counts = {}
    for number in range(len(BINS) + 1):
        here = place == number
        found |= {f"links in {number}": float(here.sum()), f"links true {number}": float(right[here].sum())}
        found[f"links stated {number}"] = float(read.link[later][here].sum())
    return found


def _blocks(true: Example, read: LineArrays) -> Counts:
    """Of the chords of four and more stops that end together how many have one length."""
    chords = one_length = 0
    onset = true.stops.onset
    for rows in np.split(np.arange(len(onset)), np.flatnonzero(np.diff(onset)) + 1):
        if len(rows) >= 4 and len({true.ends[row] for row in rows.tolist()}) == 1:
            chords += 1
            one_length += int(len(set(read.length[rows].tolist())) == 1)
    return {"blocks": chords, "blocks alike": one_length}


def _share(part: float, whole: float) -> float:
    return part / whole if whole else float("nan")


def row(sums: Counts) -> str:
    precision = _share(sums["links right"], sums["links found"])
    recall = _share(sums["links recalled"], sums["links"])
    return "".join(
        f"{figure:8.3f}"
        for figure in (
            _share(2 * precision * recall, precision + recall),
            _share(sums["lengths"], sums["stops"]),
            _share(sums["bass right"], sums["bass"]),
            _share(sums["bass right"], sums["bass found"]),
            100 * _share(sums["upside down"], sums["pairs"]),
            _share(sums["lifted right"], sums["lifted"]),
            _share(sums["lifted right"], sums["low"]),
            100 * _share(sums["right after"] - sums["right before"], sums["intervals"]),
            100 * _share(sums["harmed"], sums["right before"]),
            _share(sums["asked"], sums["pieces"]),
            _share(sums["blocks alike"], sums["blocks"]),
        )
    )


#: Bounds of the stated chances that are counted together.
BINS = (0.05, 0.2, 0.4, 0.6, 0.8, 0.95)


def calibration(sums: list[Counts]) -> Iterator[str]:
    """How likely octaves were said to be, and how often they were meant; the same of links."""
    total: Counts = {}
    for counts in sums:
        for name, count in counts.items():
            total[name] = total.get(name, 0) + count
    for what, of in (("octaves", ""), ("links", "links ")):
        yield f"{what:>8}    stated    true"
        for number in range(len(BINS) + 1):
            if here := total[f"{of}in {number}"]:
                stated, true = total[f"{of}stated {number}"] / here, total[f"{of}true {number}"] / here
                yield f"{here:8.0f}{stated:10.3f}{true:8.3f}"
    right, meant = _share(total["lifted right"], total["lifted"]), _share(total["asked right"], total["asked"])
    yield f"restored {right:.3f} right; asked {total['asked']:.0f}, {meant:.3f} of them meant an octave up"


HEAD = ("F1", "length", "bass R", "bass P", "upside%", "oct P", "oct R", "net", "harm %", "asked", "blocks")


def weights_of(path: Path | None) -> Tree | None:
    """The weights in a file, None for the stored ones."""
    if path is None:
        return None
    with np.load(path) as stored:
        return {name: np.ascontiguousarray(stored[name], dtype=np.float32) for name in stored.files}


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("files", nargs="+", type=Path)
    asked.add_argument("--every", type=int, default=1)
    asked.add_argument("--weights", type=Path, help="other weights than the stored ones")
    args = asked.parse_args()
    groups: dict[Group, list[dict[str, Any]]] = {}
    for path in args.files:
        for piece in records(path):
            groups.setdefault(group_of(piece), []).append(piece)
    chosen = [piece for pieces in groups.values() for piece in pieces[:: args.every]]
    sums: dict[Group, Counts] = {}
    with Pool(2) as pool:
        for group, counts in pool.imap(partial(judged, tree=weights_of(args.weights)), chosen, chunksize=4):
            into = sums.setdefault(group, {})
            for name, count in (counts | {"pieces": 1}).items():
                into[name] = into.get(name, 0) + count
    print(f"{'':28}{'':5}" + "".join(f"{name:>8}" for name in HEAD))
    for group in sorted(sums):
        print(f"{' · '.join(group):28}{sums[group]['pieces']:5.0f}" + row(sums[group]))
    for arranger in sorted({group[1] for group in sums}):
        if any(sums[group]["low"] for group in sums if group[1] == arranger):
            print(f"\n{arranger}:")
            print("\n".join(calibration([sums[group] for group in sums if group[1] == arranger])))


if __name__ == "__main__":
    main()
