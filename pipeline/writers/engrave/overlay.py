"""Signs that no engraver puts in the right place: drawn over its drawing, at the notes that they belong to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from pipeline.model.notes import Place
from pipeline.model.parts import whole_id
from pipeline.model.score import BarStyle, HoldLine, Measure, Score, Slur, SlurKind, WordsKind
from pipeline.writers.engrave import strokes
from pipeline.writers.engrave.drawing import System
from pipeline.writers.engrave.gaps import with_breaks
from pipeline.writers.engrave.heads import head_signs
from pipeline.writers.engrave.octaves import with_octave_brackets
from pipeline.writers.engrave.places import Box, Places
from pipeline.writers.engrave.stanzas import StanzaNumbers
from pipeline.writers.engrave.sungsigns import sung_signs
from pipeline.writers.engrave.tabsigns import bar_letter, event_signs
from pipeline.writers.engrave.text import markup, ring_width, rings
from pipeline.writers.engrave.typesigns import with_own_signs
from pipeline.writers.engrave.widths import text_width

_DASHES = "60 50"
_REPEATS = {BarStyle.REPEAT_START, BarStyle.REPEAT_END, BarStyle.REPEAT_BOTH}
#: As many dots the engraver draws at a repeat on the tablature: one too many.
_DOTS_ON_SIX_LINES = 3
_BAR_LINE = re.compile(r'<g id="[^"]*" class="barLine[^"]*">(?:<(?:path|use) [^>]*/>)+</g>')
_REPEAT_DOT = re.compile(r'<use xlink:href="#E044" transform="translate\(-?\d+, (-?\d+)\)[^>]*/>')
_BAR_NUMBER = re.compile(r'(class="mNum[^"]*"><text) x="-?\d+" y="-?\d+" text-anchor="middle"')
_SECTION = re.compile(r'(<g id="[^"]*" class="reh section[^"]*"><text x=")-?\d+" y="(-?\d+)"')
_ADDED_GROUP = re.compile(
    r'class="tuplet supplied"><g id="[^"]*" class="tupletNum">'
    r'(<use xlink:href="#E88\d" transform="translate\((-?\d+), (-?\d+)\) scale\(([\d.]+)[^>]*/>)+'
)
_REFERENCE = re.compile(
    r'(<g id="[^"]*" class="dir footnote">)<text x="(-?\d+)" y="(-?\d+)"[^>]*>'
    r'(?:<tspan(?! font)[^>]*>)*<tspan font-size="(\d+)px">\s*([\d ]+?)\s*</tspan>(?:</tspan>)*</text></g>'
)
#: The number in a ring against the word, and how far its middle stands over the foot of the word.
_RINGED, _UP = 0.6, 95
#: Box of a group's number in the engraver's font.
_NUMBER_HEIGHT, _NUMBER_WIDTH = 400, 300
_DASHED_PIECE = re.compile(r'<path d="M-?\d+ (-?\d+) L-?\d+ (-?\d+)"[^>]*stroke-dasharray[^>]*/>')


#: Size of a bar number as the engraver sets it, what lies between it and a title, how far the title rises over a clef.
_NUMBER, _NUMBER_GAP, _CLEF_RISE = 324, 110, 90
#: Height of an ornament over a figure.
_MARK = 150
#: How far a hold line reaches past its event; where lines from the system before begin; how high a long bow runs.
_REACH, _LEFT_EDGE, _BOW = 60, 100, 200


@dataclass(frozen=True, slots=True)
class _Arriving:
    """A slur or hold line that goes on in the next system: the id of its end, and its depth under the top line."""

    end: str
    depth: float
    is_slur: bool
    dashes: str = ""


class Overlay:
    """The finished drawing of each system of a score."""

    def __init__(self, score: Score, systems: Sequence[System]) -> None:
        by_id = {measure.id: measure for measure in score.measures}
        self._copy = score.copy
        self._all = score.measures
        self._tablature_alone = score.tablature and not score.staves and not score.vocal
        self._tablature_on_top = score.tablature and all(staff.bass for staff in score.vocal)
        self._systems = systems
        self._measures = [_whole(system.measures, by_id) for system in systems]
        self._arriving: list[_Arriving] = []
        self._stanzas = StanzaNumbers(score)

    def drawn(self, place: int) -> str:
        """System ``place`` with everything over it. To be asked for in order: slurs go on from one to the next."""
        measures = self._measures[place]
        drawing = with_own_signs(self._systems[place].drawing)
        band = Places(drawing).band()
        drawing = with_octave_brackets(with_breaks(drawing, self._all))
        if band is not None and any(measure.right is BarStyle.DASHED for measure in measures):
            drawing = _BAR_LINE.sub(lambda line: _without_added_line(line, band), drawing)
        drawing = _REFERENCE.sub(_ringed, drawing)
        if not self._copy:
            drawing = _ADDED_GROUP.sub(_with_brackets, drawing)
        if band is not None and any(_REPEATS & {measure.left, measure.right} for measure in measures):
            drawing = _BAR_LINE.sub(lambda line: _with_two_dots(line, band), drawing)
        if self._tablature_alone and band is not None:  # over the top line they would be read as basses
            drawing = _BAR_NUMBER.sub(rf'\1 x="-{_NUMBER_GAP}" y="{band[0] + _NUMBER // 3}" text-anchor="end"', drawing)
        if measures and any(words.kind is WordsKind.SECTION for words in measures[0].words):
            drawing = self._with_section_at_the_edge(drawing, measures[0].label if place else "")
        places = Places(drawing)
        signs = "".join((*self._signs(measures, places), *self._stanzas.at_head(measures, places)))
        return f'{drawing}<g class="overlay">{signs}</g>' if signs else drawing

    def _with_section_at_the_edge(self, drawing: str, number: str) -> str:
        """The title of the section at the left edge, behind the number of its first bar, which the engraver leaves
        out here; clear of the clef where the top staff has one."""
        found = _SECTION.search(drawing)
        if found is None:
            return drawing
        y = int(found.group(2)) - (0 if self._tablature_on_top else _CLEF_RISE)
        x = round(text_width(number, _NUMBER, "italic") / 2 + _NUMBER_GAP) if number else 0
        where = f'x="0" y="{y}" text-anchor="middle" font-size="{_NUMBER}px"'
        bar = f'<g class="mNum"><text {where}>{markup(number)}</text></g>' if number else ""
        return f'{drawing[: found.start()]}{bar}{found.group(1)}{x}" y="{y}"{drawing[found.end() :]}'

    def _signs(self, measures: Iterable[Measure], places: Places) -> Iterator[str]:
        arriving, self._arriving = self._arriving, []
        for line in arriving:
            yield from self._arrive(line, places)
        for measure in measures:
            yield from bar_letter(measure, places)
            for event in measure.tab:
                yield from event_signs(event, places)
            marked = _marked_above(measure)
            for slur in measure.slurs:
                if slur.tablature:
                    yield from self._slur(slur, places, marked)
            for hold in measure.holds:
                yield from self._hold(hold, places)
            yield from head_signs(measure, places, copy=self._copy)
            yield from sung_signs(measure, places)

    def _slur(self, slur: Slur, places: Places, marked: frozenset[str]) -> Iterator[str]:
        """A bow over two figures, and over the signs that stand on those that are ``marked``."""
        dashes = "" if slur.kind is SlurKind.PRINTED else _DASHES
        start, end = places.figure(slur.start), places.figure(slur.end)
        if start is None:
            return
        if end is not None:
            left, right = (
                _over(box) - _MARK * (name in marked) for name, box in ((slur.start, start), (slur.end, end))
            )
            yield _named(slur.id, strokes.slur(start.middle, end.middle, left, right, dashes))
            return
        self._arriving.append(_Arriving(slur.end, _over(start) - places.top, is_slur=True, dashes=dashes))
        bow = strokes.half_slur(start.middle, places.width, _over(start), opening=True, dashes=dashes)
        yield _named(slur.id, bow)

    def _hold(self, hold: HoldLine, places: Places) -> Iterator[str]:
        start = places.figure(hold.start)
        if start is None:
            return
        figure = places.figure(hold.end)
        y = start.bottom + 10
        if figure is not None:
            yield _named(hold.id, strokes.line(start.right + 25, start.centre, figure.left - 25, figure.centre, 18))
            return
        column = places.column(hold.end)
        if column is None:
            self._arriving.append(_Arriving(hold.end, y - places.top, is_slur=False))
        right = places.width if column is None else column + _REACH
        yield _named(hold.id, strokes.line(start.right + 25, y, right, y, 18))

    def _arrive(self, line: _Arriving, places: Places) -> Iterator[str]:
        """What began in a system before: from the left edge to its end, or on to the next system."""
        y = places.top + line.depth
        column = places.column(line.end)
        if column is None and line.end not in places:
            self._arriving.append(line)
            height = y - _BOW if line.is_slur else y
            yield strokes.line(_LEFT_EDGE, height, places.width, height, 18)
            return
        figure = places.figure(line.end)
        if line.is_slur and figure is not None:
            left = max(figure.middle - 600, _LEFT_EDGE)
            yield strokes.half_slur(left, figure.middle, _over(figure), opening=False, dashes=line.dashes)
        elif column is not None:
            yield strokes.line(_LEFT_EDGE, y, column + _REACH, y, 18)


def _whole(names: Sequence[str], by_id: Mapping[str, Measure]) -> list[Measure]:
    """The measures of a system, each once, even where it is set in parts."""
    found = dict.fromkeys(whole_id(name) for name in names)
    return [by_id[name] for name in found if name in by_id]


def _marked_above(measure: Measure) -> frozenset[str]:
    """The figures over which an ornament stands."""
    figures = (figure for event in measure.tab for figure in event.figures)
    return frozenset(figure.id for figure in figures if any(sign.place is Place.ABOVE for sign in figure.ornaments))


def _over(figure: Box) -> float:
    return figure.top - 28


def _ringed(match: re.Match[str]) -> str:
    """The number of a note at the foot over a staff, which the engraver sets as a word."""
    size = float(match.group(4)) * _RINGED
    x = float(match.group(2)) - ring_width(match.group(5), size) / 2
    return match.group(1) + rings(match.group(5), x, float(match.group(3)) - _UP, size) + "</g>"


def _with_brackets(match: re.Match[str]) -> str:
    """The number of a group that the source does not print."""
    x, base, scale = (float(match.group(place)) for place in (2, 3, 4))
    number = Box(x, base - _NUMBER_HEIGHT * scale, x + _NUMBER_WIDTH * scale, base)
    return match.group(0) + strokes.brackets(number, 40, 45)


def _named(own_id: str, drawing: str) -> str:
    return f'<g id="{own_id}" class="tablature-span">{drawing}</g>'


#: From the top line of the tablature to that of the staff under it.
_Band = tuple[int, int]


def _without_added_line(match: re.Match[str], band: _Band) -> str:
    """Take an added bar line out of the tablature, which has none there in the source."""
    return _DASHED_PIECE.sub(
        lambda piece: "" if band[0] <= min(int(piece.group(1)), int(piece.group(2))) < band[1] else piece.group(0),
        match.group(0),
    )


def _with_two_dots(match: re.Match[str], band: _Band) -> str:
    """A repeat has two dots on each staff; on six lines the engraver draws a third between them."""
    group = match.group(0)
    heights = sorted({int(y) for y in _REPEAT_DOT.findall(group) if band[0] < int(y) < band[1]})
    if len(heights) != _DOTS_ON_SIX_LINES:
        return group
    middle = str(heights[1])
    return _REPEAT_DOT.sub(lambda dot: "" if dot.group(1) == middle else dot.group(0), group)
