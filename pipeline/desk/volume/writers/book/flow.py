"""What flows through the pages besides paragraphs: places that are found again, pages of music, entries of lists."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import ceil

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph

from pipeline.desk.programme.writers.bands import Style, centred, measure, put
from pipeline.writers.pdf import Glyphs, draw_on, size_of

#: Incipits are printed at this share of their size.
_SMALL = 0.8
_GAP = 5.0
#: The title of the book where it stands again before the music, and what is said on an empty page.
_TITLE, _REMARK = Style(20), Style(9.5, italic=True, grey=0.25)


@dataclass(slots=True)
class Pass:
    """One pass over the whole book. ``known`` has the pages (from 1) of all places as the pass before found them,
    ``found`` those of this one; where ``draws`` is False pages of music are only counted."""

    known: Mapping[str, int]
    draws: bool
    found: dict[str, int] = field(default_factory=dict)
    glyphs: Glyphs = field(default_factory=Glyphs)
    #: Pages left empty.
    empty: set[int] = field(default_factory=set)

    def reach(self, canvas: Canvas, place: Place) -> None:
        """Make the place known on the present page."""
        self.found[place.key] = canvas.getPageNumber()
        canvas.bookmarkPage(place.key)
        if place.title:
            canvas.addOutlineEntry(place.title, place.key, place.level, closed=int(place.level > 0))


@dataclass(frozen=True, slots=True)
class Place:
    """Somewhere that links lead to; with a ``title`` it has a bookmark too, ``level`` deep from 0."""

    key: str
    title: str = ""
    level: int = 0


class Anchor(Flowable):
    """A place, of no size, on the page of what follows."""

    keepWithNext = 1  # noqa: N815  # the library's name

    def __init__(self, place: Place, turn: Pass) -> None:
        super().__init__()
        self._place, self._turn = place, turn

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        self._turn.reach(self.canv, self._place)


class _Heading(Paragraph):
    """A heading that is a place too."""

    reached: tuple[Place, Pass] | None = None

    def draw(self) -> None:
        if self.reached is not None:
            place, turn = self.reached
            turn.reach(self.canv, place)
        super().draw()

    def split(self, wide: float, high: float) -> list[Flowable]:
        parts: list[Flowable] = super().split(wide, high)
        if parts and isinstance(parts[0], _Heading):
            parts[0].reached = self.reached
        return parts


def heading(markup: str, kind: ParagraphStyle, place: Place, turn: Pass) -> Paragraph:
    """A heading that links and bookmarks lead to."""
    made = _Heading(markup, kind)
    made.reached = (place, turn)
    return made


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing on a page, its places, and how far below the upper edge it begins, in points; None for a drawing that
    is as large as the page."""

    svg: str
    places: tuple[Place, ...] = ()
    down: float | None = None


class FullPage(Flowable):
    """A page by itself: of music, or with a ``title`` or a ``remark`` alone, or empty; of these, only one with a remark
    has a number. Its frame is the whole paper."""

    def __init__(
        self,
        turn: Pass,
        drawn: tuple[Drawn, ...] = (),
        places: tuple[Place, ...] = (),
        title: str = "",
        remark: str = "",
    ) -> None:
        super().__init__()
        self._turn, self._drawn, self._places, self._title, self._remark = turn, drawn, places, title, remark
        self._size = (0.0, 0.0)

    def wrap(self, wide: float, high: float) -> tuple[float, float]:
        self._size = (wide, high)
        return wide, high

    def draw(self) -> None:
        for place in (*self._places, *(place for one in self._drawn for place in one.places)):
            self._turn.reach(self.canv, place)
        wide, high = self._size
        if self._title:
            centred(self.canv, wide / 2, high * 0.7, self._title, _TITLE, wide * 0.7)
        if self._remark:
            centred(self.canv, wide / 2, high / 2, self._remark, _REMARK, wide * 0.7)
        elif not self._drawn:
            self._turn.empty.add(self.canv.getPageNumber())
        if self._turn.draws:
            for one in self._drawn:
                self._music(one)

    def _music(self, one: Drawn) -> None:
        canvas, (wide, high) = self.canv, self._size
        canvas.saveState()
        if one.down is not None:
            own = size_of(one.svg)[1]
            canvas.translate(0, high - one.down - own)
            high = own
        draw_on(canvas, one.svg, (wide, high), self._turn.glyphs)
        canvas.restoreState()


class Line(Flowable):
    """An entry of a list: words, dots, the page; under them smaller words and a drawing, if there are any. The whole
    leads to the place."""

    def __init__(self, words: str, page: str, key: str, turn: Pass, *, look: Style, under: str = "", svg: str = ""):
        super().__init__()
        self._words, self._page, self._key, self._turn = words, page, key, turn
        self._look, self._under, self._svg = look, under, svg
        self._small = Style(look.size - 1.5, italic=True, grey=0.25)
        self._wide = self._high = 0.0

    def wrap(self, wide: float, _high: float) -> tuple[float, float]:
        self._wide = wide
        self._high = self._look.size * 1.4 + (self._small.size * 1.35 if self._under else 0)
        if self._svg:
            self._high += size_of(self._svg)[1] * self._share() + _GAP
        return wide, self._high

    def _share(self) -> float:
        return min(_SMALL, self._wide * 0.9 / size_of(self._svg)[0])

    def draw(self) -> None:
        canvas, base = self.canv, self._high - self._look.size
        upright = Style(self._look.size, grey=self._look.grey)
        number = measure(self._page, upright)
        words = _shortened(self._words, self._look, self._wide - number - 20)
        put(canvas, 0, base, words, self._look)
        put(canvas, self._wide - number, base, self._page, upright)
        if self._page:
            self._dots(measure(words, self._look) + 6, self._wide - number - 6, base)
        if self._under:
            base -= self._small.size * 1.35
            put(canvas, 0, base, _shortened(self._under, self._small, self._wide * 0.92), self._small)
        if self._svg:
            self._drawing(base)
        if self._key:
            canvas.linkRect("", self._key, (0, 0, self._wide, self._high), relative=1, Border="[0 0 0]")

    def _dots(self, left: float, right: float, base: float) -> None:
        """Dots of neighbouring entries stand under each other: they are counted from the right edge of the words."""
        step = 5.0
        first, last = ceil((self._wide - right) / step), int((self._wide - left) // step)
        for place in range(first, last + 1):
            put(self.canv, self._wide - place * step, base, ".", self._look)

    def _drawing(self, base: float) -> None:
        canvas = self.canv
        wide, high = size_of(self._svg)
        canvas.saveState()
        canvas.translate(0, base - _GAP - high * self._share())
        canvas.scale(self._share(), self._share())
        if self._turn.draws:
            draw_on(canvas, self._svg, (wide, high), self._turn.glyphs)
        canvas.restoreState()


def _shortened(text: str, look: Style, most: float) -> str:
    if measure(text, look) <= most:
        return text
    while text and measure(f"{text}…", look) > most:
        text = text[:-1].rstrip()
    return f"{text}…"
