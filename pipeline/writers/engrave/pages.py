"""From the document to finished pages."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.edition.casting.lines import NEW_LINE
from pipeline.model.layout import NO_PAGES, Layout, Strip
from pipeline.model.score import Break, Score
from pipeline.writers.engrave.blocks import (
    NOTHING,
    Block,
    footnote_block,
    legend_block,
    method_block,
    running_head,
    stacked,
    title_block,
    turn_block,
)
from pipeline.writers.engrave.drawing import (
    BREAKS_AS_ASKED,
    CLOSE,
    COPY_OPTIONS,
    EDITION_OPTIONS,
    SONG_OPTIONS,
    Drawing,
    System,
    draw,
)
from pipeline.writers.engrave.footnotes import notes_by_system
from pipeline.writers.engrave.incipits import with_incipits, with_room
from pipeline.writers.engrave.letters import under_titles
from pipeline.writers.engrave.overlay import Overlay
from pipeline.writers.engrave.pagination import CLOSEST, HEAD_GAP, NOTE_GAP, Sheet, Wishes, paginate
from pipeline.writers.engrave.paper import A4, BOTTOM, PER_MM, STAFF_MM, TOP, Paper, millimetres
from pipeline.writers.engrave.safety import drawable
from pipeline.writers.engrave.sheet import page_svg
from pipeline.writers.engrave.sungsigns import with_room_for_marks
from pipeline.writers.engrave.turns import turn_costs
from pipeline.writers.engrave.verses import verses_block

#: The widest gap between systems on a full page, and on a last page that is not full.
_WIDEST, _EASY = millimetres(17), millimetres(13)
#: The high systems of a song can leave a page fairly empty: they may stand further apart.
_WIDEST_SUNG = millimetres(26)
#: The right end of a line of a staff.
_STAFF_LINE = re.compile(r'<path d="M-?\d+ -?\d+ L(-?\d+) ')
#: What asks the engraver to leave out voices that rest through a line.
_LEFT_OUT = ' optimize="true"'
_BLOCK_GAP = millimetres(3)
_VERSE_GAP = millimetres(8)
#: Kept free under every system with voices, whose figures and letters would look like those of its neighbour.
_AIR = millimetres(2.5)
#: Footnotes that would take more than this share of any page go to the end, all of them.
_MOST_NOTES = 0.38


@dataclass(frozen=True, slots=True)
class Engraved:
    """SVG pages in order, each a whole document, what the engraver complained of, the ids of measures at which the
    editor's wish for the layout could not be followed, and how the pages are laid out."""

    pages: tuple[str, ...]
    warnings: tuple[str, ...]
    unfollowed: tuple[str, ...] = ()
    layout: Layout = NO_PAGES


@dataclass(frozen=True, slots=True)
class Numbers:
    """The number of the first page: right-hand pages have odd ones. Whether they are ``printed``."""

    first: int = 1
    printed: bool = True


_NUMBERED = Numbers()


def engrave(mei: bytes, score: Score, paper: Paper = A4) -> Engraved:
    """Engrave a score from its MEI document on pages of ``paper``. The same input gives the same pages.

    Raises UnsafeDocumentError if the document would hang or kill the engraver.
    """
    return Composer.of(mei, score, paper).engraved()


def engrave_beginning(mei: bytes, score: Score) -> str:
    """The first line of a score as a drawing of its own size, without title or margins; empty if nothing is drawn.

    Raises UnsafeDocumentError as :func:`engrave` does.
    """
    document = drawable(mei)
    drawing = draw(document.mei)
    if not drawing.systems:
        return ""
    system = drawing.systems[0]
    wide = max((int(end) for end in _STAFF_LINE.findall(system.drawing)), default=0) + millimetres(1)
    glyphs = {code: drawing.glyphs[code] for code in sorted(system.glyphs)}
    sheet = Paper(wide / PER_MM, system.height / PER_MM, 0)
    return page_svg(score.credits.title, 1, glyphs, [Overlay(score, drawing.systems).drawn(0)], sheet)


