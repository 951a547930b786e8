"""Bars that a repeat or double bar divides: short, but half of a whole bar."""

from __future__ import annotations

from pipeline.model.sounding import SoundingBar
from pipeline.model.tablature import BarKind, BarlineAct, BarlineKind, DirectiveKind

_STRAIN_ENDS = frozenset(BarlineKind) - {BarlineKind.SINGLE}
_REPEAT_STARTS = frozenset({BarlineKind.REPEAT_START, BarlineKind.REPEAT_BOTH})


def divided(bars: tuple[SoundingBar, ...]) -> frozenset[int]:
    """Indexes of the bars whose missing part stands elsewhere: in the bar across the dividing line, or at
    the beginning that the players go back to."""
    found: set[int] = set()
    starts = _Starts()
    for before, bar in zip((None, *bars), bars, strict=False):
        begins = before is None or _ends_strain(before) or bar.opening is not None
        starts.enter(bar, before, begins=begins)
        if before is not None and begins and _complete(before, bar):
            found |= {before.index, bar.index}
        if _ends_strain(bar) and any(_complete(bar, start) for start in starts.candidates(bar)):
            found.add(bar.index)
    if bars and any(_complete(bars[-1], start) for start in starts.candidates(bars[-1])):
        found.add(bars[-1].index)
    return frozenset(found)


def begins_strain(bars: tuple[SoundingBar, ...], index: int) -> bool:
    """Whether an upbeat may stand here: at the beginning, after a dividing line, at a new section."""
    bar = bars[index]
    if index == 0 or bar.opening is not None or _ends_strain(bars[index - 1]):
        return True
    return any(line.kind is DirectiveKind.SECTION for line in bar.directives)


class _Starts:
    """Where the players may go back to: the strain, the open repeat, the section, the piece."""

    def __init__(self) -> None:
        self._piece: SoundingBar | None = None
        self._section: SoundingBar | None = None
        self._repeat: SoundingBar | None = None
        self._strain: SoundingBar | None = None

    def enter(self, bar: SoundingBar, before: SoundingBar | None, *, begins: bool) -> None:
        self._piece = self._piece or bar
        if before is None or any(line.kind is DirectiveKind.SECTION for line in bar.directives):
            self._section = self._repeat = bar
        if bar.opening is not None or (before is not None and before.bar.closing.kind in _REPEAT_STARTS):
            self._repeat = bar
        # A strain runs on through its endings.
        if begins and bar.ending < 2:
            self._strain = bar

    def candidates(self, bar: SoundingBar) -> list[SoundingBar]:
        """The beginnings that the end of this bar may lead to, itself not among them."""
        places = (self._strain, self._repeat, self._section, self._piece)
        return [start for start in places if start is not None and start.index != bar.index]


def _ends_strain(bar: SoundingBar) -> bool:
    line = bar.bar.closing
    return line.kind in _STRAIN_ENDS and line.act is not BarlineAct.REMOVED


def _complete(bar: SoundingBar, other: SoundingBar) -> bool:
    """Whether two short bars of one metre make a whole one."""
    if bar.metre is None or other.metre is None or bar.metre.ticks != other.metre.ticks:
        return False
    if BarKind.FREE in (bar.bar.kind, other.bar.kind):
        return False
    return 0 < bar.length < bar.metre.ticks and bar.length + other.length == bar.metre.ticks
