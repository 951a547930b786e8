"""Which systems stand on which page: as few pages as can be, evenly filled, each with room for its notes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pipeline.writers.engrave.paper import millimetres

#: Between two systems at least; from the head to the music; from the music to the notes.
CLOSEST = millimetres(3.2)
HEAD_GAP = millimetres(5)
NOTE_GAP = millimetres(5)


@dataclass(frozen=True, slots=True)
class Sheet:
    """Systems ``first`` up to ``last`` (not included), and the room that is left between and below them."""

    first: int
    last: int
    slack: int


#: What a last page with a single system costs.
_LONE = 0.03

#: The height of what a page needs besides its systems: (first, last) → page units. A page is the first one if
#: ``first`` is 0 and the last one if ``last`` is the number of systems.
Furniture = Callable[[int, int], int]


def paginate(
    heights: Sequence[int], furniture: Furniture, body: int, turns: Sequence[float] = (), begins: int = 1
) -> list[Sheet] | None:
    """The best division on pages of height ``body``; None if a system and its notes do not fit on one.

    ``turns`` says for each system what turning the page before it costs; empty if nobody turns. ``begins`` is the
    number of the first page.
    Time is linear in the number of systems: no page holds more than a handful.
    """
    count = len(heights)
    best: list[tuple[int, float, int]] = [(0, 0.0, 0)]  # pages, cost, first system of the last page
    for last in range(1, count + 1):
        found: tuple[int, float, int] | None = None
        for first in range(last - 1, -1, -1):
            music = sum(heights[first:last]) + CLOSEST * (last - first - 1)
            if music > body:
                break
            slack = body - music - furniture(first, last)
            if slack < 0 or best[first][0] < 0:
                continue
            pages, cost, _ = best[first]
            lone = _LONE if last == count and last - first == 1 and first else 0.0
            turn = turns[first] if turns and first and (begins + pages) % 2 == 0 else 0.0
            candidate = (pages + 1, cost + lone + turn + _cost(slack / body, last == count), first)
            if found is None or candidate[:2] < found[:2]:
                found = candidate
        best.append(found or (-1, 0.0, 0))
    if best[count][0] < 0:
        return None
    return _walk_back(best, heights, furniture, body)


def _cost(share: float, is_last: bool) -> float:
    """Empty room is ugly by its square; on the last page it hardly matters."""
    return share * share * (0.15 if is_last else 1.0)


def _walk_back(
    best: Sequence[tuple[int, float, int]], heights: Sequence[int], furniture: Furniture, body: int
) -> list[Sheet]:
    sheets: list[Sheet] = []
    last = len(heights)
    while last > 0:
        first = best[last][2]
        music = sum(heights[first:last]) + CLOSEST * (last - first - 1)
        sheets.append(Sheet(first, last, body - music - furniture(first, last)))
        last = first
    return sheets[::-1]
