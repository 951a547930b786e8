"""Seeds misprints into a piece that is right: at most one a bar, one bar in twenty, all kinds alike.

Assumptions, since no error rates are published: kinds are drawn evenly; a place of the kind is drawn evenly among
those of the bar; only slips that change the music count (a sign left out that says what holds already harms
nothing); signs are wrong by one hook or one dot; a sign too many is the next sign set too early, or one hook off
where no sign follows; a line is off by one, among the stopped courses; figures are confused 1/7, 3/5, 0/6, letters
a/d, b/h, c/e; a diapason is off by one (a slash dropped or doubled, a number misread), bars are run together or cut
at an event. Bars that are free, marked short or long, or empty are left alone, so are bars that a ditto copies and
signs that an editor has touched.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from pipeline.desk.misprints.proposal import OF_MUSIC, Edit, Slip
from pipeline.desk.misprints.search.emending import emended
from pipeline.model.signs import Act, Body, FretState, Signs
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.tablature import BarKind
from pipeline.model.text import SourceText, Span
from pipeline.model.time import Value
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve

RATE = 1 / 20
KINDS = tuple(slip for slip in Slip if slip in OF_MUSIC)
BAR_LINES = frozenset({Slip.BAR_LINE_MISSING, Slip.BAR_LINE_EXTRA})
_FIGURES = {1: 7, 7: 1, 3: 5, 5: 3, 0: 6, 6: 0}
_LETTERS = {0: 3, 3: 0, 1: 7, 7: 1, 2: 4, 4: 2}
_NAMES = "abcdefghiklmn"
_UNITS = (0, 1, 2, 4, 8, 16, 32, 64)


@dataclass(frozen=True)
class Seed:
    """One misprint: its kind, the events of the right piece it concerns (``first`` to ``end``, from 0), and for a
    stop the event, the course and fret printed, and those that are right."""

    slip: Slip
    first: int
    end: int
    event: int = -1
    printed: tuple[int, int] = (0, 0)
    right: tuple[int, int] = (0, 0)


@dataclass(frozen=True)
class Seeded:
    """The right piece, the text with misprints, how it reads, and what was seeded."""

    right: SoundingPiece
    text: SourceText
    piece: SoundingPiece
    seeds: tuple[Seed, ...]


def read(text: SourceText, inherited: tuple[SourceText, ...] = ()) -> SoundingPiece:
    tablature = parse(text, inherited)
    return resolve(tablature.value, declare(tablature.value).value).value


def music(piece: SoundingPiece) -> list[tuple[object, ...]]:
    """What is heard, event by event: length, stops, and whether a bar begins."""
    return [
        (event.length, frozenset((stop.course, stop.fret) for stop in event.stops), number == 0)
        for bar in piece.bars
        for number, event in enumerate(bar.events)
    ]


def firsts(piece: SoundingPiece) -> list[int]:
    """The number of the first event of each bar, from 0, and of all events at the end."""
    found = [0]
    for bar in piece.bars:
        found.append(found[-1] + len(bar.events))
    return found


def seed_errors(
    text: SourceText, chance: random.Random, inherited: tuple[SourceText, ...] = (), rate: float = RATE
) -> Seeded:
    """Seed misprints into a text. A bar gets one with the chance ``rate``."""
    right = read(text, inherited)
    starts = firsts(right)
    edits: list[Edit] = []
    seeds: list[Seed] = []
    copied = {event.event.span for bar in right.bars if bar.bar.ditto is not None for event in bar.events}
    taken = {bar.index for bar in right.bars if any(event.event.span in copied for event in bar.events)}
    for index, bar in enumerate(right.bars):
        if index in taken or chance.random() >= rate or not _may_err(bar):
            continue
        # A bar line more or less would count other bars for a ditto.
        kinds = [kind for kind in KINDS if not copied or kind not in BAR_LINES]
        chance.shuffle(kinds)
        for kind in kinds:
            found = _TRIED[kind](right, index, starts, chance, kind)
            if found is not None:
                seed, changes = found
                edits += changes
                seeds.append(seed)
                taken |= {index, index + 1} if kind is Slip.BAR_LINE_MISSING else {index}
                break
    wrong = SourceText.of(text.name, emended(text.text, edits))
    return Seeded(right, wrong, read(wrong, inherited), tuple(seeds))


def _may_err(bar: SoundingBar) -> bool:
    if not bar.expected or bar.bar.ditto is not None or bar.length != bar.expected or bar.joins_next:
        return False
    return bool(bar.events) and all(event.sign is not None for event in bar.events)


_Found = tuple[Seed, list[Edit]] | None


def _whole(index: int, starts: list[int], slip: Slip, bars: int = 1) -> Seed:
    return Seed(slip, starts[index], starts[index + bars])


# --- signs -----------------------------------------------------------------------------------------------


def _held(piece: SoundingPiece, index: int, number: int) -> Value | None:
    bar = piece.bars[index]
    if number:
        return bar.events[number - 1].sign
    before = piece.bars[index - 1].events if index else ()
    return before[-1].sign if before else None


def _plain(event: SoundingEvent) -> bool:
    """A sign alone over its event, as printed, in no group."""
    head = event.event.head
    return (
        head is not None
        and event.tuplet is None
        and head.value is not None
        and head.value.act is Act.PRINTED
        and not (head.opening_labels or head.labels or head.marks or head.beamed or head.group)
        and not head.value.doubtful
    )


def _sign_missing(piece: SoundingPiece, index: int, starts: list[int], chance: random.Random, kind: Slip) -> _Found:
    places = [
        event
        for number, event in enumerate(piece.bars[index].events)
        if _plain(event) and event.event.body is Body.STOPS and _held(piece, index, number) not in (event.sign, None)
    ]
    if not places:
        return None
    event = chance.choice(places)
    head = event.event.head
    assert head is not None and event.sign is not None
    span = event.event.span.part(0, len(event.sign.name) + 1)
    return _whole(index, starts, kind), [Edit(span, f"{event.sign.name}=", "")]


def _sign_wrong(piece: SoundingPiece, index: int, starts: list[int], chance: random.Random, kind: Slip) -> _Found:
    places = [event for event in piece.bars[index].events if _plain(event)]
    if not places:
        return None
    event = chance.choice(places)
    assert event.sign is not None
    value = _one_off(event.sign, chance)
    span = event.event.span.part(0, len(event.sign.name))
    return _whole(index, starts, kind), [Edit(span, event.sign.name, value.name)]


def _one_off(value: Value, chance: random.Random) -> Value:
    """One hook more or fewer, or a dot more or fewer."""
    place = _UNITS.index(value.unit)
    near = [Value(_UNITS[at], value.dots) for at in (place - 1, place + 1) if 0 <= at < len(_UNITS)]
    near.append(Value(value.unit, 0 if value.dots else 1))
    return chance.choice(near)


def _sign_extra(piece: SoundingPiece, index: int, starts: list[int], chance: random.Random, kind: Slip) -> _Found:
    events = piece.bars[index].events
    later = piece.bars[index + 1].events if index + 1 < len(piece.bars) else ()
    places = [n for n, event in enumerate(events) if event.event.head is None and event.tuplet is None]
    places = [n for n in places if events[n].event.body is Body.STOPS]
    if not places:
        return None
    place = chance.choice(places)
    held = events[place].sign
    following = next((event.sign for event in (*events[place + 1 :], *later) if event.drawn), None)
    assert held is not None
    value = following if following is not None and following != held else _one_off(held, chance)
    start = events[place].event.span.part(0, 0)
    return _whole(index, starts, kind), [Edit(start, "", f"{value.name}=")]


# --- bar lines -------------------------------------------------------------------------------------------


def _bare(bar: SoundingBar) -> bool:
    typed = bar.bar
    return typed.kind is BarKind.MEASURED and not (typed.notes or typed.layers or typed.variants or typed.closing.typed)


def _line_missing(piece: SoundingPiece, index: int, starts: list[int], chance: random.Random, kind: Slip) -> _Found:
    if index + 1 >= len(piece.bars):
        return None
    bar, after = piece.bars[index], piece.bars[index + 1]
    if not (_bare(bar) and _bare(after) and _may_err(after)) or after.directives or after.folios:
        return None
    if after.metre != bar.metre or after.bar.span.line != bar.bar.span.line + 1:
        return None
    return _whole(index, starts, kind, 2), [Edit(after.bar.span.part(0, 1), "|", "+")]


def _line_extra(piece: SoundingPiece, index: int, starts: list[int], chance: random.Random, kind: Slip) -> _Found:
    bar = piece.bars[index]
    if not _bare(bar) or len(bar.events) < 2:
        return None
    place = chance.randrange(1, len(bar.events))
    if bar.events[place].tuplet is not None:
        return None
    span = bar.events[place - 1].event.span
    end = Span(span.file, span.line, span.end, span.end)
    return _whole(index, starts, kind), [Edit(end, "", "\n|")]


# --- stops -----------------------------------------------------------------------------------------------


def _stop(piece: SoundingPiece, index: int, starts: list[int], chance: random.Random, kind: Slip) -> _Found:
    bar = piece.bars[index]
    signs = piece.tablature.signs
    places: list[tuple[int, SoundingStop, tuple[int, int]]] = []
    for number, event in enumerate(bar.events):
        if event.repeated:
            continue
        typed = [stop.reading.edition for stop in event.event.stops]
        taken = {sign.course for sign in typed if sign is not None}
        for stop in event.stops:
            reading = stop.stop.reading
            if stop.held or stop.slurred or reading.act is not Act.PRINTED or reading.doubtful:
                continue
            if reading.edition is None or reading.edition.state is not FretState.READ or reading.edition.shorthand:
                continue
            if reading.edition.bare and kind is not Slip.DIAPASON_CONFUSED:
                continue
            for course, fret in _wrong(stop, kind, bar, signs):
                if course == stop.course or course not in taken:
                    places.append((number, stop, (course, fret)))
    if not places:
        return None
    number, stop, printed = chance.choice(places)
    sign = stop.stop.reading.edition
    assert sign is not None
    new = _name(*printed, signs)
    if not sign.bare and stop.course > bar.instrument.stopped:
        return None
    old = sign.typed if sign.bare else f"{sign.course}{':' * (signs is Signs.ITALIAN)}{sign.typed}"
    at = stop.stop.span.part(0, len(old))
    first = starts[index]
    seed = Seed(kind, first, starts[index + 1], first + number, printed, (stop.course, stop.fret))
    return seed, [Edit(at, old, new)]


def _wrong(stop: SoundingStop, kind: Slip, bar: SoundingBar, signs: Signs) -> list[tuple[int, int]]:
    instrument = bar.instrument
    diapason = stop.course > instrument.stopped
    if kind is Slip.DIAPASON_CONFUSED:
        near = (stop.course - 1, stop.course + 1) if diapason else ()
        return [(course, 0) for course in near if instrument.stopped < course <= len(instrument.courses)]
    if diapason:
        return []
    if kind is Slip.LINE_OFF:
        return [(c, stop.fret) for c in (stop.course - 1, stop.course + 1) if 1 <= c <= instrument.stopped]
    figure = (_FIGURES if signs is Signs.ITALIAN else _LETTERS).get(stop.fret)
    return [] if figure is None else [(stop.course, figure)]


def _name(course: int, fret: int, signs: Signs) -> str:
    if course > 6:
        if signs is Signs.FRENCH:
            return {11: "4", 12: "5", 13: "6", 14: "7"}.get(course) or "/" * (course - 7) + "a"
        return "X" if course == 10 else str(course)
    return f"{course}{_NAMES[fret]}" if signs is Signs.FRENCH else f"{course}:{fret}"


_TRIED: dict[Slip, Callable[[SoundingPiece, int, list[int], random.Random, Slip], _Found]] = {
    Slip.SIGN_MISSING: _sign_missing,
    Slip.SIGN_WRONG: _sign_wrong,
    Slip.SIGN_EXTRA: _sign_extra,
    Slip.BAR_LINE_MISSING: _line_missing,
    Slip.BAR_LINE_EXTRA: _line_extra,
    Slip.LINE_OFF: _stop,
    Slip.FIGURE_CONFUSED: _stop,
    Slip.DIAPASON_CONFUSED: _stop,
}
