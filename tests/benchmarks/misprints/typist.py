"""Types an arranged score as the source of a measured piece would print it: bar by bar, with a metre.

Tablature gives onsets: each event lasts to the next one. Where a bar line comes first, the rest of the time stands
as a sign with nothing under it. Half of the pieces have Italian figures, half French letters; half write a sign only
where the value changes, half also at the head of each bar (both ways are usual: common practice, no source).
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from itertools import groupby

from pipeline.model.time import WHOLE, Ticks
from tests.benchmarks.voices.arrange import Arranged
from tests.outside.typist import _scale, _values

_LETTERS = "abcdefghiklmn"


class NotTypableError(Exception):
    """The piece has groups (triplets) or values below a 64th: it is left out."""


@dataclass(frozen=True)
class Style:
    """How a source is printed."""

    french: bool
    restates: bool

    @classmethod
    def of(cls, name: str, seed: int) -> Style:
        chance = random.Random(f"style {name} {seed}")
        return cls(chance.random() < 0.5, chance.random() < 0.5)


def typed(piece: Arranged, style: Style) -> str:
    """The whole piece as text."""
    lengths = _bar_lengths(piece)
    usual = max(set(lengths), key=lengths.count)
    lines = [
        "longneck 1",
        "title Arranged",
        f"instrument {piece.neck.name}",
        f"diapasons {_scale(piece)}",
        f"signs {'french' if style.french else 'italian'}",
        f"metre {_metre(usual)}",
        "",
    ]
    force = usual
    held = ""
    bars = _bars(piece, lengths)
    for number, (length, words) in enumerate(bars):
        opening = "|"
        if length != force:
            if number == 0 and length < usual:
                opening = "|<"
            elif _metre(length) and number + 1 < len(bars):
                lines.append(f"metre {_metre(length)}")
                force = length
            else:
                opening = "|<" if length < force else "|>"
        typed_words, held = _with_signs(words, held, style, piece)
        lines.append(f"{opening} {' '.join(typed_words)}")
    return "\n".join(lines) + "\n"


_Word = tuple[str, tuple[tuple[int, int], ...]]


def _with_signs(words: list[_Word], held: str, style: Style, piece: Arranged) -> tuple[list[str], str]:
    found = []
    for place, (value, stops) in enumerate(words):
        sign = f"{value}=" if value != held or (style.restates and not place) or not stops else ""
        held = value
        found.append(sign + (",".join(_stop(course, fret, style) for course, fret in stops) or "-"))
    return found, held


def _stop(course: int, fret: int, style: Style) -> str:
    if course > 6:
        if style.french:
            return {11: "4", 12: "5", 13: "6", 14: "7"}.get(course) or "/" * (course - 7) + "a"
        return "X" if course == 10 else str(course)
    return f"{course}{_LETTERS[fret]}" if style.french else f"{course}:{fret}"


def _bar_lengths(piece: Arranged) -> list[Ticks]:
    starts = piece.bars.tolist()
    end = max(int(piece.onset[-1]) + WHOLE // 4, starts[-1] + WHOLE // 4)
    found = [after - before for before, after in zip(starts, [*starts[1:], end], strict=True)]
    usual = max(set(found[:-1] or found), key=found.count)
    found[-1] = usual if starts[-1] + usual >= int(piece.onset[-1]) + WHOLE // 8 else found[-1]
    return found


def _bars(piece: Arranged, lengths: list[Ticks]) -> list[tuple[Ticks, list[_Word]]]:
    """Each bar's length and words, bars in which nothing stands left out at both ends."""
    rows = zip(piece.onset.tolist(), piece.course.tolist(), piece.fret.tolist(), strict=True)
    events = [(onset, tuple((c, f) for _, c, f in stops)) for onset, stops in groupby(rows, key=lambda row: row[0])]
    starts = piece.bars.tolist()
    ends = [start + length for start, length in zip(starts, lengths, strict=True)]
    found: list[tuple[Ticks, list[_Word]]] = []
    place = 0
    for start, end in zip(starts, ends, strict=True):
        words: list[_Word] = []
        now = start
        while now < end:
            stops: tuple[tuple[int, int], ...] = ()
            if place < len(events) and events[place][0] <= now:
                stops = events[place][1]
                place += 1
            until = min(events[place][0], end) if place < len(events) else end
            if until > now:
                if (until - now) % (WHOLE // 64):
                    raise NotTypableError(f"{piece.name} has a length that no plain sign has")
                first, *rest = _values(until - now)
                words += [(first, stops), *((value, ()) for value in rest)]
            now = max(until, now)
        found.append((end - start, words))
    return [(length, words) for length, words in found if words]


def _metre(length: Ticks) -> str:
    """A measure signature for a bar of this length, empty if there is none."""
    for unit in (4, 2, 8, 1, 16):
        beats, rest = divmod(length * unit, WHOLE)
        if not rest and 1 <= beats <= (6 if unit == 4 else 12):
            return "C" if (beats, unit) == (4, 4) else f"{beats}/{unit}"
    return ""