def _drawn(mei: str, size: float, score: Score, *, close: bool = False) -> Drawing:
    """The systems, silent voices left out; with all voices, should more than they have gone."""
    options = COPY_OPTIONS if score.copy else SONG_OPTIONS if score.vocal else EDITION_OPTIONS
    options = {**options, **CLOSE} if close else options
    if any(measure.layout in NEW_LINE for measure in score.measures):
        options = {**options, **BREAKS_AS_ASKED}
    mei = under_titles(with_room_for_marks(with_room(mei, score)), score)
    drawing = draw(mei, size, options)
    if _LEFT_OUT in mei and _too_much_left_out(drawing, score):
        drawing = draw(mei.replace(_LEFT_OUT, ""), size, options)
    return with_incipits(drawing, score)


def _too_much_left_out(drawing: Drawing, score: Score) -> bool:
    """True if words have gone with a voice that is left out (the engraver breaks a line that is too full, and one half
    of it may be silent), or a tablature that rests through a line."""
    if score.tablature and any('<g id="tab-' not in system.drawing for system in drawing.systems):
        return True
    return not all(map(drawing.holds, _over_voices(score)))


def _over_voices(score: Score) -> Iterator[str]:
    """Ids of what hangs on a vocal staff, but is no note."""
    for measure in score.measures:
        yield from (words.id for words in measure.words if not words.tablature)
        yield from (event.id for staff in measure.sung for event in staff.events if event.footnote)


def _wishes(score: Score, systems: Sequence[System]) -> Wishes:
    """What the editor asks of the page at the head of each system."""
    asked = {measure.id: measure.layout for measure in score.measures if measure.layout is not None}
    if not asked:
        return {}
    heads = {place: asked.get(system.measures[0]) for place, system in enumerate(systems) if system.measures}
    return {place: wish for place, wish in heads.items() if wish is not None}


def _followed(wish: Break, *, line: bool, page: bool) -> bool:
    match wish:
        case Break.NEW_SYSTEM:
            return line
        case Break.NEW_PAGE:
            return page
        case Break.SAME_SYSTEM:
            return not line
        case Break.SAME_PAGE:
            return not page


