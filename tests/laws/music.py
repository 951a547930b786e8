"""Random music for laws: any stops, values, groups, holds and rests, in bars that need not add up."""

from __future__ import annotations

from hypothesis import strategies as st

VALUES = ("1", "2", "2.", "4", "4.", "8", "8.", "16", "4..", "8/3", "4/3", "16/5:4")

stopped = st.integers(1, 6).flatmap(lambda course: st.integers(0, 8).map(lambda fret: (course, f"{course}:{fret}")))
diapasons = st.sampled_from([7, 8, 9, 10, 11, 12, 13, 14]).map(
    lambda course: (course, "X" if course == 10 else str(course))
)
chords = st.lists(st.one_of(stopped, stopped, diapasons), min_size=1, max_size=5, unique_by=lambda stop: stop[0]).map(
    lambda stops: ",".join(typed for _, typed in sorted(stops, reverse=True))
)
heads = st.one_of(st.none(), st.none(), st.sampled_from(VALUES), st.just("'r"))
bodies = st.one_of(chords, chords, chords, st.just("-"))
events = st.tuples(heads, bodies).map(lambda pair: pair[1] if pair[0] is None else f"{pair[0]}={pair[1]}")


def _line(bar: list[str], closing: str) -> str:
    first, *rest = bar
    if "=" not in first:
        first = f"4={first}"
    return " ".join(["|", first, *rest]) + closing


bars = st.tuples(st.lists(events, min_size=1, max_size=8), st.sampled_from(["", "", "", " |!", " ||", " .||"])).map(
    lambda pair: _line(*pair)
)
pieces = st.lists(bars, min_size=1, max_size=6).map("\n".join)
metres = st.sampled_from(["C", "3", "3/2", "6/4", "6/8", "C|", "none"])
