"""How large a piece is printed, so that its pages are well filled: cast off as a whole, at one size for all its pages.

Drawing takes as long as all the rest, so other sizes are judged by the heights that the systems have at the usual one;
only the best of them is drawn, and kept if its pages are as good as they promised to be.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

from pipeline.edition.casting import Cast, cast_off
from pipeline.model.layout import Strip
from pipeline.model.parts import whole_id
from pipeline.model.score import Score
from pipeline.writers.engrave.drawing import Drawing, System
from pipeline.writers.engrave.pages import Composer, Engraved, Numbers
from pipeline.writers.engrave.paper import A4, Paper
from pipeline.writers.mei import write_mei

#: Sizes of print that are tried where the usual one leaves pages poorly filled: a staff of 6.2 mm is then 5.9, 5.6 or
#: 5.3 mm high. Common practice, no source: below, figures on the lines of a tablature are hard to read. Staves beside
#: voices are printed smaller as it is.
SIZES, SUNG_SIZES = (0.95, 0.9, 0.85), (0.95, 0.9)
#: The same for what is large from the first, against its own size: figures of a part may hardly be smaller.
LARGE_SIZES = (0.98,)
#: The share of a page that ought to be printed on, and the least for a last page.
FULL, LITTLE = 0.85, 0.3
#: What a page costs that is emptier than it ought to be, what a nearly empty last page and smaller print cost, against
#: what all pages together cost at the usual size.
_EMPTY, _FORLORN, _SMALL = 2.0, 0.3, 1.5
#: How full lines are cast; how many casts are drawn at most; how near to what it promised a drawn one is good enough.
_ROOMS, _DRAWN, _NEAR = (1.0, 0.94), 3, 0.02


@dataclass(frozen=True, slots=True)
class Typeset:
    """A score cast off, and its pages."""

    cast: Cast
    engraved: Engraved


def typeset(score: Score, paper: Paper = A4, size: float | None = None) -> Typeset:
    """The pages of a score at the size that fills them best, or at the ``size`` asked for. The same score gives the
    same pages."""
    cast, composer = chosen_pages(score, paper, size)
    return Typeset(cast, composer.engraved())


@dataclass(frozen=True, slots=True)
class Facing:
    """A score for a volume, its pages without numbers: to begin on a right-hand page or on a left-hand one, and, of a
    short piece, as a ``strip`` that shares its page with others."""

    right: Engraved
    left: Engraved
    strip: Strip | None


def typeset_facing(score: Score, paper: Paper = A4) -> Facing:
    """The same for a volume."""
    drawing = chosen_pages(score, paper)[1].drawing
    right, left = (Composer(drawing, score, paper, Numbers(first, printed=False)) for first in (1, 2))
    return Facing(right.engraved(), left.engraved(), right.strip())


def chosen_pages(score: Score, paper: Paper, size: float | None = None) -> tuple[Cast, Composer]:
    """The score cast off and set on pages, as :func:`typeset` finishes them."""
    usual = cast_off(score, size)
    composer = Composer.of(write_mei(usual), score, paper)
    if size is None and len(composer.sheets) > 1:
        return _better(score, paper, (usual, composer))
    return usual, composer


def badness(composer: Composer, usual_pages: int, size: float) -> float:
    """What is to be said against pages: their number against that at the usual size, pages that are emptier than they
    ought to be, a last page with a single system or next to nothing, small print."""
    fills = composer.fills
    cost = len(fills) / usual_pages + _SMALL * (1 - size)
    if len(fills) > 1:
        last = composer.sheets[-1]
        cost += _EMPTY * fmean(max(0.0, FULL - fill) for fill in fills[:-1])
        cost += _FORLORN * (last.last - last.first == 1 or fills[-1] < LITTLE)
    return cost


def _better(score: Score, paper: Paper, usual: tuple[Cast, Composer]) -> tuple[Cast, Composer]:
    """Pages at a smaller size, if they are better than the usual ones; of a player's part, if there are fewer: where it
    is turned matters more than how full it is."""
    found, pages = usual, len(usual[1].sheets)
    least = badness(usual[1], pages, 1.0)
    for promised, cast in _promising(score, paper, usual[1], least)[:_DRAWN]:
        composer = Composer.of(write_mei(cast), score, paper, close=True)
        cost = badness(composer, pages, cast.size / score.size)
        if cost < least and (score.size == 1 or len(composer.sheets) < pages):
            least, found = cost, (cast, composer)
        if cost <= promised + _NEAR:
            break
    return found


def _promising(score: Score, paper: Paper, usual: Composer, least: float) -> list[tuple[float, Cast]]:
    """Other casts that look better, the best first, each with its badness as estimated. Lines are cast as full as they
    can be, and less so: the engraver breaks a line that turns out too full, and then there is one more."""
    pages = len(usual.sheets)
    smaller = LARGE_SIZES if score.size > 1 else SUNG_SIZES if score.vocal else SIZES
    casts = (cast_off(score, score.size * size, room) for size in smaller for room in _ROOMS)
    judged = ((badness(_estimated(score, cast, usual, paper), pages, cast.size / score.size), cast) for cast in casts)
    return sorted((each for each in judged if each[0] < least), key=lambda each: each[0])


def _estimated(score: Score, cast: Cast, usual: Composer, paper: Paper) -> Composer:
    """The systems of a cast on pages, each as high as the highest of those in which its measures stand as drawn."""
    heights: dict[str, int] = {}
    for system in usual.drawing.systems:
        for name in map(whole_id, system.measures):
            heights[name] = max(system.height, heights.get(name, 0))
    starts = [0, *sorted(cast.starts), len(cast.measures)]
    systems = []
    for first, last in pairwise(starts):
        names = tuple(measure.id for measure in cast.measures[first:last])
        height = max((heights.get(whole_id(name), 0) for name in names), default=0)
        systems.append(System("", height, names, frozenset()))
    return Composer(Drawing(tuple(systems), {}, (), cast.size), score, paper)
