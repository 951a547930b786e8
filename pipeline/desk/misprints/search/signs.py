"""Bars that do not add up: every single change that mends one, and what speaks for each, over the phrase.

A sign holds until the next one, so a change at the end of a bar reaches into the bars after it; the bars are taken in
order, and each is weighed as if the likeliest change before it had been made.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import log

from pipeline.desk.misprints.proposal import Slip
from pipeline.desk.misprints.search.habits import RhythmHabits, figure_of
from pipeline.model.record import replace
from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.time import WHOLE, Ticks, Value
from pipeline.source.measuring.bar_lines import bar_line_mends
from pipeline.source.measuring.mending import MOST_EVENTS, Change, Mend, Way, single_changes
from pipeline.source.measuring.strains import divided
from pipeline.source.measuring.stretches import Stretch, is_off, stretches

#: Signs hold over so many bars at most: further, nothing is looked at.
_PHRASE = 8
_OF_WAY = {Way.CHANGE: Slip.SIGN_WRONG, Way.INSERT: Slip.SIGN_MISSING, Way.REMOVE: Slip.SIGN_EXTRA}

#: What is weighed, by name, in the order of ``weights.SIGNS``.
FEATURES = (
    "wrong", "missing", "extra", "line extra", "line missing",
    "one hook", "more hooks", "dots", "dotted", "double dotted",
    "missing at bar line", "missing hooks", "said again", "said again, habit", "bars lost", "bars won",
    "known rhythm", "place", "succession", "off beat", "fullness", "bass", "elsewhere", "reach",
    "next sign early", "extra at bar line", "doubtful", "unread",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SignSlip:
    """One change to a sign or bar line. ``bars`` are the typed bars it stands in, ``number`` the event (from 1)
    counted over them, ``value`` what to read (None at a bar line), ``weighed`` the numbers of ``FEATURES``."""

    slip: Slip
    bars: tuple[SoundingBar, ...]
    number: int
    value: Value | None
    weighed: tuple[float, ...]
    lengths: tuple[Ticks, ...]
    change: Change | None

    @property
    def event(self) -> SoundingEvent:
        return [event for bar in self.bars for event in bar.events][self.number - 1]


@dataclass(frozen=True, slots=True)
class SuspectBar:
    """A bar (or bars joined by added lines) that does not add up, with every single change that mends it."""

    stretch: Stretch
    slips: tuple[SignSlip, ...]


def suspect_bars(
    bars: tuple[SoundingBar, ...], habits: RhythmHabits, weights: Sequence[float]
) -> Iterator[tuple[SuspectBar, tuple[float, ...]]]:
    """Every bar that does not add up, with the changes that mend it and the weight of each. Linear."""
    changed = list(bars)
    excused = divided(bars)
    mended: set[int] = set()
    for first, end in _joined(bars):
        for stretch in stretches(tuple(changed[first:end])):
            index = stretch.bars[0].index
            if index in mended or (len(stretch.bars) == 1 and index in excused):
                continue
            suspect = SuspectBar(stretch, tuple(_slips(changed, stretch, habits)))
            scores = tuple(_dot(slip.weighed, weights) for slip in suspect.slips)
            yield suspect, scores
            if scores:
                mended |= _apply(changed, stretch, suspect.slips[max(range(len(scores)), key=scores.__getitem__)])


def _joined(bars: tuple[SoundingBar, ...]) -> Iterator[tuple[int, int]]:
    """Runs of bars that only the editor's own lines part, as first and behind the last."""
    first = 0
    for place, bar in enumerate(bars, start=1):
        if not bar.joins_next or place == len(bars):
            yield first, place
            first = place


def _dot(numbers: Sequence[float], weights: Sequence[float]) -> float:
    return sum(number * weight for number, weight in zip(numbers, weights, strict=True))


def _apply(bars: list[SoundingBar], stretch: Stretch, slip: SignSlip) -> set[int]:
    """Go on as if the change were made: what its sign reaches gets its length. Gives the bars that need no more
    weighing."""
    if slip.change is None:
        return {stretch.bars[0].index + 1} if slip.slip is Slip.BAR_LINE_EXTRA else set()
    if slip.change.reaches_on and slip.value is not None:
        for place, bar in _carried(bars, stretch.bars[-1].index, slip.change.ratio, slip.value):
            bars[place] = bar
    return set()


