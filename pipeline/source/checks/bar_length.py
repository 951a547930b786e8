"""Bars that are too short or too long for their metre.

Not measured: unmeasured music, bars marked longer or free (``|>``), empty bars, dittos (their original is), and
bars with a word that could not be read (reported already). A bar marked shorter (``|<``) may be short, not long. A
bar that a repeat or double bar divides may be short if its parts make one bar, also across the way back. Bars joined
by added bar lines are measured together if they do not add up one by one, since the source runs on.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import lcm

from pipeline.findings.codes.bars import BAR_TOO_LONG, BAR_TOO_SHORT, METRE_DIFFERS
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.signs import Act
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.text import Span
from pipeline.model.time import WHOLE, Metre, Ticks, ticks_to_fraction
from pipeline.source.checks.words import bar_name
from pipeline.source.measuring.bar_lines import bar_line_mends
from pipeline.source.measuring.joining import join_mends
from pipeline.source.measuring.mending import Carry, Mend, Rhythms, Way, mends
from pipeline.source.measuring.metres import OtherMetre, measured_anew, other_metres
from pipeline.source.measuring.strains import begins_strain, divided
from pipeline.source.measuring.stretches import Stretch, stretches

#: A second mend is named if it costs at most this much more than the first.
NEARLY = 0.5


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Every bar, or stretch of joined bars, that does not add up; a metre that nearly all bars contradict is one
    finding, and the other bars are measured by what those hold."""
    others = tuple(other_metres(piece))
    for other in others:
        yield _metre_differs(piece, other)
    piece = measured_anew(piece, others) if others else piece
    split = divided(piece.bars)
    rhythms = Rhythms.of(bar for bar in piece.bars if bar.expected and bar.length == bar.expected)
    mended: set[int] = set()
    for stretch in stretches(piece.bars):
        first = stretch.bars[0].index
        if first in mended or (len(stretch.bars) == 1 and first in split):
            continue
        following = _after(piece.bars, stretch)
        found = [*mends(stretch.events, stretch.expected, _carry(following), rhythms)]
        found += [*bar_line_mends(stretch, following), *join_mends(stretch, piece.heading.signs), *_confused(stretch)]
        found.sort(key=lambda mend: mend.cost)
        if found and found[0].mends_next and following is not None:
            mended.add(following.index)
        upbeat = begins_strain(piece.bars, first)
        yield _finding(piece, stretch, [mend for mend in found[:2] if mend.cost <= found[0].cost + NEARLY], upbeat)


def _after(bars: tuple[SoundingBar, ...], stretch: Stretch) -> SoundingBar | None:
    place = stretch.bars[-1].index + 1
    return bars[place] if place < len(bars) else None


def _carry(following: SoundingBar | None) -> Carry | None:
    """The part of the next bar that still stands under a sign of this one."""
    if following is None or following.bar.ditto is not None:
        return None
    carried = 0
    for event in following.events:
        if event.drawn:
            break
        carried += event.length
    return Carry(carried, following.length, following.expected)


def _confused(stretch: Stretch) -> Iterator[Mend]:
    """A sign left out by the edition (``!4=``) that was meant to be added (``4!=``): with it the bar adds up."""
    events = stretch.events
    for number, event in enumerate(events, start=1):
        head = event.event.head
        if head is None or head.value is None or head.value.act is not Act.REMOVED or head.value.source is None:
            continue
        value, length = head.value.source, stretch.length
        for under in events[number - 1 :]:
            if under.drawn:
                break
            if under.sign is not None:
                length += under.length * value.ticks // under.sign.ticks - under.length
        if length == stretch.expected:
            reading = f"the sign over event {number} is to be added: !{value.name}= leaves it out"
            yield Mend(0.0, number, Way.CHANGE, value, head.span, reading, f"{value.name}!= adds it")