class Composer:
    """Sets the systems of one piece on pages."""

    @classmethod
    def of(cls, mei: bytes, score: Score, paper: Paper, *, close: bool = False) -> Composer:
        """The systems of a document, drawn, its notes ``close`` together or as usual; raises as :func:`engrave`."""
        document = drawable(mei)
        return cls(_drawn(document.mei, document.size, score, close=close), score, paper)

    def __init__(self, drawing: Drawing, score: Score, paper: Paper, numbers: Numbers = _NUMBERED) -> None:
        self.drawing = drawing
        self._numbers = numbers
        self._paper = paper
        self._systems = drawing.systems
        air = _AIR if score.vocal else 0
        self._heights = [round(system.height * drawing.size) + air for system in drawing.systems]
        self._score = score
        self._title = title_block(score.credits)
        self._legend = method_block(score.legend) if score.copy else legend_block(score.legend)
        self._verses = verses_block(score.verses)
        self._turns = turn_costs(score, drawing.systems)
        self._turn = turn_block() if score.turned and not score.copy else NOTHING
        self._overlay = Overlay(score, drawing.systems)
        self._notes = notes_by_system(score, drawing.systems)
        self._notes_at_foot = True
        self._legend_at_foot = True
        self._verses_under_music = bool(drawing.systems)
        self._blocks: dict[tuple[int, int], Block] = {}
        self._wishes = _wishes(score, drawing.systems)
        self.sheets = self._divided()

    def _divided(self) -> list[Sheet]:
        """The systems on sheets; the verses, the key, then the notes too, go to pages of their own if they must."""
        count = len(self._heights)
        if any(self._footnotes(place, place + 1).height > _MOST_NOTES * self._paper.body for place in range(count)):
            self._notes_at_foot = False
        sheets = self._paginated()
        if sheets is None and self._verses.height:
            self._verses_under_music = False
            sheets = self._paginated()
        if sheets is None:
            self._legend_at_foot = False
            sheets = self._paginated()
        if sheets is None:
            self._notes_at_foot = False
            sheets = self._paginated()
        return self._one_by_one() if sheets is None else sheets

    def _paginated(self) -> list[Sheet] | None:
        return paginate(
            self._heights, self._furniture, self._paper.body, self._turns, self._numbers.first, self._wishes
        )

    @property
    def fills(self) -> list[float]:
        """For each page with music, the share of its height that is printed on, systems as close as they may stand."""
        return [1 - max(0, sheet.slack) / self._paper.body for sheet in self.sheets]

    def engraved(self) -> Engraved:
        """The finished pages."""
        return Engraved(tuple(self._pages()), self.drawing.warnings, tuple(self._unfollowed()), self._layout())

    def strip(self) -> Strip | None:
        """The piece by itself, no higher than it has to be; None if it takes more than a page."""
        together = self._notes_at_foot and self._legend_at_foot and self._verses_under_music
        if len(self.sheets) != 1 or not together:
            return None
        (sheet,) = self.sheets
        paper, head, foot = self._paper, self._title, self._foot_of(sheet, 1)
        top = head.height + HEAD_GAP
        spread = self._gap(sheet) * (len(self._heights) - 1)
        below = top + sum(self._heights) + spread + self._room_for_verses(sheet.last) + NOTE_GAP
        parts = [
            f'<g transform="translate({paper.left} {y})">{block.drawing}</g>' for y, block in ((0, head), (below, foot))
        ]
        parts.insert(1, self._music(sheet, top))
        high = below + foot.height
        name = self._score.credits.title
        svg = page_svg(name, 1, self.drawing.glyphs, parts, Paper(paper.width_mm, high / PER_MM, paper.left_mm))
        return Strip(svg, high / paper.body)

    def _layout(self) -> Layout:
        heads = [system.measures[0] if system.measures else "" for system in self._systems]
        pages = tuple(tuple(heads[sheet.first : sheet.last]) for sheet in self.sheets)
        return Layout(STAFF_MM * self.drawing.size, self._paper.width_mm, self._paper.height_mm, pages)

    def _unfollowed(self) -> Iterator[str]:
        """The measures at whose head the line or page is not as the editor asks."""
        asked = {measure.id: measure.layout for measure in self._score.measures if measure.layout is not None}
        pages = {sheet.first for sheet in self.sheets}
        for place, system in enumerate(self._systems):
            for number, name in enumerate(system.measures):
                wish, begins = asked.get(name), not number
                if wish is not None and not _followed(wish, line=begins, page=begins and place in pages):
                    yield name

    def _one_by_one(self) -> list[Sheet]:
        """Systems too high for any page: each has one to itself, and runs over its edge."""
        return [Sheet(place, place + 1, 0) for place in range(len(self._systems))]

    def _footnotes(self, first: int, last: int) -> Block:
        if not self._notes_at_foot:
            return NOTHING
        key = (first, last)
        if key not in self._blocks:
            notes = [note for system in self._notes[first:last] for note in system]
            self._blocks[key] = footnote_block(notes) if notes else NOTHING
        return self._blocks[key]

    def _foot(self, first: int, last: int) -> Block:
        turn = self._turn if last < len(self._systems) else NOTHING
        return stacked((self._footnotes(first, last), self._key(first, last), turn), _BLOCK_GAP)

    def _key(self, first: int, last: int) -> Block:
        """The key, if it stands on this page: on the first of an edition, on the last of a singer's copy."""
        here = last == len(self._systems) if self._score.copy else first == 0
        return self._legend if self._legend_at_foot and here else NOTHING

    def _foot_of(self, sheet: Sheet, number: int) -> Block:
        """The foot of a page; that it has no rest to turn in is said only where it is turned, and has none."""
        turned = (self._numbers.first + number - 1) % 2 and sheet.last < len(self._systems)
        if self._turn.height and not (turned and self._turns[sheet.last] > 0):
            return stacked((self._footnotes(sheet.first, sheet.last), self._key(sheet.first, sheet.last)), _BLOCK_GAP)
        return self._foot(sheet.first, sheet.last)

    def _furniture(self, first: int, last: int) -> int:
        foot = self._foot(first, last).height
        head = self._title.height if first == 0 else running_head("", 2).height
        return head + HEAD_GAP + (foot + NOTE_GAP if foot else 0) + self._room_for_verses(last)

    def _room_for_verses(self, last: int) -> int:
        """What the verses take, if they stand behind the music of a page."""
        stand_here = self._verses_under_music and last == len(self._systems)
        return self._verses.height + _VERSE_GAP if stand_here and self._verses.height else 0

    def _pages(self) -> list[str]:
        pages: list[str] = []
        for number, sheet in enumerate(self.sheets, start=1):
            head = self._title if number == 1 else self._running_head(number)
            foot = self._foot_of(sheet, number)
            music = self._music(sheet, TOP + head.height + HEAD_GAP)
            systems = self._systems[sheet.first : sheet.last]
            pages.append(self._page(number, systems, music, head, foot))
        return pages + self._extra_pages(len(pages))

    def _running_head(self, number: int) -> Block:
        return running_head(self._score.credits.title, number if self._numbers.printed else 0)

    def _page(self, number: int, systems: Sequence[System], music: str, head: Block, foot: Block) -> str:
        used = sorted(frozenset().union(*(system.glyphs for system in systems)))
        parts = [f'<g transform="translate({self._paper.left} {TOP})">{head.drawing}</g>', music]
        if foot.height:
            y = self._paper.height - BOTTOM - foot.height
            parts.append(f'<g transform="translate({self._paper.left} {y})">{foot.drawing}</g>')
        glyphs = {code: self.drawing.glyphs[code] for code in used}
        return page_svg(self._score.credits.title, number, glyphs, parts, self._paper)

    def _music(self, sheet: Sheet, top: int) -> str:
        """The systems of a sheet, spread over it; those of a last page stand easily and leave the rest free."""
        is_last = sheet.last == len(self._systems)
        gap = self._gap(sheet)
        scale = "" if self.drawing.size == 1 else f" scale({self.drawing.size:g})"
        parts: list[str] = []
        y = top
        for place in range(sheet.first, sheet.last):
            body = self._overlay.drawn(place)
            parts.append(f'<g transform="translate({self._paper.left} {y}){scale}">{body}</g>')
            y += self._heights[place] + gap
        if is_last and self._verses_under_music and self._verses.height:
            y += _VERSE_GAP - gap
            parts.append(f'<g transform="translate({self._paper.left} {y})">{self._verses.drawing}</g>')
        return "".join(parts)

    def _gap(self, sheet: Sheet) -> int:
        """The room between two systems of a sheet."""
        gaps = sheet.last - sheet.first - 1
        is_last = sheet.last == len(self._systems)
        widest = (
            _EASY if is_last and sheet.slack > self._paper.body // 5 else _WIDEST_SUNG if self._score.vocal else _WIDEST
        )
        return min(widest, CLOSEST + max(0, sheet.slack) // (gaps + 1)) if gaps else 0

    def _extra_pages(self, made: int) -> list[str]:
        """Notes, verses and key that found no room under the music; a piece without music still has its title."""
        notes = [] if self._notes_at_foot else list(self._score.footnotes)
        blocks = [footnote_block(notes[start : start + 60]) for start in range(0, len(notes), 60)]
        if not self._verses_under_music and self._verses.height:
            blocks.append(self._verses)
        if not self._legend_at_foot or not made:
            blocks.append(self._legend)
        pages: list[str] = []
        for block in blocks:
            number = made + len(pages) + 1
            head = self._title if number == 1 else self._running_head(number)
            top = TOP + head.height + HEAD_GAP
            part = f'<g transform="translate({self._paper.left} {top})">{block.drawing}</g>'
            pages.append(self._page(number, (), part, head, NOTHING))
        return pages
