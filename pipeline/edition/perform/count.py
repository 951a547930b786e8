"""What is counted: the strokes of the click, the bar before the music, and the bars that a sequencer is to draw."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import gcd

from pipeline.edition.perform.played import bars_played
from pipeline.model.performance import Beat, Passage
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import BarKind
from pipeline.model.time import WHOLE, Metre, Ticks

#: What is counted before music without measure: four crotchets (this project's own).
_FOUR = Metre("", 4, 4)
#: The largest numerator and the shortest unit that a measure signature of the file can have.
_MOST_BEATS, _SHORTEST = 255, 64

#: A bar as a sequencer is to draw it: when it begins, how long it lasts, the metre it is in.
_Drawn = tuple[Ticks, Ticks, Metre | None]


def count_in(piece: SoundingPiece) -> tuple[Ticks, tuple[Beat, ...], Metre]:
    """A bar of strokes before the first note, with an upbeat also what its bar lacks: how long it lasts, its strokes,
    its metre."""
    first = piece.bars[0] if piece.bars else None
    metre = first.metre if first is not None and first.metre is not None and first.metre.beats else _FOUR
    beat = WHOLE // metre.unit
    lacking = metre.ticks - first.length if first is not None and _is_upbeat(first) else 0
    length = metre.ticks + max(0, lacking)
    strokes = (Beat(at, at % metre.ticks == 0) for at in range(0, length, beat))
    return length, tuple(strokes), metre


def _is_upbeat(bar: SoundingBar) -> bool:
    return bar.bar.kind is BarKind.SHORT and bar.metre is not None and 0 < bar.length < bar.metre.ticks


def beats(piece: SoundingPiece, plan: Sequence[Passage]) -> Iterator[Beat]:
    """A stroke for each beat of the metre; without a metre one for each bar. An upbeat counts back from its end."""
    for passage, bar in bars_played(piece, plan):
        for onset, first in _strokes(bar):
            if passage.start <= onset < passage.end:
                yield Beat(onset + passage.shift, first)


def _strokes(bar: SoundingBar) -> Iterator[tuple[Ticks, bool]]:
    if bar.metre is None or not bar.metre.beats:
        yield bar.onset, True
        return
    beat = WHOLE // bar.metre.unit
    short = bar.bar.kind is BarKind.SHORT
    start = bar.onset + (bar.length % beat if short else 0)
    for number, onset in enumerate(range(start, bar.end, beat)):
        yield onset, number % bar.metre.beats == 0 and not short


def metres(
    piece: SoundingPiece, plan: Sequence[Passage], counted: tuple[Ticks, Metre] | None = None
) -> Iterator[tuple[Ticks, Metre]]:
    """The measure signatures that make every bar of the piece a bar of the file: an upbeat, or any bar shorter or
    longer than its metre, has one of its own; two parts of a bar that a repeat divides are one bar again.

    ``counted`` is the length and metre of what is counted in before; an upbeat then ends the last bar of it.
    """
    last: Metre | None = None
    for at, length, metre in _drawn(_pieces(piece, plan, counted)):
        signature = metre if metre is not None and metre.ticks == length else _fitting(length, metre)
        if signature is not None and signature != last:
            yield at, signature
            last = signature


def _pieces(piece: SoundingPiece, plan: Sequence[Passage], counted: tuple[Ticks, Metre] | None) -> Iterator[_Drawn]:
    """Bars, and parts of bars, in the order of playing."""
    if counted is not None:
        lead, metre = counted
        for at in range(0, lead, metre.ticks):
            yield at, min(metre.ticks, lead - at), metre
    for passage, bar in bars_played(piece, plan):
        start, end = max(bar.onset, passage.start), min(bar.end, passage.end)
        metre_here = bar.metre if bar.metre is not None and bar.metre.beats else None
        if end > start:
            yield start + passage.shift, end - start, metre_here


def _drawn(pieces: Iterator[_Drawn]) -> Iterator[_Drawn]:
    """The same, with a short bar and the next joined where together they fill one bar of their metre."""
    waiting: _Drawn | None = None
    for piece in pieces:
        if waiting is not None:
            at, length, metre = waiting
            if metre is not None and metre == piece[2] and length + piece[1] == metre.ticks:
                yield at, metre.ticks, metre
                waiting = None
                continue
            yield waiting
        waiting = piece
    if waiting is not None:
        yield waiting


def _fitting(length: Ticks, metre: Metre | None) -> Metre | None:
    """A signature as long as a bar, in the unit of its metre where that will do; None where the file can hold none."""
    unit = metre.unit if metre is not None else 4
    step = gcd(length, WHOLE // unit)
    while unit < _SHORTEST and WHOLE // unit != step:
        unit *= 2
        step = gcd(length, WHOLE // unit)
    count, rest = divmod(length, WHOLE // unit)
    return None if rest or not 0 < count <= _MOST_BEATS else Metre("", count, unit)
