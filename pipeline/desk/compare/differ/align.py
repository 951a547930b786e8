"""Which bar of the one is which of the other; the same for events, and for the notes of a line.

Equal beginnings and ends are taken off; between them, what occurs once on both sides holds the two together, and what
lies between such anchors is aligned by likeness. Long stretches with no anchor (a ground over and over) are aligned
within a band, so that the time stays linear in the length of the piece.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
Pair = tuple[int | None, int | None]

#: What it costs to leave something alone on its side; a pair that has nothing in common costs as much as leaving both.
_ALONE = 100
#: Cells of a full table; larger ones are narrowed to a band of so many cells on either side of the diagonal.
_WHOLE_TABLE, _BAND = 20_000, 16
#: Lengths of runs that may serve as anchors where single elements occur more than once.
_RUNS = (1, 2, 4, 8)

_BOTH, _ONE, _TWO = 0, 1, 2


def aligned(one: Sequence[K], two: Sequence[K], likeness: Callable[[K, K], int]) -> list[Pair]:
    """Pairs of places in order, None where the other side has nothing.

    ``likeness`` goes from 0 to 100 and is asked only of what is not equal; it must be the same both ways round.
    Exchanging the sides exchanges the pairs: where several ways are as good, which of the two comes first does not
    decide.
    """
    swapped = _comes_first(two, one)
    if swapped:
        one, two = two, one
    pairs = list(_Aligner(one, two, likeness).all())
    if swapped:
        return _in_order([(right, left) for left, right in pairs])
    return _in_order(pairs)


def _comes_first(one: Sequence[K], two: Sequence[K]) -> bool:
    """An order of sequences that knows nothing of sides."""
    for left, right in zip(one, two, strict=False):
        if left != right:
            return repr(left) < repr(right)
    return len(one) < len(two)


def _in_order(pairs: list[Pair]) -> list[Pair]:
    """Between two pairs, what is alone on the first side comes before what is alone on the second."""
    ordered: list[Pair] = []
    left: list[Pair] = []
    right: list[Pair] = []
    for pair in (*pairs, (-1, -1)):
        if pair[1] is None:
            left.append(pair)
        elif pair[0] is None:
            right.append(pair)
        else:
            ordered += [*left, *right, pair]
            left, right = [], []
    return ordered[:-1]


@dataclass(frozen=True, slots=True)
class _Span:
    """A stretch of both sides."""

    start_one: int
    end_one: int
    start_two: int
    end_two: int


class _Aligner(Generic[K]):
    def __init__(self, one: Sequence[K], two: Sequence[K], likeness: Callable[[K, K], int]) -> None:
        numbers: dict[K, int] = {}
        self.keys_one = [numbers.setdefault(key, len(numbers)) for key in one]
        self.keys_two = [numbers.setdefault(key, len(numbers)) for key in two]
        self.one, self.two, self.likeness = one, two, likeness

    def all(self) -> Iterator[Pair]:
        """Stretches wait on a stack, so that a long piece needs no deep recursion."""
        stack: list[_Span | list[Pair]] = [_Span(0, len(self.one), 0, len(self.two))]
        while stack:
            part = stack.pop()
            if isinstance(part, list):
                yield from part
            else:
                stack.extend(reversed(self._divided(part)))

    def _divided(self, span: _Span) -> list[_Span | list[Pair]]:
        head, span, tail = self._trimmed(span)
        size_one, size_two = span.end_one - span.start_one, span.end_two - span.start_two
        if not size_one or not size_two:
            alone: list[Pair] = [(place, None) for place in range(span.start_one, span.end_one)]
            alone += [(None, place) for place in range(span.start_two, span.end_two)]
            return [head, alone, tail]
        anchors = self._anchors(span) if size_one > 1 and size_two > 1 else []
        if not anchors:
            return [head, self._by_likeness(span), tail]
        parts: list[_Span | list[Pair]] = [head]
        last_one, last_two = span.start_one, span.start_two
        for left, right in anchors:
            parts += [_Span(last_one, left, last_two, right), [(left, right)]]
            last_one, last_two = left + 1, right + 1
        return [*parts, _Span(last_one, span.end_one, last_two, span.end_two), tail]

    def _trimmed(self, span: _Span) -> tuple[list[Pair], _Span, list[Pair]]:
        """Equal beginnings and ends, and what is left between them."""
        one, two = self.keys_one, self.keys_two
        left, right = span.start_one, span.start_two
        while left < span.end_one and right < span.end_two and one[left] == two[right]:
            left, right = left + 1, right + 1
        end_one, end_two = span.end_one, span.end_two
        while end_one > left and end_two > right and one[end_one - 1] == two[end_two - 1]:
            end_one, end_two = end_one - 1, end_two - 1
        head: list[Pair] = list(zip(range(span.start_one, left), range(span.start_two, right), strict=True))
        tail: list[Pair] = list(zip(range(end_one, span.end_one), range(end_two, span.end_two), strict=True))
        return head, _Span(left, end_one, right, end_two), tail

    def _anchors(self, span: _Span) -> list[tuple[int, int]]:
        """Places whose element, or run of elements, occurs once on either side, in rising order on both."""
        size = (span.end_one - span.start_one) * (span.end_two - span.start_two)
        for run in _RUNS if size > _WHOLE_TABLE else _RUNS[:1]:
            one = _runs(self.keys_one[span.start_one : span.end_one], run)
            two = _runs(self.keys_two[span.start_two : span.end_two], run)
            many_one, many_two = Counter(one), Counter(two)
            places = {key: place for place, key in enumerate(two) if many_two[key] == 1}
            pairs = [(place, places[key]) for place, key in enumerate(one) if many_one[key] == 1 and key in places]
            if pairs:
                rising = _longest_rising(pairs)
                return [(span.start_one + left, span.start_two + right) for left, right in rising]
        return []

    # --- by likeness ---------------------------------------------------------------------------------

    def _by_likeness(self, span: _Span) -> list[Pair]:
        """The cheapest way through a stretch."""
        rows, columns = span.end_one - span.start_one, span.end_two - span.start_two
        whole = rows * columns <= _WHOLE_TABLE
        band = columns if whole else max(_BAND, columns // rows + 1)
        moves: list[tuple[int, bytearray]] = []
        before: dict[int, int] = {}
        for row in range(rows + 1):
            middle = row * columns // rows
            first, last = max(0, middle - band), min(columns, middle + band)
            before, way = self._row(span, row, first, last, before)
            moves.append((first, way))
        return _traced(span, moves)

    def _row(
        self, span: _Span, row: int, first: int, last: int, before: dict[int, int]
    ) -> tuple[dict[int, int], bytearray]:
        costs: dict[int, int] = {}
        way = bytearray(last - first + 1)
        for column in range(first, last + 1):
            best, move = (0, _BOTH) if row == 0 and column == 0 else (-1, _BOTH)
            above, diagonal, left = before.get(column, -1), before.get(column - 1, -1), costs.get(column - 1, -1)
            if diagonal >= 0:
                best = diagonal + self._cost(span.start_one + row - 1, span.start_two + column - 1)
            if above >= 0 and not 0 <= best <= above + _ALONE:
                best, move = above + _ALONE, _ONE
            if left >= 0 and not 0 <= best <= left + _ALONE:
                best, move = left + _ALONE, _TWO
            if best >= 0:
                costs[column] = best
                way[column - first] = move
        return costs, way

    def _cost(self, left: int, right: int) -> int:
        if self.keys_one[left] == self.keys_two[right]:
            return 0
        return 2 * _ALONE - 2 * self.likeness(self.one[left], self.two[right])


def _traced(span: _Span, moves: list[tuple[int, bytearray]]) -> list[Pair]:
    row, column = len(moves) - 1, span.end_two - span.start_two
    pairs: list[Pair] = []
    while row or column:
        first, way = moves[row]
        move = way[column - first]
        if move == _BOTH:
            row, column = row - 1, column - 1
            pairs.append((span.start_one + row, span.start_two + column))
        elif move == _ONE:
            row -= 1
            pairs.append((span.start_one + row, None))
        else:
            column -= 1
            pairs.append((None, span.start_two + column))
    return pairs[::-1]


def _runs(keys: list[int], length: int) -> list[Hashable]:
    if length == 1:
        return list(keys)
    return [tuple(keys[place : place + length]) for place in range(len(keys) - length + 1)]


def _longest_rising(pairs: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The longest part of the pairs that rises on the second side too (they rise on the first); by patience sorting."""
    tops: list[int] = []
    piles: list[int] = []
    below: list[int] = []
    for number, (_, right) in enumerate(pairs):
        pile = bisect_left(tops, right)
        below.append(piles[pile - 1] if pile else -1)
        if pile == len(tops):
            tops.append(right)
            piles.append(number)
        else:
            tops[pile] = right
            piles[pile] = number
    found: list[tuple[int, int]] = []
    number = piles[-1] if piles else -1
    while number >= 0:
        found.append(pairs[number])
        number = below[number]
    return found[::-1]
