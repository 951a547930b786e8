"""Stretches under one metre whose bars nearly all hold something else: the metre is wrong, not the bars."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from pipeline.model.record import replace
from pipeline.model.signs import Body
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import BarKind, Directive, DirectiveKind
from pipeline.model.time import WHOLE, Metre, Ticks
from pipeline.source.measuring.damage import damaged

#: From so many bars on, and so many of all of them, what they hold is the metre (this project's own, no source).
FEWEST, SHARE = 4, 2 / 3
_FINEST = 64


@dataclass(frozen=True, slots=True)
class OtherMetre:
    """``bars`` of ``of`` bars from ``start`` on that are measured, the first of them ``first``, hold ``held``;
    ``line`` changed to the metre that asks for something else, None if the heading declares it."""

    start: SoundingBar
    first: SoundingBar
    line: Directive | None
    bars: int
    of: int
    held: Ticks


def other_metres(piece: SoundingPiece) -> Iterator[OtherMetre]:
    """Every such stretch."""
    for stretch in _stretches(piece.bars):
        lengths = Counter(bar.length for bar in stretch if _measured(bar))
        if not lengths:
            continue
        held, bars = lengths.most_common(1)[0]
        total = sum(lengths.values())
        asked = next(bar.expected for bar in stretch if _measured(bar))
        if held != asked and bars >= FEWEST and bars >= SHARE * total and _metre(held, 1) is not None:
            first = next(bar for bar in stretch if _measured(bar))
            yield OtherMetre(stretch[0], first, _line(stretch[0]), bars, total, held)


def measured_anew(piece: SoundingPiece, found: tuple[OtherMetre, ...]) -> SoundingPiece:
    """The piece with its bars measured by what most of them hold."""
    held = {other.start.index: other.held for other in found}
    bars: list[SoundingBar] = []
    for stretch in _stretches(piece.bars):
        length = held.get(stretch[0].index)
        for bar in stretch:
            old = bar.metre
            metre = _metre(length, old.unit) if length is not None and old is not None else None
            if metre is None or length is None:
                bars.append(bar)
            else:
                bars.append(replace(bar, metre=metre, expected=length if bar.expected else 0))
    return replace(piece, bars=tuple(bars))


def _stretches(bars: tuple[SoundingBar, ...]) -> Iterator[list[SoundingBar]]:
    """Bars from one change of metre to the next."""
    number = 0
    numbered = []
    for bar in bars:
        number += _line(bar) is not None
        numbered.append((number, bar))
    for _, together in groupby(numbered, key=lambda each: each[0]):
        yield [bar for _, bar in together]


def _line(bar: SoundingBar) -> Directive | None:
    return next((line for line in reversed(bar.directives) if line.kind is DirectiveKind.METRE), None)


def _measured(bar: SoundingBar) -> bool:
    if not bar.expected or bar.bar.kind is not BarKind.MEASURED or bar.bar.ditto is not None or bar.joins_next:
        return False
    blank = len(bar.events) == 1 and bar.events[0].event.body is Body.NOTHING
    return bool(bar.events) and not blank and not damaged(bar.bar.items) and all(event.sign for event in bar.events)


def _metre(length: Ticks, unit: int) -> Metre | None:
    """A metre of so long a bar that no sign is printed for, in this unit or the next smaller that fits."""
    while unit <= _FINEST:
        beats, rest = divmod(length * unit, WHOLE)
        if not rest:
            return Metre("none", beats, unit)
        unit *= 2
    return None
