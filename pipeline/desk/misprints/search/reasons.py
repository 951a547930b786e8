"""Why a reading is suspected and another proposed, in words a musician can check on the page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import exp, lcm

from pipeline.desk.misprints.proposal import Slip
from pipeline.desk.misprints.search.context import Context
from pipeline.desk.misprints.search.habits import Figure, RhythmHabits
from pipeline.desk.misprints.search.lookalikes import Lookalike
from pipeline.desk.misprints.search.signs import FEATURES, SignSlip, SuspectBar
from pipeline.model.pitch import from_fifths
from pipeline.model.sounding import SoundingPiece
from pipeline.model.time import ticks_to_fraction

MOST = 3
_CLASHES = {1: "a semitone", 11: "a major seventh", 6: "a tritone", 2: "a whole tone", 10: "a minor seventh"}
_HARD, _MILD = (1, 11, 6), (2, 10)
#: A stretch over more frets than this is told of.
_WIDE = 4


# --- stops -----------------------------------------------------------------------------------------------


def of_stop(context: Context, row: int, other: Lookalike, siblings: int = 0) -> tuple[str, ...]:
    """At most three reasons; ``siblings`` is how often other pieces have the same passage with this reading."""
    found = [
        *_elsewhere(context, row, other, siblings),
        *_slur(context, row, other),
        *_harmony(context, row, other),
        *_reach(context, row, other),
        *_steps(context, row, other),
        *_key(context, row, other),
    ]
    return tuple(found[:MOST]) or ("it fits the chord and the notes around it better",)


def _pitches(context: Context, row: int, other: Lookalike) -> tuple[int, int]:
    bar = context.bars[context.event[row]]
    return int(context.pitch[row]), bar.instrument.sounding(other.course, other.fret)[0]


def _name(context: Context, row: int, pitch: int) -> str:
    """A pitch named as near the signature as may be."""
    key = context.bars[context.event[row]].key
    middle = (key.fifths if key is not None else 0) + 2
    fifths = (7 * pitch - middle + 5) % 12 + middle - 5
    return from_fifths(fifths, pitch).name


def _around(figures: Sequence[Figure], place: int, typed: tuple[int, int]) -> tuple[Figure, Figure, Figure]:
    others = tuple(stop for stop in figures[place] if stop != typed)
    before = figures[place - 1] if place else ()
    after = figures[place + 1] if place + 1 < len(figures) else ()
    return before, others, after


def _elsewhere(context: Context, row: int, other: Lookalike, siblings: int) -> Iterator[str]:
    place = int(context.event[row])
    typed = (int(context.course[row]), int(context.fret[row]))
    before, others, after = _around(context.figures, place, typed)
    wanted = tuple(sorted((*others, (other.course, other.fret))))
    bars = [
        context.bars[at].label or "the upbeat"
        for at, figure in enumerate(context.figures)
        if figure == wanted and at != place and _around(context.figures, at, typed)[::2] == (before, after)
    ]
    if bars:
        yield f"the same passage has it in bar {', '.join(dict.fromkeys(bars[:3]))}"
    elif siblings:
        yield "the same passage has it in another piece of the folder"
    elif others:
        times = sum(figure == wanted for figure in context.figures)
        if times > 1:
            yield f"the piece has this chord {times} times"


def _slur(context: Context, row: int, other: Lookalike) -> Iterator[str]:
    place = int(context.event[row])
    before = {course for course, _ in context.figures[place - 1]} if place else set()
    if context.stops[row].slurred and other.course in before and context.stops[row].course not in before:
        yield "a slur stays on its course"


def _harmony(context: Context, row: int, other: Lookalike) -> Iterator[str]:
    typed, read = _pitches(context, row, other)
    place = context.event[row]
    others = [stop.pitch for stop in context.events[place].stops if not stop.held and stop is not context.stops[row]]
    for kinds in (_HARD, _MILD):
        harsh = [pitch for pitch in others if (typed - pitch) % 12 in kinds]
        if harsh and not any((read - pitch) % 12 in (*_HARD, *kinds) for pitch in others):
            what = _CLASHES[abs(typed - harsh[0]) % 12]
            yield (
                f"{_name(context, row, typed)} stands against {_name(context, row, harsh[0])} in the same chord, "
                f"{what}; {_name(context, row, read)} does not"
            )
            return


def _reach(context: Context, row: int, other: Lookalike) -> Iterator[str]:
    low, high = int(context.low[row]), int(context.high[row])
    typed = int(context.fret[row])
    if high and typed and max(high, typed) - min(low, typed) > _WIDE:
        span = max(high, other.fret) - min(low, other.fret) if other.fret else high - low
        if span <= _WIDE:
            yield f"frets {min(low, typed)} and {max(high, typed)} lie far apart for one hand"


def _steps(context: Context, row: int, other: Lookalike) -> Iterator[str]:
    typed, read = _pitches(context, row, other)
    place = int(context.event[row])
    near = [
        stop.pitch
        for at in (place - 1, place + 1)
        if 0 <= at < len(context.events)
        for stop in context.events[at].stops
    ]
    if near and min(abs(read - pitch) for pitch in near) <= 2 < min(abs(typed - pitch) for pitch in near):
        yield f"{_name(context, row, read)} moves by step, {_name(context, row, typed)} leaps"


def _key(context: Context, row: int, other: Lookalike) -> Iterator[str]:
    typed, read = _pitches(context, row, other)
    was, now = int(context.whole[typed % 12]) - 1, int(context.whole[read % 12])
    if now >= 5 and was * 5 <= now:
        times = "nowhere else" if not was else "only once more" if was == 1 else f"{was} times more"
        typed_name = _name(context, row, typed).rstrip("0123456789")
        yield f"{typed_name} stands {times} in the piece, {_name(context, row, read).rstrip('0123456789')} {now} times"


# --- signs and bar lines ---------------------------------------------------------------------------------


def of_sign(piece: SoundingPiece, suspect: SuspectBar, slip: SignSlip, habits: RhythmHabits) -> tuple[str, ...]:
    """What the bar lacks, and what speaks for the change; at most three."""
    weighed = dict(zip(FEATURES, slip.weighed, strict=True))
    found = [_sum(piece, suspect, slip)]
    if weighed["bars won"]:
        found.append("the next bar then adds up too" if weighed["bars won"] == 1 else "so do the bars that follow")
    if slip.slip is Slip.SIGN_MISSING and weighed["said again"] < 0:
        found.append("the next sign only repeats the value in force, so another probably stood before it")
    if weighed["next sign early"]:
        found.append("it is the next sign, set too early")
    known = habits.rhythms[slip.lengths] if slip.slip is not Slip.BAR_LINE_MISSING else 0
    if known:
        found.append("another bar has this rhythm" if known == 1 else f"{known} other bars have this rhythm")
    if exp(weighed["known rhythm"]) - 1 >= 1 and slip.slip is Slip.BAR_LINE_MISSING:
        found.append("other bars have these rhythms")
    if weighed["off beat"] == 0 and not known:
        found.append("every note then lies on its beat")
    return tuple(found[:MOST])


def _sum(piece: SoundingPiece, suspect: SuspectBar, slip: SignSlip) -> str:
    stretch, ratio = suspect.stretch, piece.heading.values
    held, asked = ticks_to_fraction(stretch.length) / ratio, ticks_to_fraction(stretch.expected) / ratio
    metre = slip.bars[0].metre
    beat = Fraction(1, metre.unit) / ratio if metre is not None else Fraction(1)
    shown_held, shown_asked = _shown(beat, held, asked)
    if slip.slip is Slip.BAR_LINE_EXTRA:
        return f"the bars on both sides are too short, together they hold {shown_asked}"
    if slip.slip is Slip.BAR_LINE_MISSING:
        return f"the bar holds {shown_held}, two bars"
    what = "bars hold" if len(stretch.bars) > 1 else "bar holds"
    return f"the {what} {shown_held}, the metre asks for {shown_asked}"


def _shown(beat: Fraction, *lengths: Fraction) -> list[str]:
    """Lengths over one denominator, that of the beat or a smaller value: ``7/8``, ``8/8``."""
    below = lcm(beat.denominator, *(length.denominator for length in lengths))
    return [f"{length.numerator * below // length.denominator}/{below}" for length in lengths]
