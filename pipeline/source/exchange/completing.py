"""What a bar of the encoding has to have: an event, and behind every bar line inside it another."""

from __future__ import annotations

from pipeline.model.signs import Body, Signs
from pipeline.model.tablature import BarlineAct, BarlineKind
from pipeline.model.time import Value
from pipeline.source.exchange.drafts import BarDraft, BreakDraft, EventDraft, ItemDraft, LineDraft, PieceDraft
from pipeline.source.exchange.ledger import Ledger
from pipeline.source.exchange.typed import typable


def complete(piece: PieceDraft, ledger: Ledger) -> None:
    """An empty bar has a blank place; a bar line behind the last event closes its bar."""
    for bar in piece.bars:
        for event in (*bar.events, *(item for each in bar.variants for item in each.items)):
            if isinstance(event, EventDraft):
                _typable(event, piece.signs, bar, ledger)
        bar.items = _single_breaks(bar.items)
        _last_lines(bar, ledger)
        if not bar.events and bar.ditto is None:
            bar.items.insert(0, EventDraft("", f"measure {bar.name}", Value(4), Value(4)))
        for variant in bar.variants:
            variant.items = _single_breaks(variant.items)
            while len(variant.items) > 1 and not any(isinstance(item, EventDraft) for item in variant.items[-2:]):
                variant.items.pop()
                ledger.lose("a second bar line at the end of another source's bar", bar.line, f"measure {bar.name}")
            if not any(isinstance(item, EventDraft) for item in variant.items):
                variant.items = []


def _typable(event: EventDraft, signs: Signs, bar: BarDraft, ledger: Ledger) -> None:
    """Leave out the figures that the signs of the piece do not have."""
    for stop in list(event.stops):
        if any(figure is not None and not typable(figure, signs) for figure in (stop.edition, stop.source)):
            event.stops.remove(stop)
            ledger.lose("figures that these signs do not have", bar.line, f"measure {bar.name}")
    if event.body is Body.STOPS and not event.stops:
        event.body = Body.NOTHING


def _last_lines(bar: BarDraft, ledger: Ledger) -> None:
    """The bar lines behind the last event: one takes the place of a plain closing line."""
    last = max((at for at, item in enumerate(bar.items) if isinstance(item, EventDraft)), default=-1)
    lines = [item for item in bar.items[last + 1 :] if isinstance(item, LineDraft)]
    bar.items = [item for at, item in enumerate(bar.items) if at <= last or not isinstance(item, LineDraft)]
    plain = bar.closing.kind is BarlineKind.SINGLE and bar.closing.act is BarlineAct.PRINTED
    for line in lines:
        if plain and line.act is not BarlineAct.REMOVED:
            line.remarks = [*bar.closing.remarks, *line.remarks]
            bar.closing, plain = line, False
        else:
            ledger.lose("a second bar line at the end of a bar", bar.line, f"measure {bar.name}")


def _single_breaks(items: list[ItemDraft]) -> list[ItemDraft]:
    """Of breaks that follow each other the last, and one that names a folio before one that does not."""
    kept: list[ItemDraft] = []
    for item in items:
        before = kept[-1] if kept else None
        if isinstance(item, BreakDraft) and isinstance(before, BreakDraft):
            kept[-1] = item if item.folio or not before.folio else before
        else:
            kept.append(item)
    return kept
