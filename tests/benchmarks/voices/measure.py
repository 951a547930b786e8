"""What is counted in a reading of an arranged piece. Every figure is kept as counts, so that pieces add up."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from tests.benchmarks.voices.arrange import Arranged

Ints = npt.NDArray[np.int64]
Counts = dict[str, float]
#: A seventh or more.
LEAP = 10


def links_of(voice: Ints, onset: Ints) -> list[tuple[int, int]]:
    """Consecutive stops of one voice; where it has several at once, each goes with each."""
    chords: dict[tuple[int, int], list[int]] = {}
    for row, place in enumerate(zip(onset.tolist(), voice.tolist(), strict=True)):
        chords.setdefault(place, []).append(row)
    last: dict[int, list[int]] = {}
    pairs: list[tuple[int, int]] = []
    for (_, line), rows in sorted(chords.items()):
        pairs += [(old, row) for old in last.get(line, []) for row in rows]
        last[line] = rows
    return pairs


def measure(piece: Arranged, voice: Ints, octave: Ints, length: Ints) -> Counts:
    """All counts of one reading."""
    return (
        _links(piece, voice, length)
        | _octaves(piece, octave)
        | _leaps(piece, voice, octave)
        | {
            "length right": float((length == piece.length).sum()),
            "stops": float(len(length)),
        }
    )


def _links(piece: Arranged, voice: Ints, length: Ints) -> Counts:
    tight = {(row, to) for row, nexts in enumerate(piece.following) for to, rested in nexts if not rested}
    rest = {(row, to) for row, nexts in enumerate(piece.following) for to, rested in nexts if rested} - tight
    found = set(links_of(voice, piece.onset))
    from_, to_ = _ends(found & (tight | rest))
    shared = [len(voices) > 1 for voices in piece.voices]

    def counted(link: tuple[int, int]) -> bool:
        row, to = link
        return link in found or (shared[row] and row in from_) or (shared[to] and to in to_)

    wrong = found - tight - rest
    gap = [link for link in wrong if piece.onset[link[0]] + length[link[0]] < piece.onset[link[1]]]
    return {
        "tight": len(tight),
        "tight recalled": sum(map(counted, tight)),
        "tight right": len(found & tight),
        "tight wrong": len(wrong) - len(gap),
        "rest": len(rest),
        "rest recalled": sum(map(counted, rest)),
        "rest right": len(found & rest),
        "rest wrong": len(gap),
    }


def _ends(links: set[tuple[int, int]]) -> tuple[set[int], set[int]]:
    return {row for row, _ in links}, {to for _, to in links}


def _octaves(piece: Arranged, octave: Ints) -> Counts:
    rows = [(row, to) for row, nexts in enumerate(piece.following) for to, rested in nexts if not rested]
    pairs = np.array(rows, dtype=np.int64).reshape(-1, 2)
    low = piece.pitch > piece.sounding

    def rise(pitch: Ints) -> Ints:
        return pitch[pairs[:, 1]] - pitch[pairs[:, 0]]

    true = rise(piece.pitch)
    before, after = rise(piece.sounding) == true, rise(piece.sounding + 12 * octave) == true
    up = octave > 0
    return {
        "intervals": len(pairs),
        "right before": float(before.sum()),
        "right after": float(after.sum()),
        "repaired": float((after & ~before).sum()),
        "harmed": float((before & ~after).sum()),
        "low": float(low.sum()),
        "lifted": float(up.sum()),
        "lifted right": float((low & up).sum()),
    }


def _leaps(piece: Arranged, voice: Ints, octave: Ints) -> Counts:
    heard = piece.sounding + 12 * octave
    found = np.array(links_of(voice, piece.onset), dtype=np.int64).reshape(-1, 2)
    true = np.array(
        [(row, to) for row, nexts in enumerate(piece.following) for to, _ in nexts], dtype=np.int64
    ).reshape(-1, 2)
    return {
        "links found": len(found),
        "leaps found": float((abs(heard[found[:, 1]] - heard[found[:, 0]]) >= LEAP).sum()),
        "links true": len(true),
        "leaps true": float((abs(piece.pitch[true[:, 1]] - piece.pitch[true[:, 0]]) >= LEAP).sum()),
    }


def _share(part: float, whole: float) -> float:
    return part / whole if whole else float("nan")


def figures(counts: Counts) -> dict[str, float]:
    """The figures of the table, from summed counts."""
    precision = _share(counts["tight right"], counts["tight right"] + counts["tight wrong"])
    recall = _share(counts["tight recalled"], counts["tight"])
    rest_precision = _share(counts["rest right"], counts["rest right"] + counts["rest wrong"])
    rest_recall = _share(counts["rest recalled"], counts["rest"])
    wrong_before = counts["intervals"] - counts["right before"]
    return {
        "link P": precision,
        "link R": recall,
        "link F1": _share(2 * precision * recall, precision + recall),
        "rest F1": _share(2 * rest_precision * rest_recall, rest_precision + rest_recall),
        "rest. P": _share(counts["lifted right"], counts["lifted"]),
        "rest. R": _share(counts["lifted right"], counts["low"]),
        "repair": _share(counts["repaired"], wrong_before) * 100,
        "harm %": _share(counts["harmed"], counts["right before"]) * 100,
        "net": _share(counts["right after"] - counts["right before"], counts["intervals"]) * 100,
        "length": _share(counts["length right"], counts["stops"]),
        "leaps": abs(
            _share(counts["leaps found"], counts["links found"]) - _share(counts["leaps true"], counts["links true"])
        )
        * 100,
    }


def add(many: list[Counts]) -> Counts:
    return {name: sum(counts[name] for counts in many) for name in many[0]}
