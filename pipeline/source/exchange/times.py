"""Rhythm signs as they are typed: how the file draws them, which are printed, where a value holds on."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, Reading, printed
from pipeline.model.tablature import BarKind
from pipeline.model.time import Value
from pipeline.source.exchange.drafts import BarDraft, EventDraft, PieceDraft
from pipeline.source.exchange.ledger import Ledger
from pipeline.source.exchange.lines import scaled_value

#: A metre is not printed, but meant, where so large a share of the bars are equally long.
MOSTLY = Fraction(9, 10)
_NO_VALUE = "n"


def drawn_ratio(piece: PieceDraft) -> Fraction:
    """By how much most signs last longer than they are drawn: 1 where a stem without hooks is a minim."""
    found: Counter[Fraction] = Counter()
    for bar in piece.bars:
        for event in bar.events:
            if event.sign is not None and event.second is None:
                found[Fraction(event.lasts.ticks, event.drawn.ticks)] += 1
    ratio, _ = found.most_common(1)[0] if found else (Fraction(1), 0)
    return ratio if ratio in {Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(2), Fraction(4)} else Fraction(1)


def type_signs(piece: PieceDraft, *, measured: bool, ledger: Ledger) -> None:
    """Give every sign its typed value; add what the file leaves to its numbers."""
    ratio = drawn_ratio(piece)
    if piece.ratio == 1 and ratio != 1:
        piece.plain = int(2 / ratio) if 2 / ratio >= 1 else 2
    signed = any(event.sign is not None for bar in piece.bars for event in bar.events)
    told = any(event.lasts != Value(4) for bar in piece.bars for event in bar.events)
    unsigned = not signed and (told or measured)
    if unsigned:
        ledger.assume("The file shows no rhythm signs; its values are typed as signs wherever they change.")
    running: Value | None = None
    for bar in piece.bars:
        running = _bar_signs(piece, bar, running, measured=measured, unsigned=unsigned)
        for variant in bar.variants:
            for item in variant.items:
                if isinstance(item, EventDraft):
                    _typed(piece, item)


def _bar_signs(
    piece: PieceDraft, bar: BarDraft, running: Value | None, *, measured: bool, unsigned: bool
) -> Value | None:
    for event in bar.events:
        _typed(piece, event)
        if event.sign is not None:
            if event.sign.edition is None:
                continue
            if event.beamed and event.sign.edition == running and event.sign.act is Act.PRINTED:
                event.sign = None
            else:
                running = event.sign.edition
            continue
        if event.removed or event.length == 0:
            continue
        if measured and not unsigned and _unvalued(event, bar, running):
            event.marks.append(printed(_NO_VALUE))
            running = None
        elif running is None and event.lasts == Value(4) and bar.kind is BarKind.FREE and not unsigned:
            continue
        elif event.lasts != running and (unsigned or (measured and event.body is Body.STOPS)):
            event.sign = printed(event.lasts) if unsigned else Reading(Act.ADDED, event.lasts, None)
            running = event.lasts
        elif not measured and running is not None and event.lasts != running:
            event.marks.append(printed(_NO_VALUE))
            running = None
    return running


def _unvalued(event: EventDraft, bar: BarDraft, running: Value | None) -> bool:
    """Whether an event without a sign, in a free bar, ends the value before: it stands for a crotchet."""
    return running is not None and event.lasts == Value(4) != running and bar.kind is BarKind.FREE


def _typed(piece: PieceDraft, event: EventDraft) -> None:
    """Values as printed: those of the edition by the ratio of values, those of the source as they are drawn."""
    event.lasts = scaled_value(event.lasts, 1 / piece.ratio)
    if event.sign is None:
        return
    shown = Fraction(piece.plain, 2)
    source = event.sign.source
    if source is not None:
        source = event.lasts if event.sign.act is Act.PRINTED else scaled_value(source, 1 / shown)
    edition = event.lasts if event.sign.edition is not None else None
    event.sign = replace(event.sign, edition=edition, source=source)
    if event.second is not None and event.sign.edition is not None:
        first = scaled_value(event.drawn, 1 / shown)
        event.sign = replace(event.sign, edition=first, source=first)


def place_events(piece: PieceDraft) -> None:
    """Onsets from the beginning of each bar."""
    for bar in piece.bars:
        place_bar(bar)


def place_bar(bar: BarDraft) -> None:
    """Onsets from the beginning of a bar."""
    onset = Fraction(0)
    for event in bar.events:
        event.onset = onset
        onset += Fraction(0) if event.removed else event.length


def mark_lengths(piece: PieceDraft) -> None:
    """Bars that are shorter or longer than the metre, as the file has them."""
    for bar in piece.bars:
        if bar.full and bar.length and bar.length != bar.full:
            bar.kind = BarKind.SHORT if bar.length < bar.full else BarKind.FREE


def meant_metre(piece: PieceDraft, ledger: Ledger) -> None:
    """A metre where the file tells none and nearly all bars are equally long."""
    lengths = Counter(bar.length for bar in piece.bars[:-1] if bar.length)
    if piece.metre or len(piece.bars) < 3 or not lengths:
        return
    length, count = lengths.most_common(1)[0]
    unit = max(4, length.denominator)
    if count < MOSTLY * sum(lengths.values()) or unit > 32 or length * unit > 64:
        return
    piece.metre = f"none = {int(length * unit)}/{unit}"
    ledger.assume(f"The file tells no metre; nearly every bar holds {int(length * unit)}/{unit}.")
    for bar in piece.bars:
        bar.full = length
