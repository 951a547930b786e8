"""Two pieces side by side: headings, then bar by bar, then what follows from their tunings."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.desk.compare.content import BarContent, FindingContent, PieceContent, UnreadContent
from pipeline.desk.compare.differ.align import Pair, aligned
from pipeline.desk.compare.differ.bars import bar_alone, compare_barring, compare_bars, compare_directives, same_music
from pipeline.desk.compare.differ.findings import compare_findings
from pipeline.desk.compare.differ.heading import compare_headings, compare_readings_of_piece, tunings
from pipeline.desk.compare.differ.ledger import Ledger
from pipeline.desk.compare.differ.words import Hand
from pipeline.desk.compare.difference import Difference, Kind

#: More bars than this are not taken for one bar of the other side, barred otherwise.
_MOST_BARS = 8


def differences(
    one: PieceContent,
    two: PieceContent,
    findings_one: Sequence[FindingContent] = (),
    findings_two: Sequence[FindingContent] = (),
) -> tuple[Difference, ...]:
    """All that differs: first what is declared, and what sounds otherwise only because of it; then bar by bar.

    Exchanging the sides gives the same differences mirrored. Linear time in the length of the pieces, as long as
    they have anything in common.
    """
    ledger = Ledger(Hand(one.signs, one.stopped), Hand(two.signs, two.stopped))
    compare_headings(ledger, one.heading, two.heading)
    compare_readings_of_piece(ledger, one, two)
    pairs = aligned(one.bars, two.bars, ledger.likeness.of_bars)
    _bars(ledger, one.bars, two.bars, pairs)
    ledger.at(None, None)
    ledger.slot = len(pairs)
    compare_directives(ledger, one.closing, two.closing, " after the last bar")
    _unread(ledger, one.unread, two.unread)
    compare_findings(ledger, one, two, pairs, findings_one, findings_two)
    tuned = tuple(tunings(ledger, one.heading, two.heading))
    in_place = sorted(ledger.found, key=lambda found: found[0])
    first = [difference for slot, difference in in_place if slot < 0]
    return (*first, *tuned, *(difference for slot, difference in in_place if slot >= 0))


def _bars(ledger: Ledger, one: Sequence[BarContent], two: Sequence[BarContent], pairs: list[Pair]) -> None:
    place = 0
    while place < len(pairs):
        ledger.slot = place
        joined = _other_barring(one, two, pairs, place)
        if joined:
            part = pairs[place : place + joined]
            left = [one[number] for number, _ in part if number is not None]
            right = [two[number] for _, number in part if number is not None]
            compare_barring(ledger, left, right)
            place += joined
            continue
        before, after = pairs[place]
        if before is not None and after is not None:
            compare_bars(ledger, one[before], two[after])
        else:
            bar_alone(ledger, one[before] if before is not None else None, two[after] if after is not None else None)
        place += 1


def _other_barring(one: Sequence[BarContent], two: Sequence[BarContent], pairs: list[Pair], start: int) -> int:
    """How many pairs from here on hold the same music, barred otherwise; 0 for none."""
    before, after = pairs[start]
    if before is not None and after is not None and one[before] == two[after]:
        return 0
    for size in range(2, min(_MOST_BARS, len(pairs) - start) + 1):
        part = pairs[start : start + size]
        left = [one[number] for number, _ in part if number is not None]
        right = [two[number] for _, number in part if number is not None]
        if len(left) != len(right) and left and right and same_music(left, right):
            return size
    return 0


def _unread(ledger: Ledger, one: tuple[UnreadContent, ...], two: tuple[UnreadContent, ...]) -> None:
    """Lines that cannot be read, to the letter."""
    for left, right in aligned(one, two, lambda a, b: 0):
        before = one[left] if left is not None else None
        after = two[right] if right is not None else None
        if before != after:
            spans = (before.span if before is not None else None, after.span if after is not None else None)
            words = (before.text if before is not None else "", after.text if after is not None else "")
            ledger.say(Kind.UNREAD, "line that cannot be read", *words, spans)