def _metre_differs(piece: SoundingPiece, other: OtherMetre) -> Diagnostic:
    """The finding on a metre, where it is declared."""
    first = other.first
    metre, ratio = first.metre, piece.heading.values
    assert metre is not None
    _, held, asked = _fractions(other.held, other.held, first.expected, unit=_unit(first), ratio=ratio)
    bars = f"All {other.bars} bars" if other.bars == other.of else f"{other.bars} of {other.of} bars"
    places = dict(piece.heading.places)
    place = other.line.value_span if other.line is not None else places.get("metre", first.bar.span)
    reading = _reading(metre.sign, other.held, ratio) or held
    sign = _sign(metre)
    hint = f"Perhaps metre {reading}; if the source prints {sign}: metre {sign} = {reading}"
    if metre.sign == "none":
        hint = f"Perhaps metre none = {reading}"
    elif "/" not in metre.sign:
        hint = f"Perhaps metre {sign} = {reading}"
    message = f"{bars} hold {held}, where the metre {sign} asks for {asked}."
    return Diagnostic(METRE_DIFFERS, place, message, hint, bar=first.label)


def _reading(sign: str, held: Ticks, ratio: Fraction) -> str:
    """What a lone figure would mean for bars that hold so much: 3 is 3/2 where they hold three minims."""
    if not sign.isdecimal():
        return ""
    beat = ticks_to_fraction(held) / ratio / int(sign)
    return f"{sign}/{beat.denominator}" if beat.numerator == 1 and beat.denominator <= 32 else ""


# --- words ---------------------------------------------------------------------------------------------


def _finding(piece: SoundingPiece, stretch: Stretch, found: list[Mend], upbeat: bool) -> Diagnostic:
    first = stretch.bars[0]
    short = stretch.length < stretch.expected
    joined = len(stretch.bars) > 1
    subject = f"Bars {first.label} to {stretch.bars[-1].label}, one in the source," if joined else bar_name(first)
    verb = "are" if joined else "is"
    lengths = (abs(stretch.expected - stretch.length), stretch.length, stretch.expected)
    gap, held, asked = _fractions(*lengths, unit=_unit(first), ratio=piece.heading.values)
    sign = _sign(first.metre)
    return Diagnostic(
        BAR_TOO_SHORT if short else BAR_TOO_LONG,
        found[0].span if found else _line_span(stretch),
        f"{subject} {verb} {gap} too {'short' if short else 'long'}: the signs add up to {held}, the metre {sign} "
        f"asks for {asked}.",
        _hint(short, found, upbeat),
        tuple(Related(mend.span, f"or else {mend.reading}") for mend in found[1:]),
        first.label,
    )


def _sign(metre: Metre | None) -> str:
    """The metre as a message names it: its sign, or its reading where the source prints none."""
    if metre is None:
        return ""
    return f"{metre.beats}/{metre.unit}" if metre.sign == "none" else metre.sign


def _hint(short: bool, found: list[Mend], upbeat: bool) -> str:
    likely = "No change to a single sign corrects it: a sign or an event is missing, or there is one too many."
    if found:
        likely = f"Most likely {found[0].reading} ({found[0].typing})."
    if short and upbeat:
        return f"If it is an upbeat, it begins |<. {'If not, most' + likely[4:] if found else likely}"
    return f"{likely} A bar {'short' if short else 'long'} on purpose begins {'|<' if short else '|>'}."


def _line_span(stretch: Stretch) -> Span:
    events = stretch.bars[-1].events
    return events[-1].event.span if events else stretch.bars[-1].bar.span


def _unit(bar: SoundingBar) -> Ticks:
    """The beat of the metre."""
    return WHOLE // bar.metre.unit if bar.metre is not None else WHOLE


def _fractions(*lengths: Ticks, unit: Ticks, ratio: Fraction) -> list[str]:
    """Lengths as the source writes them, the first in lowest terms, the rest over one denominator, the metre's or
    smaller: ``7/8``, ``8/8``."""
    parts = [ticks_to_fraction(length) / ratio for length in lengths]
    below = lcm((ticks_to_fraction(unit) / ratio).denominator, *(part.denominator for part in parts[1:]))
    lowest = parts[0]
    shown = str(lowest.numerator) if lowest.denominator == 1 else f"{lowest.numerator}/{lowest.denominator}"
    return [shown, *(f"{part.numerator * below // part.denominator}/{below}" for part in parts[1:])]