def _carried(bars: Sequence[SoundingBar], index: int, ratio: float, value: Value) -> Iterator[tuple[int, SoundingBar]]:
    """The bars after ``index`` as they are once the sign that holds into them has grown by ``ratio``."""
    for place in range(index + 1, min(index + 1 + _PHRASE, len(bars))):
        bar = bars[place]
        if bar.bar.ditto is not None:
            continue
        events = list(bar.events)
        stop = next((number for number, event in enumerate(events) if event.drawn), len(events))
        for number in range(stop):
            event = events[number]
            if event.sign is None:
                return
            events[number] = replace(event, length=round(event.length * ratio), sign=value)
        if stop:
            yield place, replace(bar, events=tuple(events), length=sum(event.length for event in events))
        if stop < len(events):
            return


# --- what speaks for a change ----------------------------------------------------------------------------


def _slips(bars: list[SoundingBar], stretch: Stretch, habits: RhythmHabits) -> Iterator[SignSlip]:
    events = stretch.events
    if len(events) > MOST_EVENTS or any(event.sign is None for event in events):
        return
    figures = [figure_of(event) for event in events]
    index = stretch.bars[-1].index
    following = bars[index + 1] if index + 1 < len(bars) else None
    for change in single_changes(events, stretch.expected):
        slip = _of_sign(bars, stretch, change, habits)
        weighed = _weigh(bars, stretch, change, slip, habits)
        numbers = weighed | _rhythm(events, change.lengths, figures, habits, stretch.expected)
        yield SignSlip(
            slip, stretch.bars, change.mend.event, change.mend.value, _ordered(numbers), change.lengths, change
        )
    for mend in bar_line_mends(stretch, following):
        yield _of_bar_line(stretch, mend, following, habits)


def _of_sign(bars: Sequence[SoundingBar], stretch: Stretch, change: Change, habits: RhythmHabits) -> Slip:
    """A sign at the head of a bar that should be what holds already is too many, if the piece does not write it
    out at bar lines."""
    mend = change.mend
    if mend.way is Way.CHANGE and mend.event == 1 and mend.value == _held(bars, stretch):
        opened, all_of_them = habits.opened
        return Slip.SIGN_EXTRA if opened * 2 < all_of_them else Slip.SIGN_WRONG
    return _OF_WAY[mend.way]


def _held(bars: Sequence[SoundingBar], stretch: Stretch) -> Value | None:
    """The value in force where the bar begins."""
    index = stretch.bars[0].index
    before = bars[index - 1].events if index else ()
    return before[-1].sign if before else None


Numbers = dict[str, float]


def _ordered(numbers: Numbers) -> tuple[float, ...]:
    return tuple(numbers.get(name, 0.0) for name in FEATURES)


def _weigh(bars: Sequence[SoundingBar], stretch: Stretch, change: Change, slip: Slip, habits: RhythmHabits) -> Numbers:
    """What the sign itself says, the signs around it and the bars that it reaches."""
    mend, events = change.mend, stretch.events
    event = events[mend.event - 1]
    typed, read = event.sign, mend.value
    assert typed is not None and read is not None
    hooks, dots = _hooks(typed, read), abs(typed.dots - read.dots)
    numbers: Numbers = {
        "dotted": float(read.dots == 1),
        "double dotted": float(read.dots > 1),
        "extra at bar line": 0.0,
        "reach": log(1 + sum(a != b.length for a, b in zip(change.lengths, events, strict=True))),
    }
    if slip is Slip.SIGN_WRONG:
        doubtful = event.event.head is not None and event.event.head.value is not None
        numbers |= {"wrong": 1.0, "one hook": float(hooks == 1), "more hooks": float(max(0, hooks - 1)), "dots": dots}
        numbers["doubtful"] = float(doubtful and event.event.head.value.doubtful)  # type: ignore[union-attr]
    elif slip is Slip.SIGN_MISSING:
        head = event.event.head
        unread = head is not None and head.value is not None
        numbers |= {"missing": 1.0, "missing hooks": float(hooks), "missing at bar line": float(mend.event == 1)}
        numbers["unread"] = float(unread)
    else:
        numbers |= {"extra": 1.0, "extra at bar line": float(mend.event == 1)}
        numbers["next sign early"] = float(_next_sign(bars, stretch, mend.event) == typed)
    again = _said_again(bars, stretch, mend, slip)
    numbers |= {"said again": again, "said again, habit": again * habits.silence}
    if change.reaches_on:
        lost, won = _reached(bars, stretch.bars[-1].index, change.ratio, read)
        numbers |= {"bars lost": lost, "bars won": won}
    return numbers


