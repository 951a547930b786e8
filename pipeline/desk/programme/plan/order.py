"""The order of least cost through all pieces, from one end to the other: an open path, not a round.

Costs are whole numbers, so that sums compare exactly. ``cost[i][j]`` is that of playing j next after i; it need not be
the same both ways, for a piece may end in another tuning than it began.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

Costs = Sequence[Sequence[int]]
#: So many places are put in order by looking at every order, in effect; beyond, the time grows too fast.
MOST_EXACT = 14
#: Beginnings from which an order is searched, times places: fewer the longer the programme.
_SEARCHED = 1500


def total(cost: Costs, order: Sequence[int]) -> int:
    """What an order costs."""
    return sum(cost[one][other] for one, other in pairwise(order))


def best_order(cost: Costs) -> tuple[int, ...]:
    """The cheapest order; of several the one nearest to the order given: its first place as small as can be, then
    its second, and so on.

    Dynamic programming over subsets, for an open path: for every set of places left and every place to stand at, what
    the rest costs at least. About n² · 2ⁿ / 4 steps. Source: "A Dynamic Programming Approach to Sequencing Problems",
    Journal of the Society for Industrial and Applied Mathematics 10/1 (1962), 196–210 (from memory).
    """
    count = len(cost)
    everything = (1 << count) - 1
    rest = [[0] * count for _ in range(everything + 1)]
    for left in range(1, everything):
        inside = [place for place in range(count) if left >> place & 1]
        row = rest[left]
        for here in range(count):
            if not left >> here & 1:
                row[here] = min(cost[here][place] + rest[left ^ (1 << place)][place] for place in inside)
    return tuple(_cheapest_way(cost, rest, everything))


def _cheapest_way(cost: Costs, rest: Sequence[Sequence[int]], left: int) -> Iterator[int]:
    steps: Sequence[int] = [0] * len(cost)
    while left:
        ways = [
            (steps[place] + rest[left ^ (1 << place)][place], place) for place in range(len(cost)) if left >> place & 1
        ]
        here = min(ways)[1]
        yield here
        left ^= 1 << here
        steps = cost[here]


def good_order(cost: Costs) -> tuple[int, ...]:
    """A good order, not proven the best: from the order given and from many places the nearest next, each then mended
    by moving stretches elsewhere and turning stretches round until nothing gets cheaper. Never worse than given."""
    count = len(cost)
    starts = [list(range(count)), *(_nearest(cost, place) for place in range(min(count, 1 + _SEARCHED // count)))]
    mended = [_mended(cost, start) for start in starts]
    return tuple(min((total(cost, order), order) for order in mended)[1])


def _nearest(cost: Costs, start: int) -> list[int]:
    order = [start]
    left = set(range(len(cost))) - {start}
    while left:
        order.append(min(left, key=lambda place: (cost[order[-1]][place], place)))
        left.remove(order[-1])
    return order


def _mended(cost: Costs, order: list[int]) -> list[int]:
    while True:
        better = _moved(cost, order) or _turned(cost, order)
        if better is None:
            return order
        order = better


def _moved(cost: Costs, order: list[int]) -> list[int] | None:
    """The order with one stretch of up to three places set elsewhere, if that is cheaper."""
    for length in (1, 2, 3):
        for first in range(len(order) - length + 1):
            stretch, others = order[first : first + length], order[:first] + order[first + length :]
            saved = _join(cost, order, first, first + length) - _seam(cost, others, first)
            for place in range(len(others) + 1):
                left = cost[others[place - 1]][stretch[0]] if place else 0
                right = cost[stretch[-1]][others[place]] if place < len(others) else 0
                if left + right - _seam(cost, others, place) < saved:
                    return others[:place] + stretch + others[place:]
    return None


def _turned(cost: Costs, order: list[int]) -> list[int] | None:
    """The order with one stretch turned round, if that is cheaper."""
    count = len(order)
    forth, back = [0], [0]
    for one, other in pairwise(order):
        forth.append(forth[-1] + cost[one][other])
        back.append(back[-1] + cost[other][one])
    for first in range(count - 1):
        for last in range(first + 1, count):
            left = order[first - 1] if first else None
            right = order[last + 1] if last + 1 < count else None
            now = forth[last] - forth[first] + _join(cost, order, first, last + 1)
            then = back[last] - back[first]
            then += cost[left][order[last]] if left is not None else 0
            then += cost[order[first]][right] if right is not None else 0
            if then < now:
                return order[:first] + order[first : last + 1][::-1] + order[last + 1 :]
    return None


def _seam(cost: Costs, order: Sequence[int], place: int) -> int:
    """What the step to ``place`` costs; nothing at the ends."""
    return cost[order[place - 1]][order[place]] if 0 < place < len(order) else 0


def _join(cost: Costs, order: Sequence[int], first: int, end: int) -> int:
    """What the two steps into and out of a stretch cost."""
    return _seam(cost, order, first) + _seam(cost, order, end)
