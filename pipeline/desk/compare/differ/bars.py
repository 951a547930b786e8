"""Two bars that are taken for the same one, and bars that one side barred otherwise."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.desk.compare.content import BarContent, DirectiveContent, VariantContent
from pipeline.desk.compare.differ.align import aligned
from pipeline.desk.compare.differ.events import compare_barlines, compare_consequences, compare_items
from pipeline.desk.compare.differ.ledger import Ledger
from pipeline.desk.compare.differ.sung import compare_sung
from pipeline.desk.compare.differ.words import Hand, barline_words
from pipeline.desk.compare.difference import Kind
from pipeline.model.tablature import BarKind, DirectiveKind

_KINDS = {BarKind.MEASURED: "of full length", BarKind.SHORT: "short on purpose", BarKind.FREE: "longer or free"}
_WORDS = {
    DirectiveKind.SECTION: "section", DirectiveKind.TEMPO: "tempo", DirectiveKind.METRE: "metre",
    DirectiveKind.KEY: "key", DirectiveKind.RETUNE: "retuning", DirectiveKind.ENDING: "ending",
    DirectiveKind.OPENS: "opening bar line", DirectiveKind.AGAIN: "again from", DirectiveKind.GAP: "gap",
    DirectiveKind.STANZA: "stanza", DirectiveKind.LAYOUT: "layout",
}  # fmt: skip


def compare_bars(ledger: Ledger, one: BarContent, two: BarContent) -> None:
    """Everything about two bars."""
    ledger.at(one, two)
    if one.breaks != two.breaks:
        ledger.say(Kind.BREAK, "source begins", _breaks(one), _breaks(two))
    if one == two:
        compare_consequences(ledger, one.items, two.items)
        compare_consequences(ledger, one.again, two.again, alike=False)
        return
    compare_directives(ledger, one.directives, two.directives)
    if one.kind is not two.kind:
        ledger.say(Kind.BAR, "length of the bar", _KINDS[one.kind], _KINDS[two.kind])
    _items(ledger, one, two)
    compare_barlines(ledger, "at the end of the bar", one.closing, two.closing)
    compare_sung(ledger, one, two)
    if one.variants != two.variants:
        _variants(ledger, one.variants, two.variants)
    ledger.notes("on the whole bar", one.notes, two.notes, (None, None))


def bar_alone(ledger: Ledger, one: BarContent | None, two: BarContent | None) -> None:
    """A bar that stands on one side only, with all that stands before and in it."""
    ledger.at(one, two)
    before = _bar(one, ledger.hand_one) if one is not None else ""
    after = _bar(two, ledger.hand_two) if two is not None else ""
    ledger.say(Kind.BAR, "whole bar", before, after)


def same_music(one: Sequence[BarContent], two: Sequence[BarContent]) -> bool:
    """True if several bars of the one hold what several bars of the other hold, and only the bar lines differ."""
    left, right = _run(one), _run(two)
    return left is not None and left == right and bool(left[0])


def compare_barring(ledger: Ledger, one: Sequence[BarContent], two: Sequence[BarContent]) -> None:
    """Bars of which :func:`same_music` holds: the bar lines that only one side has, and what follows from elsewhere."""
    cuts_one, cuts_two = _cuts(one), _cuts(two)
    for place in sorted({*cuts_one, *cuts_two}):
        left, right = cuts_one.get(place), cuts_two.get(place)
        ledger.at(left or _holding(one, place), right or _holding(two, place))
        before = barline_words(left.closing) if left is not None else ""
        after = barline_words(right.closing) if right is not None else ""
        if before != after:
            ledger.in_event(_number(one, place), _number(two, place), "event")
            spans = (left.closing.span if left is not None else None, right.closing.span if right is not None else None)
            ledger.say(Kind.BARLINE, "after it", before, after, spans)
    ledger.at(one[-1], two[-1])
    compare_barlines(ledger, "at the end of the bar", one[-1].closing, two[-1].closing)
    ledger.at(one[0], two[0])
    compare_consequences(ledger, [i for bar in one for i in bar.items], [i for bar in two for i in bar.items])


def compare_directives(
    ledger: Ledger, one: tuple[DirectiveContent, ...], two: tuple[DirectiveContent, ...], where: str = ""
) -> None:
    """Lines between bars; ``where`` says where they stand, if not before a bar."""
    for left, right in aligned(one, two, lambda a, b: 60 * (a.kind is b.kind)):
        before = one[left] if left is not None else None
        after = two[right] if right is not None else None
        if before == after:
            continue
        if before is not None and after is not None and before.kind is not after.kind:
            _directive(ledger, before, None, where)
            _directive(ledger, None, after, where)
        else:
            _directive(ledger, before, after, where)


def _directive(ledger: Ledger, one: DirectiveContent | None, two: DirectiveContent | None, where: str) -> None:
    kind = one.kind if one is not None else two.kind if two is not None else DirectiveKind.SECTION
    subject = f"{_WORDS[kind]}{where}"
    spans = (one.span if one is not None else None, two.span if two is not None else None)
    before, after = (_text(line) if line is not None else "" for line in (one, two))
    if before != after:
        ledger.say(Kind.FORM, subject, before, after, spans)
    ledger.notes(subject, one.notes if one is not None else (), two.notes if two is not None else (), spans)


def _text(line: DirectiveContent) -> str:
    return line.text or "there"


def _items(ledger: Ledger, one: BarContent, two: BarContent) -> None:
    """What stands in the bars; where one is written out and the other not, what they sound."""
    if one.ditto != two.ditto:
        ledger.say(Kind.BAR, "the bar", _written(one), _written(two))
        if not one.ditto or not two.ditto:
            compare_items(ledger, one.items or one.again, two.items or two.again)
            return
    compare_items(ledger, one.items, two.items)
    compare_consequences(ledger, one.again, two.again, alike=False)


def _breaks(bar: BarContent) -> str:
    return ", ".join(f"page {folio}" if folio else "a system" for folio in bar.breaks)


def _written(bar: BarContent) -> str:
    return f"only “{bar.ditto}”" if bar.ditto else "written out"


def _bar(bar: BarContent, hand: Hand) -> str:
    """A whole bar, with the lines before it and the names of the layers under it."""
    before = [f"{_WORDS[line.kind]} {line.text}" for line in bar.directives]
    inside = [f"“{bar.ditto}”"] if bar.ditto else [hand.item(item) for item in bar.items]
    under = [f"line {name}" for name, _ in bar.sung]
    return " | ".join((*before, *inside, *under)) or "empty"


def _variants(ledger: Ledger, one: tuple[VariantContent, ...], two: tuple[VariantContent, ...]) -> None:
    left = {variant.witness: variant for variant in one}
    right = {variant.witness: variant for variant in two}
    for witness in sorted({*left, *right}):
        before, after = left.get(witness), right.get(witness)
        if before == after:
            continue
        spans = (before.span if before is not None else None, after.span if after is not None else None)
        words = (_variant(before, ledger.hand_one), _variant(after, ledger.hand_two))
        ledger.say(
            Kind.VARIANT, f"the bar in source {witness}" if witness else "the bar in the copy-text", *words, spans
        )


def _variant(variant: VariantContent | None, hand: Hand) -> str:
    return " | ".join(hand.item(item) for item in variant.items) if variant is not None else ""


# --- other barring -----------------------------------------------------------------------------------


def _run(bars: Sequence[BarContent]) -> tuple[object, ...] | None:
    """The content of bars set end to end, without the bar lines between them; None where they cannot be."""
    first, *later = bars
    if any(bar.ditto or bar.variants or bar.sung or bar.chords or bar.notes for bar in bars):
        return None
    if any(bar.directives for bar in later):
        return None
    return tuple(item for bar in bars for item in bar.items), first.directives


def _cuts(bars: Sequence[BarContent]) -> dict[int, BarContent]:
    """Where, in items from the beginning, a bar ends before another."""
    found, place = {}, 0
    for bar in bars[:-1]:
        place += len(bar.items)
        found[place] = bar
    return found


def _holding(bars: Sequence[BarContent], place: int) -> BarContent:
    """The bar that an item stands in; ``place`` counts items up to and with it."""
    for bar in bars:
        place -= len(bar.items)
        if place <= 0:
            return bar
    return bars[-1]


def _number(bars: Sequence[BarContent], place: int) -> int:
    """The number of that item in its bar."""
    for bar in bars:
        if place <= len(bar.items):
            return place
        place -= len(bar.items)
    return 0
