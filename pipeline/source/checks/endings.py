"""Endings in order, and a way back from each but the last."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.codes.bars import ENDING_WITHOUT_REPEAT, ENDINGS_OUT_OF_ORDER
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Bar, BarlineAct, BarlineKind, Directive, DirectiveKind, UnreadLine

_BACK = frozenset({BarlineKind.REPEAT_END, BarlineKind.REPEAT_BOTH})
_ORDINAL = {1: "first", 2: "second", 3: "third"}


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """Walk through the ending lines; ``running`` is the line of the ending we are in."""
    running: Directive | None = None
    bar: Bar | None = None
    for item in piece.tablature.body:
        if isinstance(item, Bar):
            bar = item
        if isinstance(item, UnreadLine) and item.text.startswith(DirectiveKind.ENDING.value):
            return  # reported already; what follows depends on it
        if not isinstance(item, Directive):
            continue
        if item.kind is DirectiveKind.ENDING:
            yield from _next(running, item)
            # Only the last of several endings, or one that nothing follows, need not lead back.
            leads_on = item.text == "end" and _number(running) != 1
            if running is not None and bar is not None and not leads_on:
                yield from _way_back(running, bar)
            running = None if item.text == "end" else item
        elif item.kind is DirectiveKind.SECTION and running is not None:
            yield from _alone(running)
            running = None
    if running is not None:
        yield from _alone(running)


def _number(line: Directive | None) -> int:
    return int(line.text) if line is not None and line.text.isdigit() else 0


def _ordinal(number: int) -> str:
    return _ORDINAL.get(number, f"{number}th")


def _next(running: Directive | None, line: Directive) -> Iterator[Diagnostic]:
    before, number = _number(running), _number(line)
    if line.text == "end":
        if running is None:
            yield _out_of_order(line, "This ends an ending, but none has begun.", "Begin with ending 1.")
    elif number == 1 and running is not None:
        yield _out_of_order(
            line,
            f"A new first ending begins inside the {_ordinal(before)}.",
            "Type ending end where the music runs on after the last ending.",
        )
    elif number not in (before + 1, 1):
        yield _out_of_order(
            line,
            f"The {_ordinal(number)} ending stands here without the {_ordinal(number - 1)} before it.",
            "Endings are counted from 1, one after the other.",
        )


def _alone(running: Directive) -> Iterator[Diagnostic]:
    if _number(running) == 1:
        yield _out_of_order(
            running,
            "Neither a second ending nor “ending end” follows this first ending.",
            "Type ending 2 over the bars played the second time, or ending end.",
        )


def _way_back(running: Directive, bar: Bar) -> Iterator[Diagnostic]:
    if bar.closing.kind in _BACK and bar.closing.act is not BarlineAct.REMOVED:
        return
    yield Diagnostic(
        ENDING_WITHOUT_REPEAT,
        bar.closing.span,
        f"The {_ordinal(_number(running))} ending closes without a repeat sign.",
        "Type .|| at the end of its last bar; .||! if the source lacks it.",
    )


def _out_of_order(line: Directive, message: str, hint: str) -> Diagnostic:
    return Diagnostic(ENDINGS_OUT_OF_ORDER, line.value_span, message, hint)
