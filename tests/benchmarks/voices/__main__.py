"""Print the table: how well voices, lengths and octaves are read, beside simple readings.

``python -m tests.benchmarks.voices --split dev`` (or ``test``, which is looked at once per release). The
arrangements are seeded; ``--seed`` makes others of the same pieces, ``--wide`` has them made by players of every
manner.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from pipeline.edition.lead.lines import StopArrays, read_lines
from pipeline.edition.scale import infer_scale
from pipeline.edition.spelling import spell
from pipeline.model.record import replace
from tests.benchmarks.voices import baselines, corpus, measure, split
from tests.benchmarks.voices.arrange import Arranged, Habit, arrange
from tests.benchmarks.voices.examples import tablature

DRAWS = 1000
SHOWN = ("link F1", "link P", "link R", "rest F1", "rest. P", "rest. R", "net", "harm %", "repair", "length", "leaps")


@dataclass(slots=True)
class Tally:
    """Counts per piece of one method in one habit."""

    counts: list[measure.Counts] = field(default_factory=list)
    kinds: list[str] = field(default_factory=list)

    def figures(self, kind: str | None = None) -> dict[str, float]:
        chosen = [one for one, of in zip(self.counts, self.kinds, strict=True) if kind in (None, of)]
        return measure.figures(measure.add(chosen)) if chosen else {}

    def interval(self, name: str) -> tuple[float, float]:
        """95 % by drawing pieces with replacement."""
        chance = np.random.default_rng(1)
        names = list(self.counts[0])
        table = np.array([[one[key] for key in names] for one in self.counts])
        draws = []
        for _ in range(DRAWS):
            sums = table[chance.integers(0, len(table), len(table))].sum(axis=0)
            draws.append(measure.figures(dict(zip(names, sums.tolist(), strict=True)))[name])
        low, high = np.nanpercentile(draws, [2.5, 97.5])
        return float(low), float(high)


Method = Callable[[Arranged], measure.Counts]


def _simple(voices: str, octaves: str, lengths: str) -> Method:
    def method(piece: Arranged) -> measure.Counts:
        octave = getattr(baselines, octaves)(piece)
        voice = getattr(baselines, voices)(piece, octave)
        length = baselines.to_next_event(piece) if lengths == "event" else baselines.until_next(piece, voice)
        return measure.measure(piece, voice, octave, length)

    return method


def ours(piece: Arranged, declared: bool = False) -> measure.Counts:
    stops = tablature(piece)
    key = spell(piece.onset.tolist(), piece.sounding.tolist()).signature  # as where none is declared
    found = read_lines(replace(stops, key=key), piece.parts if declared else None)
    counts = measure.measure(piece, found.voice, found.octave, found.length)
    counts["habit right"] = float(found.habit == piece.habit.value)
    counts["voices right"] = float(found.voices == piece.parts)
    counts["asked"] = float(found.asked.sum())
    return counts


METHODS: dict[str, Method] = {
    "sort by pitch": _simple("by_rank", "nothing", "event"),
    "greedy, nothing restored": _simple("greedy", "nothing", "voice"),
    "greedy, +12 on 1-2": _simple("greedy", "rule", "voice"),
    "this reading": ours,
    "  voices declared": lambda piece: ours(piece, declared=True),
}


def table(pieces: dict[Habit, list[Arranged]]) -> None:
    for habit, arranged in pieces.items():
        print(
            f"\n{habit.value}: {len(arranged)} pieces, {sum(len(p.onset) for p in arranged)} stops, "
            f"displaced {np.mean([np.mean(p.pitch != p.sounding) for p in arranged]):.3f}, "
            f"left out {np.mean([p.dropped for p in arranged]):.3f}"
        )
        print(f"{'':26}" + "".join(f"{name:>9}" for name in SHOWN))
        for name, method in METHODS.items():
            tally = Tally([method(piece) for piece in arranged], [split.kind_of(piece.name) for piece in arranged])
            _rows(name, tally, intervals=method is ours)


def _rows(name: str, tally: Tally, intervals: bool) -> None:
    print(f"{name:26}" + _line(tally.figures()))
    if not intervals:
        return
    bounds = [tally.interval(figure) for figure in SHOWN]
    print(f"{'  95 % from':26}" + "".join(f"{low:9.3f}" for low, _ in bounds))
    print(f"{'  to':26}" + "".join(f"{high:9.3f}" for _, high in bounds))
    for kind in split.KINDS:
        found = tally.figures(kind)
        if found:
            print(f"{'  ' + kind:26}" + _line(found))
    sums = measure.add(tally.counts)
    pieces = len(tally.counts)
    print(
        f"  habit right {sums['habit right'] / pieces:.3f}, voices right {sums['voices right'] / pieces:.3f}, "
        f"asked {sums['asked'] / sums['stops'] * 100:.2f} % of the stops"
    )


def _line(figures: dict[str, float]) -> str:
    return "".join(f"{figures[name]:9.3f}" for name in SHOWN)


def scale_and_spelling(pieces: dict[Habit, list[Arranged]]) -> None:
    print(f"\n{'':10}{'scale':>9}{'spelling':>9}{'forgiving':>10}")
    for habit, arranged in pieces.items():
        good = used = right = forgiven = notes = 0
        for piece in arranged:
            found = infer_scale(
                piece.onset, piece.sounding, piece.course, len(piece.neck.stopped), piece.neck.diapasons
            )
            used += len(found)
            good += sum(note.pitch == piece.open_pitches[note.course - 1] for note in found)
            names = np.array(spell(piece.onset.tolist(), piece.sounding.tolist()).fifths) - piece.fifths
            notes += len(names)
            right += int((names == 0).sum())
            forgiven += max(int((names == by).sum()) for by in (-12, 0, 12))
        print(f"{habit.value:10}{good / max(1, used):9.4f}{right / notes:9.4f}{forgiven / notes:10.4f}")


def speed(pieces: list[Arranged]) -> None:
    print("\nspeed, processor time on one core, pieces of four voices in the mixed habit")
    for length in (500, 5000, 50000):
        whole = _joined(pieces, length)
        events = len(np.unique(whole.onset))
        stops = tablature(whole)
        took = min(_processor_time(stops) for _ in range(3 if length < 20000 else 1))
        print(f"  {events:6} events, {len(whole.onset):6} stops: {took:7.3f} s, {events / took:7.0f} events/s")


def _processor_time(stops: StopArrays) -> float:
    """Seconds of one core: what else the machine does is left out. Set OPENBLAS_NUM_THREADS=1."""
    began = time.process_time()
    read_lines(stops)
    return time.process_time() - began


def _joined(pieces: list[Arranged], events: int) -> Arranged:
    """Pieces one after the other, until there are so many events."""
    columns: dict[str, list[np.ndarray]] = {name: [] for name in ("onset", "course", "fret", "sounding", "bars")}
    offset = count = at = 0
    while count < events:
        piece = pieces[at % len(pieces)]
        for name, values in columns.items():
            values.append(getattr(piece, name) + (offset if name in ("onset", "bars") else 0))
        count += len(np.unique(piece.onset))
        offset += int(piece.onset[-1]) + 46126080
        at += 1
    return replace(pieces[0], **{name: np.concatenate(values) for name, values in columns.items()})


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--split", choices=("dev", "test"), default="dev")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--wide", action="store_true")
    asked = parser.parse_args()
    scores = [corpus.load(name) for name in split.names(asked.split)]
    pieces = {habit: [arrange(score, habit, asked.seed, asked.wide) for score in scores] for habit in Habit}
    table(pieces)
    scale_and_spelling(pieces)
    four = [piece for piece in pieces[Habit.MIXED] if piece.parts == 4]
    speed(four)


if __name__ == "__main__":
    main()
