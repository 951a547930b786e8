"""Which systems stand on which page: as few pages as can be, evenly filled, each with room for its notes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from pipeline.model.score import Break
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
#: So many pages more are rather begun than one where the editor wants none; it keeps the turns, right and left, right.
_PARTED = 1000

#: The height of what a page needs besides its systems: (first, last) → page units. A page is the first one if
#: ``first`` is 0 and the last one if ``last`` is the number of systems.
Furniture = Callable[[int, int], int]


#: What the editor asks of a page at the head of some systems.
Wishes = Mapping[int, Break]
_NO_WISHES: Wishes = MappingProxyType({})


def paginate(
    heights: Sequence[int],
    furniture: Furniture,
    body: int,
    turns: Sequence[float] = (),
    begins: int = 1,
    wishes: Wishes = _NO_WISHES,
) -> list[Sheet] | None:
    """The best division on pages of height ``body``; None if a system and its notes do not fit on one.

    ``turns`` says for each system what turning the page before it costs; empty if nobody turns. ``begins`` is the
    number of the first page. ``wishes`` are followed before all else: a page begins at a system where the editor has it
    begin; it begins at one where it is not to only if all that stands together is too much for a page.
    Time is linear in the number of systems: no page holds more than a handful.
    """
    count = len(heights)
    best: list[tuple[int, float, int]] = [(0, 0.0, 0)]  # pages, cost, first system of the last page
    for last in range(1, count + 1):
        found: tuple[int, float, int] | None = None
        for first in _first_systems(last, wishes):
            music = sum(heights[first:last]) + CLOSEST * (last - first - 1)
            if music > body:
                break
            slack = body - music - furniture(first, last)
            if slack < 0 or best[first][0] < 0:
                continue
            pages, cost, _ = best[first]
            lone = _LONE if last == count and last - first == 1 and first else 0.0
            turn = turns[first] if turns and first and (begins + pages) % 2 == 0 else 0.0
            parted = _PARTED if first and wishes.get(first) is Break.SAME_PAGE else 0
            candidate = (pages + 1 + parted, cost + lone + turn + _cost(slack / body, last == count), first)
            if found is None or candidate[:2] < found[:2]:
                found = candidate
        best.append(found or (-1, 0.0, 0))
    if best[count][0] < 0:
        return None
    return _walk_back(best, heights, furniture, body)


def _first_systems(last: int, wishes: Wishes) -> Iterator[int]:
    """Where a page that ends before system ``last`` may begin, from the shortest page on."""
    for first in range(last - 1, -1, -1):
        yield first
        if wishes.get(first) is Break.NEW_PAGE:
            return


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
