"""Bars that the source does not write out, typed as it has them."""

from __future__ import annotations

import re

from pipeline.model.tablature import DirectiveKind
from pipeline.source.exchange.drafts import BarDraft, PieceDraft, Said
from pipeline.source.exchange.ledger import Ledger
from pipeline.source.exchange.readings import without_course

#: What an edition's note says of a bar that its source does not write out.
_DITTO = re.compile(
    r"not written out in the source: as (?:the bar before|the (?P<many>[0-9]{1,2}) bars before"
    r"|bar (?P<bar>[0-9]{1,2}) of (?P<section>[^;.]{1,80}))"
)


def ditto_said(text: str) -> tuple[int, str, int] | None:
    """How many bars before are meant, or a section and the number of its bar."""
    found = _DITTO.search(text)
    if found is None:
        return None
    if found["section"]:
        return 1, found["section"], int(found["bar"])
    return int(found["many"] or 1), "", 0


def repeated(piece: PieceDraft, ledger: Ledger) -> None:
    """Empty every bar that repeats others, and drop those that its ditto covers too. A bar that holds something else
    than it should repeat stays written out."""
    kept: list[BarDraft] = []
    covered = 0
    for index, bar in enumerate(piece.bars):
        if covered:
            covered -= 1
            kept[-1].closing = bar.closing
            continue
        if bar.ditto is not None:
            bars, _, _ = bar.ditto
            if _same(piece, index, bar.ditto):
                bar.items = []
                covered = bars - 1
            else:
                bar.ditto = None
                what = "that the source does not write a bar out; it is typed in full"
                ledger.lose(what, bar.line, f"measure {bar.name}")
        kept.append(bar)
    piece.bars = kept


def _same(piece: PieceDraft, index: int, ditto: tuple[int, str, int]) -> bool:
    bars, section, number = ditto
    start = _bar_of(piece, section, number) if section else index - bars
    if start is None or start < 0 or start + bars > index or index + bars > len(piece.bars):
        return False
    return all(_struck(piece.bars[index + each]) == _struck(piece.bars[start + each]) for each in range(bars))


def _struck(bar: BarDraft) -> list[list[tuple[int | None, int | None]]]:
    return [without_course(event) for event in bar.events if not event.removed]


def _bar_of(piece: PieceDraft, section: str, number: int) -> int | None:
    """The index of a bar of a section, counted from 1."""
    for index, bar in enumerate(piece.bars):
        if Said(DirectiveKind.SECTION, section) in bar.before:
            return index + number - 1
    return None
