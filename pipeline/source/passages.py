"""The order in which the bars of a piece are played: repeats, endings, and what is said to be played again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from pipeline.findings.codes.limits import TOO_MUCH
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.limits import MOST_PLAYED
from pipeline.model.performance import Passage
from pipeline.model.sections import section_named
from pipeline.model.signs import Event
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import Barline, BarlineAct, BarlineKind, Directive, DirectiveKind
from pipeline.model.time import Ticks

_OPENS = frozenset({BarlineKind.REPEAT_START, BarlineKind.REPEAT_BOTH})
_CLOSES = frozenset({BarlineKind.REPEAT_END, BarlineKind.REPEAT_BOTH})
_START = "start"


@dataclass(slots=True)
class _Stretch:
    """What lies between two bar lines that matter.

    ``opens``: a repeat begins with it; ``closes``: one ends; ``final``: a final bar line stands at its end;
    ``section``: the title over it; ``again``: what is played after it.
    """

    start: Ticks
    end: Ticks
    ending: int
    opens: bool = False
    closes: bool = False
    final: bool = False
    section: str = ""
    again: str = ""


def passages(piece: SoundingPiece) -> tuple[Passage, ...]:
    """The piece played through.

    A strain goes back to its opening repeat sign; without one to the last closing sign, section title or the
    beginning. It is played twice, or once for each ending. ``again start`` plays from the beginning to the first
    final bar line, or to where it stands; ``again NAME`` plays that section; both without repeats, with the last
    endings, and once. Dots at the very end of the last ending are not played. Source: common practice.
    """
    joined: list[Passage] = []
    now = 0
    for stretch in islice(_walk(_stretches(piece)), MOST_PLAYED):
        if joined and joined[-1].end == stretch.start:
            joined[-1] = Passage(joined[-1].start, stretch.end, joined[-1].at)
        elif stretch.end > stretch.start:
            joined.append(Passage(stretch.start, stretch.end, now))
        now += stretch.end - stretch.start
    return tuple(joined)


def overplayed(piece: SoundingPiece) -> tuple[Diagnostic, ...]:
    """The finding on a piece that is played again and again beyond the limit. Repeat signs alone cannot do that."""
    again = [line for bar in piece.bars for line in bar.directives if line.kind is DirectiveKind.AGAIN]
    if not again or sum(1 for _ in islice(_walk(_stretches(piece)), MOST_PLAYED + 1)) <= MOST_PLAYED:
        return ()
    message = f"With its repeats this piece has more than {MOST_PLAYED:,} bars; playback ends there."
    return (Diagnostic(TOO_MUCH, again[0].span, message, "Type again once, where the source says so."),)


def _walk(stretches: Sequence[_Stretch]) -> Iterator[_Stretch]:
    lasts = _last_endings(stretches)
    sections: dict[str, int] = {}
    for number, stretch in enumerate(stretches):
        sections.setdefault(stretch.section, number)
    strain, turn, place = 0, 1, 0
    while place < len(stretches):
        stretch = stretches[place]
        if (stretch.opens or stretch.section) and place != strain:
            strain, turn = place, 1
        if stretch.ending and stretch.ending != turn:
            place += 1
            continue
        yield stretch
        if stretch.closes and turn < max(2, lasts[place]):
            turn, place = turn + 1, strain
            continue
        if stretch.closes or (stretch.ending and _next_ending(stretches, place) == 0):
            strain, turn = place + 1, 1
        if stretch.again:
            yield from _again(stretches, lasts, sections, place)
        place += 1


def _last_endings(stretches: Sequence[_Stretch]) -> list[int]:
    """For each stretch the number of the last of the endings that stand there side by side; 0 outside endings."""
    lasts = [0] * len(stretches)
    for place in range(len(stretches) - 1, -1, -1):
        here, follows = stretches[place].ending, _next_ending(stretches, place)
        lasts[place] = lasts[place + 1] if 0 < here <= follows else here
    return lasts


def _next_ending(stretches: Sequence[_Stretch], place: int) -> int:
    return stretches[place + 1].ending if place + 1 < len(stretches) else 0


def _again(
    stretches: Sequence[_Stretch], lasts: Sequence[int], sections: Mapping[str, int], last: int
) -> Iterator[_Stretch]:
    """What is played again after stretch ``last``."""
    name = stretches[last].again
    named = section_named(name, sections)
    if name != _START and named is None:
        return
    first = 0 if name == _START or named is None else sections[named]
    for place in range(first, last + 1):
        stretch = stretches[place]
        if place > first and name != _START and stretch.section:
            return
        if stretch.ending == 0 or stretch.ending == lasts[place]:
            yield stretch
        if stretch.final:
            return


# --- from bars to stretches -------------------------------------------------------------------------------------


def _stretches(piece: SoundingPiece) -> list[_Stretch]:
    found: list[_Stretch] = []
    opens = False
    for place, bar in enumerate(piece.bars):
        _after(found, bar.directives)
        section = next((line.text for line in bar.directives if line.kind is DirectiveKind.SECTION), "")
        opens = opens or (bar.opening is not None and bar.opening.kind in _OPENS)
        # A ditto of several bars is typed once: its bar line stands after the last of them.
        runs_on = place + 1 < len(piece.bars) and piece.bars[place + 1].bar is bar.bar
        for number, (start, end, line) in enumerate(_cut(bar)):
            stretch = _Stretch(start, end, bar.ending, opens=opens, section="" if number else section)
            opens = False
            found.append(stretch)
            if line is not None and not (runs_on and line is bar.bar.closing):
                stretch.closes = line.kind in _CLOSES
                stretch.final = line.kind is BarlineKind.FINAL
                opens = line.kind in _OPENS
    _after(found, piece.closing)
    return found


def _after(found: list[_Stretch], directives: Sequence[Directive]) -> None:
    for line in directives:
        if line.kind is DirectiveKind.AGAIN and found:
            found[-1].again = line.text


def _cut(bar: SoundingBar) -> Iterator[tuple[Ticks, Ticks, Barline | None]]:
    """A bar cut at the bar lines inside it: start, end, and the line at the end."""
    start, seen = bar.onset, 0
    for item in bar.bar.items if bar.bar.ditto is None else ():
        if isinstance(item, Event):
            seen += 1
        elif isinstance(item, Barline) and item.act is not BarlineAct.REMOVED and item.kind in _OPENS | _CLOSES:
            here = bar.events[seen].onset if seen < len(bar.events) else bar.end
            yield start, here, item
            start = here
    closing = bar.bar.closing
    yield start, bar.end, closing if closing.act is not BarlineAct.REMOVED else None
