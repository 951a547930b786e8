"""Bars as a level of difference sees them: two that it cannot tell apart have the same key."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from pipeline.desk.collate.record import Level
from pipeline.model.heading import Heading
from pipeline.model.pitch import Semitones
from pipeline.model.record import Record, replace
from pipeline.model.signs import Act, Event, MarkGroup, Slur, Stop
from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.tablature import Barline, BarlineAct, BarlineKind
from pipeline.model.time import Ticks, Value

Key = tuple[object, ...]
#: Lines that change what is played.
REPEATS = frozenset({BarlineKind.REPEAT_START, BarlineKind.REPEAT_END, BarlineKind.REPEAT_BOTH})
_SLURRED = frozenset({Slur.PRINTED, Slur.DOUBTFUL, Slur.ADDED})
#: What a mark is: its printed sign, where the heading declares one.
Naming = Callable[[str], str]


class Told(Record, frozen=True):
    """One event of a bar: ``onset`` in ticks from the beginning of the bar; ``pitches`` struck, from the lowest;
    ``force`` is the value in force."""

    onset: Ticks
    length: Ticks
    pitches: tuple[Semitones, ...]
    event: Event
    force: Value | None


class View(Record, frozen=True):
    """A bar, or all that stands against one. ``lines`` are the bar lines inside it, by the events before them;
    ``closing`` the one at its end, None where the source has none."""

    told: tuple[Told, ...]
    lines: tuple[tuple[int, BarlineKind], ...]
    closing: BarlineKind | None
    length: Ticks


NOTHING = View((), (), None, 0)


def view_of(bar: SoundingBar, shift: Semitones = 0) -> View:
    """A sounding bar; ``shift`` is added to its pitches."""
    told = tuple(_told(event, bar.onset, shift) for event in bar.events)
    lines: list[tuple[int, BarlineKind]] = []
    before = 0
    for item in bar.bar.items:
        if isinstance(item, Event):
            before += 1
        elif isinstance(item, Barline):
            lines.append((before, item.kind))
    closing = bar.bar.closing
    return View(told, tuple(lines), None if closing.act is BarlineAct.ADDED else closing.kind, bar.length)


def _told(event: SoundingEvent, start: Ticks, shift: Semitones) -> Told:
    pitches = tuple(sorted(stop.pitch + shift for stop in event.stops if not stop.held))
    return Told(event.onset - start, event.length, pitches, event.event, event.sign)


def joined(views: Sequence[View]) -> View:
    """Bars that stand together against one, as one: the lines between them inside it."""
    if not views:
        return NOTHING
    told: list[Told] = []
    lines: list[tuple[int, BarlineKind]] = []
    length = 0
    for number, view in enumerate(views):
        lines.extend((len(told) + place, kind) for place, kind in view.lines)
        told.extend(replace(one, onset=one.onset + length) for one in view.told)
        length += view.length
        if number < len(views) - 1 and view.closing is not None:
            lines.append((len(told), view.closing))
    return View(tuple(told), tuple(lines), views[-1].closing, length)


def cut(view: View, lengths: Sequence[Ticks]) -> tuple[View, ...] | None:
    """A view in pieces of these lengths; None if an event would be cut in two."""
    if sum(lengths) != view.length:
        return None
    onsets = [one.onset for one in view.told]
    found: list[View] = []
    start = first = 0
    for number, length in enumerate(lengths):
        end = start + length
        last = first
        while last < len(onsets) and onsets[last] < end:
            last += 1
        final = number == len(lengths) - 1
        if not final and (last >= len(onsets) or onsets[last] != end):
            return None
        told = tuple(replace(one, onset=one.onset - start) for one in view.told[first:last])
        inside = tuple((place - first, kind) for place, kind in view.lines if first < place < last)
        ends = view.closing if final else next((kind for place, kind in view.lines if place == last), None)
        found.append(View(told, inside, ends, length))
        start, first = end, last
    return tuple(found)


# --- keys -------------------------------------------------------------------------------------------------


def key_of(view: View, level: Level, naming: Naming) -> Key:
    """What a level sees of a bar."""
    lines = tuple(line for line in view.lines if _seen(line[1], level))
    closing = view.closing if view.closing is not None and _seen(view.closing, level) else None
    return (events_key(view, level, naming), lines, closing, view.length)


def events_key(view: View, level: Level, naming: Naming) -> Key:
    """What a level sees of the events of a bar."""
    if level is Level.SOUND:
        return sound_key(view)
    return tuple((one.onset, one.length, told_key(one, level, naming)) for one in view.told)


def sound_key(view: View) -> tuple[tuple[Ticks, tuple[Semitones, ...]], ...]:
    """What is struck when."""
    return tuple((one.onset, one.pitches) for one in view.told if one.pitches)


def closing_key(view: View, level: Level) -> BarlineKind | None:
    """What a level sees of the line at the end."""
    return view.closing if view.closing is not None and _seen(view.closing, level) else None


def _seen(kind: BarlineKind, level: Level) -> bool:
    return level is not Level.SOUND or kind in REPEATS


def told_key(one: Told, level: Level, naming: Naming) -> Key:
    """What a level sees of one event, whatever its time."""
    if level is Level.SOUND:
        return (one.pitches,)
    event, head = one.event, one.event.head
    group = None if head is None or head.group is None else (head.group.notes, head.group.time)
    over = _marks(head.marks, naming) if head is not None else ()
    seen: Key = (event.body, tuple(sorted(stop_keys(event.stops, naming))), over, group)
    if level is Level.PRINT or head is None:
        return seen if level is Level.PRINT else (*seen, "", "", False)
    value = "" if head.value is None or head.value.act is Act.ADDED else _shown(head.value.source)
    return (*seen, value, _shown(head.second), head.beamed)


def _shown(value: object) -> str:
    return str(getattr(value, "name", "")) if value is not None else ""


def stop_keys(stops: Iterable[Stop], naming: Naming) -> Iterator[tuple[int, str, str, int, bool, tuple[str, ...]]]:
    """Each stop: its turn, its line, its fret, its dots, whether it is joined to the one before, its marks."""
    turn = 0
    for stop in stops:
        turn += stop.after
        sign = stop.reading.edition or stop.reading.source
        line = "" if sign is None else sign.course_sign or str(sign.course)
        what = stop.reading.act.value if sign is None else str(sign.fret) if sign.fret is not None else sign.state.value
        yield turn, line, what, sign.dots if sign else 0, stop.slur in _SLURRED, _marks(stop.marks, naming)


def _marks(groups: Iterable[MarkGroup], naming: Naming) -> tuple[str, ...]:
    found = [
        naming(reading.edition) if reading.edition is not None else reading.act.value
        for group in groups
        for reading in group.marks
    ]
    return tuple(sorted(found))


def naming_of(heading: Heading) -> Naming:
    """How this piece's marks are called."""

    def named(letter: str) -> str:
        declared = heading.mark(letter)
        return declared.printed if declared is not None else f"'{letter}"

    return named


# --- a whole piece ----------------------------------------------------------------------------------------


def run_of(views: Iterable[View], level: Level, naming: Naming) -> tuple[tuple[Ticks, str, object], ...]:
    """A piece as a level sees it, wherever its bars begin: what stands when."""
    found: list[tuple[Ticks, str, object]] = []
    start = 0
    for view in views:
        onsets = [start + one.onset for one in view.told] + [start + view.length]
        for one, onset in zip(view.told, onsets, strict=False):
            if level is not Level.SOUND:
                found.append((onset, "event", (one.length, told_key(one, level, naming))))
            elif one.pitches:
                found.append((onset, "event", one.pitches))
        lines = [*view.lines, *([(len(view.told), view.closing)] if view.closing is not None else [])]
        found.extend((onsets[place], "line", kind) for place, kind in lines if _seen(kind, level))
        start += view.length
    return tuple(sorted(found, key=lambda each: (each[0], each[1], str(each[2]))))
