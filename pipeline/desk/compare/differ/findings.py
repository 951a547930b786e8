"""Findings that only one build has, held together by bars and not by lines."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field

from pipeline.desk.compare.content import BarContent, FindingContent, PieceContent
from pipeline.desk.compare.differ.align import Pair
from pipeline.desk.compare.differ.ledger import Ledger
from pipeline.desk.compare.difference import Kind
from pipeline.model.text import Span

Findings = Sequence[FindingContent]
HEADING, ELSEWHERE = -1, -2


@dataclass(slots=True)
class _Places:
    """From lines of the text to bars, and to places in the alignment that both sides share."""

    bars: Sequence[BarContent]
    slots: dict[int, int]
    lines: list[int] = field(init=False)

    def __post_init__(self) -> None:
        self.lines = [bar.span.line for bar in self.bars]

    def bar(self, line: int) -> BarContent | None:
        place = bisect_right(self.lines, line) - 1
        return self.bars[place] if line and place >= 0 else None

    def slot(self, line: int) -> int:
        """In the heading, or in another file, a place of its own."""
        bar = self.bar(line)
        return self.slots[bar.index] if bar is not None else HEADING if line else ELSEWHERE


def compare_findings(
    ledger: Ledger,
    one: PieceContent,
    two: PieceContent,
    pairs: Sequence[Pair],
    found_one: Findings,
    found_two: Findings,
) -> None:
    """Findings gone, come, or worded otherwise. ``pairs`` are the bars as aligned."""
    left = _Places(one.bars, {place: slot for slot, (place, _) in enumerate(pairs) if place is not None})
    right = _Places(two.bars, {place: slot for slot, (_, place) in enumerate(pairs) if place is not None})
    gone, come = _unmatched(found_one, left, found_two, right)
    for slot in sorted({*gone, *come}):
        ledger.slot = slot
        first, second = pairs[slot] if slot >= 0 else (None, None)
        ledger.at(one.bars[first] if first is not None else None, two.bars[second] if second is not None else None)
        before, after = gone.get(slot, []), come.get(slot, [])
        for finding in list(before):
            same = next((other for other in after if other.code == finding.code), None)
            before.remove(finding)
            if same is not None:
                after.remove(same)
            _say(ledger, finding, same)
        for finding in after:
            _say(ledger, None, finding)


def _unmatched(
    one: Findings, left: _Places, two: Findings, right: _Places
) -> tuple[dict[int, list[FindingContent]], dict[int, list[FindingContent]]]:
    """What the other side has not, by place."""
    waiting: dict[tuple[object, ...], list[FindingContent]] = {}
    for finding in two:
        waiting.setdefault(_key(finding, right), []).append(finding)
    gone: dict[int, list[FindingContent]] = {}
    for finding in one:
        same = waiting.get(_key(finding, left))
        if same:
            same.pop(0)
        else:
            gone.setdefault(left.slot(finding.line), []).append(finding)
    come: dict[int, list[FindingContent]] = {}
    for findings in waiting.values():
        for finding in findings:
            come.setdefault(right.slot(finding.line), []).append(finding)
    return gone, come


def _key(finding: FindingContent, places: _Places) -> tuple[object, ...]:
    return places.slot(finding.line), finding.code, finding.severity, finding.message


def _say(ledger: Ledger, one: FindingContent | None, two: FindingContent | None) -> None:
    code = one.code if one is not None else two.code if two is not None else ""
    spans = (_span(one), _span(two))
    ledger.say(Kind.FINDING, code, _words(one), _words(two), spans)


def _words(finding: FindingContent | None) -> str:
    return f"{finding.severity}: {finding.message}" if finding is not None else ""


def _span(finding: FindingContent | None) -> Span | None:
    return Span("", finding.line, 1, 1) if finding is not None and finding.line else None
