"""Where systems had better begin, and how large they are printed: lines of about the same fullness, new sections on
new lines, short pieces larger.

The widths are estimates of what the engraver will need; it breaks a line by itself where they were too small.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from pipeline.edition.casting.parts import divided
from pipeline.model.notes import Kind
from pipeline.model.score import BarStyle, Break, Measure, Score, WordsKind
from pipeline.model.time import WHOLE, Ticks

#: Width of the music on a page, in the engraver's units (a staff space is 18), and what each line takes before its
#: first note: clef, and each sign of the key.
_LINE = 2030
_CLEF, _KEY_SIGN, _METRE = 115, 16, 45
#: Width of a whole note, and how the width falls with the value; the least width of a column and of an accidental.
_WHOLE_NOTE, _FALL, _LEAST, _ACCIDENTAL, _BAR_LINE = 174.0, 0.6, 31.0, 6.0, 12.0
#: A letter of the words under the notes, on the average, and what lies between two syllables.
_LETTER, _BETWEEN_SYLLABLES = 18.0, 20.0
#: An incipit: old clef, signature, metre, first note.
_INCIPIT = 160.0

#: What speaks for a break before a section, against one behind its first measure, inside a bar of the source or in
#: an ending.
_SECTION, _LATE_SECTION, _INSIDE_BAR, _INSIDE_ENDING = -0.22, 0.2, 0.12, 0.06
#: What speaks for ending a line with a rest, where pages are turned.
_REST = -0.15
#: What a break costs where the editor wants none: a line is rather as full, or as empty, as it may be.
_TOGETHER = 100.0
_FULLEST = 1.03
#: How much of a line is filled by each part of a measure that is too long for one.
_PART = 0.93
#: A piece of no more lines than this is printed larger.
_SHORT, _LARGER = 2, 1.15
#: Emptiness weighs less on the last line, unless next to nothing is left for it.
_LAST, _TOO_LITTLE, _STUMP = 0.35, 0.4, 0.3
#: Under words an uneven last line is seen at once.
_LAST_SUNG = 0.9
#: At such a measure a line begins in any case.
NEW_LINE = (Break.NEW_SYSTEM, Break.NEW_PAGE)


@dataclass(frozen=True, slots=True)
class _Lines:
    """What holds for every line of a piece: its room, what it takes before its first note, and by what the emptiness
    of the last one counts. ``titles`` stand before the first; lines are made no fuller than ``full``; ``turned`` if a
    player turns the pages."""

    begins: float
    titles: float
    last: float
    full: float = 1.0
    turned: bool = False

    def room(self, size: float) -> float:
        return (_LINE / size - self.begins) * self.full


@dataclass(frozen=True, slots=True)
class Cast:
    """A score cast off: its measures, those too long for a line divided; the places (from 0) of those that
    had better begin a system, the first not among them; and the size of print: 1, or more for a short piece."""

    score: Score
    measures: tuple[Measure, ...]
    starts: frozenset[int]
    size: float


def cast_off(score: Score, size: float | None = None, fullness: float = 1.0) -> Cast:
    """Lines and size of print for a piece; the size is that of the score, or as large as fits a short piece, unless
    another ``size`` is asked for; lines no fuller than ``fullness``. Linear in its measures.
    """
    measures = score.measures
    fifths = [abs(measures[0].fifths or 0) if measures else 0, *(abs(staff.fifths) for staff in score.vocal)]
    titles = max(_titles(score), default=0.0)
    lines = _Lines(
        _CLEF + _KEY_SIGN * max(fifths), titles, _LAST_SUNG if score.vocal else _LAST, fullness, score.turned
    )
    if size is not None:
        return _cast(score, size, lines)
    usual = _cast(score, score.size, lines)
    if score.size == 1 and len(usual.starts) < _SHORT:
        larger = _cast(score, _LARGER, lines)
        if len(larger.starts) <= _SHORT:
            return larger
    return usual


def _titles(score: Score) -> list[float]:
    """The widths of what stands before the staves of the first line: names, and how a voice begins in the source."""
    voices = [_LETTER * len(staff.title) + _INCIPIT * (staff.opening is not None) for staff in score.vocal]
    return [_LETTER * len(score.accompaniment_title), *voices]


def _cast(score: Score, size: float, lines: _Lines) -> Cast:
    room = lines.room(size)
    fitting: list[Measure] = []
    widths: list[float] = []
    for measure in score.measures:
        width = _width(measure)
        if width <= room * _FULLEST:
            fitting.append(measure)
            widths.append(width)
            continue
        parts = divided(measure, ceil(width / (_PART * room)))
        fitting.extend(parts)
        widths.extend(map(_width, parts))
    if widths:
        widths[0] += lines.titles
    return Cast(score, tuple(fitting), _starts(fitting, widths, room, lines), size)


def _starts(measures: Sequence[Measure], widths: Sequence[float], room: float, lines: _Lines) -> frozenset[int]:
    """The cheapest division into lines that hold ``room``."""
    best: list[tuple[float, int]] = [(0.0, 0)]
    count = len(measures)
    for end in range(1, count + 1):
        best.append(_best_line(measures, widths, room, best, end, lines))
    starts: set[int] = set()
    end = count
    while end > 0:
        end = best[end][1]
        starts.add(end)
    return frozenset(starts - {0})


def _best_line(
    measures: Sequence[Measure],
    widths: Sequence[float],
    room: float,
    best: Sequence[tuple[float, int]],
    end: int,
    lines: _Lines,
) -> tuple[float, int]:
    """The cheapest way to end a line before measure ``end``: its cost, and where that line begins."""
    found: tuple[float, int] | None = None
    filled = 0.0
    for start in range(end - 1, -1, -1):
        filled += widths[start]
        fullness = filled / room
        if fullness > _FULLEST and found is not None:
            break
        empty = _emptiness(fullness, lines.last if end == len(measures) else None)
        cost = best[start][0] + empty + (_break_cost(measures, start, turned=lines.turned) if start else 0.0)
        if found is None or cost < found[0]:
            found = (cost, start)
        if measures[start].layout in NEW_LINE:
            break
    assert found is not None
    return found


def _emptiness(fullness: float, last: float | None) -> float:
    """What the empty, or missing, room of a line costs; ``last`` is by what it counts on the last line."""
    cost = (1 - fullness) ** 2
    if fullness > 1:
        return 4 * cost
    if last is None:
        return cost
    return last * cost + (_STUMP if fullness < _TOO_LITTLE else 0.0)


def _break_cost(measures: Sequence[Measure], start: int, *, turned: bool) -> float:
    before, after = measures[start - 1], measures[start]
    cost = _TOGETHER if after.layout is Break.SAME_SYSTEM else 0.0
    if _opens_section(after):
        cost += _SECTION
    if _opens_section(before):
        cost += _LATE_SECTION
    if before.right in (BarStyle.DASHED, BarStyle.NONE):
        cost += _INSIDE_BAR
    if after.ending is not None and (not after.ending.starts or after.ending.number > 1):
        cost += _INSIDE_ENDING
    if turned and _hands_rest(before):
        cost += _REST
    return cost


def _hands_rest(measure: Measure) -> bool:
    """True for a measure at whose end a player plucks nothing for a minim: the page can be turned behind it."""
    silent = 0
    for event in reversed(measure.tab):
        if event.figures:
            break
        silent += event.ticks
    return silent >= WHOLE // 2


def _opens_section(measure: Measure) -> bool:
    return any(words.kind is WordsKind.SECTION for words in measure.words)


def _width(measure: Measure) -> float:
    """What a measure needs: every moment at which something begins has room by the time until the next, and every
    syllable by its length until the next of its stanza."""
    moments, accidentals = _moments(measure)
    words = _words(measure)
    ends: dict[str, float] = {}
    width = _BAR_LINE + _ACCIDENTAL * accidentals
    for here, there in pairwise([*sorted(moments), measure.onset + measure.ticks]):
        for line, length in words.get(here, ()):
            width = max(width, ends.get(line, 0.0))
            ends[line] = width + length
        width += max(_LEAST, _WHOLE_NOTE * (max(0, there - here) / WHOLE) ** _FALL)
    width = max(width, *ends.values(), 0.0)
    if measure.metre is not None:
        width += _METRE
    return width


def _moments(measure: Measure) -> tuple[set[Ticks], int]:
    """The moments at which something begins, and at how many of them an accidental stands."""
    onsets = {event.onset for event in measure.tab}
    accidentals: set[Ticks] = set()
    for layer in measure.layers:
        for event in layer.events:
            if event.kind is not Kind.SPACE:
                onsets.add(event.onset)
                if any(head.accidental for head in event.heads):
                    accidentals.add(event.onset)
    for staff in measure.sung:
        for note in staff.events:
            onsets.add(note.onset)
            if note.accidental:
                accidentals.add(note.onset)
    return onsets, len(accidentals)


def _words(measure: Measure) -> dict[Ticks, list[tuple[str, float]]]:
    """Moment → the syllables that begin at it: the line of words they stand in, and the room they take."""
    found: dict[Ticks, list[tuple[str, float]]] = {}
    for staff in measure.sung:
        for note in staff.events:
            for syllable in note.syllables:
                room = _LETTER * len(syllable.text) + _BETWEEN_SYLLABLES
                found.setdefault(note.onset, []).append((f"{staff.staff} {syllable.stanza}", room))
    return found
