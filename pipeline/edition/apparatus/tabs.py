"""The acts of one bar of tablature: its rhythm signs, stops, marks, slurs and bar lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pipeline.edition.apparatus.drafts import BarDraft, Said, Spot, act_of
from pipeline.edition.events_said import EventWords
from pipeline.edition.readings import (
    LEFT_OUT,
    NO_READING,
    NOTHING,
    Saying,
    barline_said,
    here_said,
    marks_of,
    sign_said,
    value_said,
)
from pipeline.model.apparatus import Kind, Subject
from pipeline.model.heading import Heading
from pipeline.model.record import replace
from pipeline.model.signs import Act, Event, FretState, Group, Head, Label, MarkGroup, Sign, Signs, Slur, Stop, Unread
from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.tablature import Barline, BarlineAct, SourceBar
from pipeline.model.time import Value
from pipeline.source.encoded import event as typed_event

_PLAIN_SLURS = (None, Slur.PRINTED)
_SLURS = {
    Slur.ADDED: Said(Kind.ADDED, NOTHING, "slur"),
    Slur.DOUBTFUL: Said(Kind.DOUBTFUL, "slur (doubtful)", "slur", doubtful=True),
    Slur.REMOVED: Said(Kind.REMOVED, "slur", LEFT_OUT),
}
_DRAWN = (Act.ILLEGIBLE, Act.LOST)


class TabActs:
    """Reads the tablature of a piece for acts, bar by bar."""

    def __init__(self, heading: Heading) -> None:
        self._over = marks_of(heading, at_stop=False)
        self._at_stop = marks_of(heading, at_stop=True)
        self._words = EventWords(heading)

    def events(self, draft: BarDraft, bar: SoundingBar) -> None:
        """Every act at an event of the bar."""
        for number, event in enumerate(bar.events, start=1):
            if not _plain(event.event):
                self._event(draft, number, event)

    def lines(self, draft: BarDraft, bar: SoundingBar, closing: str) -> None:
        """Bar lines inside the bar and the one at its end; ``closing`` names the bar that the last one ends."""
        before = 0
        for item in bar.bar.items:
            match item:
                case Event():
                    before += 1
                case Barline():
                    _line(draft, item, Spot(f"b{bar.index + 1}", before, 0, Subject.BAR_LINE, 2 * before + 1))
                case _:
                    pass
        _line(draft, bar.bar.closing, Spot(closing, 0, 0, Subject.BAR_LINE, 2 * len(bar.events) + 1))

    def _event(self, draft: BarDraft, number: int, event: SoundingEvent) -> None:
        head = event.event.head
        wide: tuple[Label, ...] = ()
        if head is not None:
            wide = head.opening_labels
            here = self._words.events([event.event]) if wide else ""
            draft.point(wide, Spot(event.id, number, 0, Subject.EVENT, 2 * number, here, _typed(event.event)))
            self._head(draft, number, event.id, head)
        for stop, at in _named(event):
            if not _plain_stop(stop):
                self._stop(draft, number, at, stop, wide)

    def _head(self, draft: BarDraft, number: int, at: str, head: Head) -> None:
        value = head.value
        own = Spot(at, number, 0, Subject.RHYTHM, 2 * number)
        if value is not None:
            own = own._replace(
                here=here_said(value, value_said), typed=_names(value.edition), typed_source=_names(value.source)
            )
            act = act_of(value, value_said)
            if act is not None:
                draft.act(own, act, head.labels, head.opening_labels)
        if head.group is not None and head.group.added:
            _group(draft, own._replace(subject=Subject.GROUP), head.group, head.labels, head.opening_labels)
        draft.point(head.labels, own)
        self._marks(draft, own, head.marks, self._over, head.opening_labels)

    def _stop(self, draft: BarDraft, number: int, at: str, stop: Stop, wide: tuple[Label, ...]) -> None:
        reading = stop.reading
        sign = reading.edition or reading.source
        spot = Spot(
            at,
            number,
            (sign.course or 0) if sign is not None else 0,
            Subject.SIGN,
            2 * number,
            here_said(reading, sign_said),
            _spellings(reading.edition),
            _spellings(reading.source),
            stop=stop,
        )
        act = act_of(reading, sign_said) or _unsure(sign)
        if act is not None:
            draft.act(spot, act, stop.labels, wide)
        if stop.slur in _SLURS:
            draft.act(spot._replace(subject=Subject.SLUR), _SLURS[stop.slur], stop.labels, wide)
        draft.point(stop.labels, spot)
        self._marks(draft, spot, stop.marks, self._at_stop, wide)

    def _marks(
        self, draft: BarDraft, at: Spot, groups: Iterable[MarkGroup], said: Saying[str], wide: tuple[Label, ...]
    ) -> None:
        for group in groups:
            for reading in group.marks:
                act = act_of(reading, said)
                if act is not None:
                    draft.act(at._replace(subject=Subject.MARK), act, group.labels, wide)
            if group.labels:
                last = group.marks[-1]
                draft.point(
                    group.labels,
                    at._replace(
                        subject=Subject.MARK,
                        here=here_said(last, said),
                        typed=_letters(last.edition),
                        typed_source=_letters(last.source),
                    ),
                )


def whole_bars(draft: BarDraft, bar: SoundingBar, words: EventWords) -> None:
    """The bar as the copy-text or another source has it."""
    for variant in bar.bar.variants:
        kind = Kind.VARIANT if variant.witness else Kind.EMENDED
        said, here = NOTHING, "the bar"
        if not variant.omits:
            said, here = words.bar(variant.items, [event.event for event in bar.events], bar.bar.closing.kind)
        spot = Spot(f"b{bar.index + 1}", 0, 0, Subject.BAR, 0, here)
        labels = tuple(_labels(variant))
        finding = Said(kind, said, here, was=variant.items)
        draft.act(spot, finding, labels, siglum=variant.witness, whole=not variant.witness)
        draft.point(labels, spot)


def _plain(event: Event) -> bool:
    """True if nothing was done at an event, and nothing is noted there."""
    head = event.head
    if head is not None:
        value = head.value
        if value is not None and (value.act is not Act.PRINTED or value.doubtful):
            return False
        if head.marks or head.labels or head.opening_labels or (head.group is not None and head.group.added):
            return False
    return all(map(_plain_stop, event.stops))


def _plain_stop(stop: Stop) -> bool:
    reading = stop.reading
    if reading.act is not Act.PRINTED or reading.doubtful or stop.labels or stop.marks or stop.slur not in _PLAIN_SLURS:
        return False
    sign = reading.edition
    return sign is not None and sign.course is not None and (sign.fret is not None or sign.state is FretState.HOLD)


def _named(event: SoundingEvent) -> Iterator[tuple[Stop, str]]:
    """Every stop of an event as typed, with the name that its figure has in the score: that of the sound, ``u1`` … for
    figures that do not sound, ``x1`` … for what is not drawn."""
    sounding = {stop.stop.span: stop.id for stop in event.stops}
    unread = hidden = 0
    for stop in event.event.stops:
        sign = stop.reading.edition
        if (sign is None and stop.reading.act not in _DRAWN) or (sign is not None and sign.state is FretState.HOLD):
            hidden += 1
            yield stop, f"{event.id}x{hidden}"
        elif stop.span in sounding:
            yield stop, sounding[stop.span]
        else:
            unread += 1
            yield stop, f"{event.id}u{unread}"


def _unsure(sign: Sign | None) -> Said | None:
    """A stop of which only the course, or only the fret, can be made out."""
    if sign is None:
        return None
    if sign.state is FretState.ILLEGIBLE or sign.state is FretState.LOST:
        kind = Kind.ILLEGIBLE if sign.state is FretState.ILLEGIBLE else Kind.LOST
        return Said(kind, sign.state.value, NO_READING)
    if sign.course is None:
        said = sign_said(sign)
        return Said(Kind.LOST if sign.course_sign == "*" else Kind.ILLEGIBLE, said, said, was=sign)
    return None


def _line(draft: BarDraft, line: Barline, spot: Spot) -> None:
    said = barline_said(line) + (f" after event {spot.event}" if spot.event else "")
    spot = spot._replace(here=LEFT_OUT if line.act is BarlineAct.REMOVED else said)
    match line.act:
        case BarlineAct.ADDED:
            draft.act(spot, Said(Kind.ADDED, NOTHING, said), line.labels)
        case BarlineAct.REMOVED:
            draft.act(spot, Said(Kind.REMOVED, said, LEFT_OUT, was=line), line.labels)
        case BarlineAct.DOUBTFUL:
            draft.act(spot, Said(Kind.DOUBTFUL, f"{said} (doubtful)", said, doubtful=True), line.labels)
        case BarlineAct.PRINTED:
            pass
    draft.point(line.labels, spot)


def _group(draft: BarDraft, spot: Spot, group: Group, labels: tuple[Label, ...], wide: tuple[Label, ...]) -> None:
    here = f"{group.notes} in the time of {group.time}"
    draft.act(spot._replace(here=here), Said(Kind.ADDED, NOTHING, here), labels, wide)


def _typed(event: Event) -> tuple[str, ...]:
    """How an event without its labels and marks may be typed in a note on another source, in either system."""
    plain = replace(event, head=None, stops=tuple(replace(stop, labels=(), marks=()) for stop in event.stops))
    return tuple(typed_event(plain, signs) for signs in Signs)


def _spellings(sign: Sign | None) -> tuple[str, ...]:
    """How a sign may be typed in a note on another source."""
    if sign is None or not sign.typed:
        return ()
    dots = "." * sign.dots
    if sign.bare:
        return (f"{sign.typed}{dots}",)
    return (f"{sign.course}:{sign.typed}{dots}", f"{sign.course}{sign.typed}{dots}")


def _names(value: Value | None) -> tuple[str, ...]:
    return (value.name,) if value is not None else ()


def _letters(mark: str | None) -> tuple[str, ...]:
    return (mark, f"'{mark}") if mark is not None else ()


def _labels(variant: SourceBar) -> Iterator[Label]:
    """Labels inside the line of another source."""
    for item in variant.items:
        match item:
            case Event():
                if item.head is not None:
                    yield from (*item.head.opening_labels, *item.head.labels)
                    yield from (label for group in item.head.marks for label in group.labels)
                for stop in item.stops:
                    yield from stop.labels
                    yield from (label for group in stop.marks for label in group.labels)
            case Barline():
                yield from item.labels
            case Unread():
                pass
            case _:
                pass