def _hooks(one: Value, other: Value) -> int:
    return abs(round(log(Value(one.unit).ticks / Value(other.unit).ticks, 2)))


def _next_sign(bars: Sequence[SoundingBar], stretch: Stretch, number: int) -> Value | None:
    """The sign that is drawn next behind an event of the stretch, also in the next bar."""
    index = stretch.bars[-1].index
    later = bars[index + 1].events if index + 1 < len(bars) else ()
    return next((event.sign for event in (*stretch.events[number:], *later) if event.drawn), None)


def _said_again(bars: Sequence[SoundingBar], stretch: Stretch, mend: Mend, slip: Slip) -> float:
    """How many more signs say what holds already, once the change is made: at its own place and at the next sign,
    inside the bar."""
    events, place = stretch.events, mend.event - 1
    held = events[place - 1].sign if place else _held(bars, stretch)
    typed, read = events[place].sign, mend.value
    after = next((event.sign for event in events[place + 1 :] if event.drawn), None)
    now = then = 0
    if place:
        now = int(slip is not Slip.SIGN_MISSING and typed == held)
        then = int(slip is not Slip.SIGN_EXTRA and read == held)
    if after is not None:
        now += typed == after
        then += (held if slip is Slip.SIGN_EXTRA else read) == after
    return float(then - now)


def _reached(bars: Sequence[SoundingBar], index: int, ratio: float, value: Value) -> tuple[float, float]:
    """How many of the bars that the sign reaches into stop adding up, and how many begin to."""
    lost = won = 0
    for place, bar in _carried(bars, index, ratio, value):
        was, now = is_off(bars[place]), is_off(bar)
        lost += now and not was
        won += was and not now
    return float(lost), float(won)


def _rhythm(
    events: Sequence[SoundingEvent],
    lengths: Sequence[Ticks],
    figures: Sequence[tuple[tuple[int, int], ...]],
    habits: RhythmHabits,
    bar: Ticks,
) -> Numbers:
    """What the rhythm would be like: usual here and in music, and how it lies to what is struck."""
    numbers = dict.fromkeys(("place", "succession", "off beat", "fullness", "bass", "elsewhere"), 0.0)
    rhythm: list[Ticks] = []
    known = 0.0
    onset = 0
    for number, (event, length) in enumerate(zip(events, lengths, strict=True)):
        figure = figures[number]
        size, low = habits.weight(onset)
        numbers["place"] += habits.length_here(onset, length)
        if number:
            numbers["succession"] += habits.length_after(lengths[number - 1], length)
        beat = length if length and WHOLE % length == 0 else length * 2 // 3  # nothing for what is left out
        numbers["off beat"] += float(event.tuplet is None and beat > 0 and onset % beat > 0)
        numbers["fullness"] += (len(figure) - 2) * size
        numbers["bass"] += low if any(course >= habits.low for course, _ in figure) else 0.0
        if number + 1 < len(figures):
            numbers["elsewhere"] += habits.elsewhere(figure, figures[number + 1], length)
        rhythm.append(length)
        onset += length
        if onset >= bar:
            known += log(1 + habits.rhythms[tuple(rhythm)])
            rhythm, onset = [], onset - bar
    numbers["known rhythm"] = known
    return numbers


def _of_bar_line(stretch: Stretch, mend: Mend, following: SoundingBar | None, habits: RhythmHabits) -> SignSlip:
    joins = mend.mends_next and following is not None
    bars = (*stretch.bars, following) if joins and following is not None else stretch.bars
    events = [event for bar in bars for event in bar.events]
    lengths = tuple(event.length for event in events)
    figures = [figure_of(event) for event in events]
    numbers = _rhythm(events, lengths, figures, habits, stretch.expected)
    numbers |= {"line extra" if joins else "line missing": 1.0}
    slip = Slip.BAR_LINE_EXTRA if joins else Slip.BAR_LINE_MISSING
    return SignSlip(slip, bars, mend.event, None, _ordered(numbers), lengths, None)
