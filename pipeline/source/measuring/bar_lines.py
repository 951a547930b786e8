"""Bar lines that make a bar too short or too long: one too many, or one missing.

After signs of rhythm, bar lines missing or doubled are the usual misprints (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.model.sounding import SoundingBar
from pipeline.model.tablature import BarKind
from pipeline.source.measuring.mending import Mend, Way
from pipeline.source.measuring.stretches import Stretch, is_off

#: Less than one hook, more than one hook that gives a rhythm which other bars have.
COST = 0.6


def bar_line_mends(stretch: Stretch, following: SoundingBar | None) -> Iterator[Mend]:
    """What a bar line more or less would mend; nothing for bars joined by the editor's own lines."""
    if len(stretch.bars) > 1:
        return
    bar = stretch.bars[0]
    if following is not None and _halves(bar, following):
        yield Mend(
            COST,
            len(bar.events),
            Way.BAR_LINE,
            None,
            bar.bar.closing.span,
            f"the bar line after it is superfluous, since bar {following.label} is too short by as much",
            "!| if the source has it",
            mends_next=True,
        )
    place = _missing(stretch)
    if place:
        yield Mend(
            COST,
            place,
            Way.BAR_LINE,
            None,
            bar.events[place - 1].event.span,
            f"a bar line is missing before event {place}",
            "|! if the source lacks it",
        )


def _halves(bar: SoundingBar, following: SoundingBar) -> bool:
    """Whether two bars, both too short, make one."""
    if not is_off(following) or following.directives:
        return False
    if bar.bar.kind is not BarKind.MEASURED or following.bar.kind is not BarKind.MEASURED:
        return False
    return bar.length + following.length == bar.expected == following.expected


def _missing(stretch: Stretch) -> int:
    """The event (from 1) before which a bar line would make full bars on both sides, 0 if none."""
    if stretch.length != 2 * stretch.expected:
        return 0
    start = stretch.bars[0].onset
    for number, event in enumerate(stretch.events, start=1):
        if event.onset - start == stretch.expected:
            return number
    return 0
