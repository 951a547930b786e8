"""The walk through a piece, bar by bar: metre, key, tuning, endings, bar numbers, and the events in time."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from pipeline.findings.codes import music
from pipeline.findings.codes.limits import TOO_MUCH
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.heading import Heading, Key
from pipeline.model.instrument import Instrument
from pipeline.model.limits import MOST_BARS, MOST_EVENTS, MOST_SOUNDING
from pipeline.model.record import replace
from pipeline.model.sections import section_named
from pipeline.model.signs import Act, Body, Event
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.tablature import (
    Bar,
    BarKind,
    Barline,
    BarlineAct,
    BarlineKind,
    BodyItem,
    Directive,
    DirectiveKind,
    Ditto,
    PageBreak,
    SourceBreak,
    Tablature,
    UnreadLine,
)
from pipeline.model.text import Span
from pipeline.model.time import Metre, Ticks
from pipeline.source.declare import read_key, read_metre, retune
from pipeline.source.resolve.clock import Beat, Clock, enclosed
from pipeline.source.resolve.known import KnownEvents
from pipeline.source.resolve.strings import Fingerboard
from pipeline.source.resolve.unmeasured import lone_signs

_LINES = {kind.value: kind for kind in BarlineKind}


def resolve(tablature: Tablature, heading: Heading, known: KnownEvents | None = None) -> Outcome[SoundingPiece]:
    """Every sign to its sounding pitch and its place in time.

    What cannot be resolved is refused at its sign by a finding; everything else is still resolved. ``known`` are the
    events of the piece as it was before, for one that is resolved over and over.
    """
    walk = _Walk(heading, tablature.body, known)
    for item in tablature.body:
        if walk.full(item):
            break
        if isinstance(item, Bar):
            walk.bar(item)
        elif isinstance(item, Directive):
            walk.directive(item)
        elif isinstance(item, UnreadLine):
            walk.unread(item)
        elif isinstance(item, PageBreak):
            walk.folios.append((item.folio, item.span))
    findings = (*walk.diagnostics, *walk.clock.diagnostics, *walk.fingerboard.diagnostics)
    piece = SoundingPiece(tablature, heading, tuple(walk.bars), tuple(walk.waiting))
    return Outcome(piece, findings)


@dataclass(slots=True)
class _Numbers:
    """Bar numbers as an edition prints them. An upbeat has none: a short bar at the beginning, or behind a
    double bar or repeat, unless it is an ending, which is short because the upbeat follows."""

    last: int = 0
    opens: bool = True

    def label(self, bar: Bar, *, in_ending: bool) -> str:
        uncounted = bar.kind is BarKind.SHORT and self.opens and not in_ending
        self.opens = bar.closing.kind not in (BarlineKind.SINGLE, BarlineKind.DASHED)
        if uncounted:
            return ""
        self.last += 1
        return str(self.last)


class _Walk:
    """What is in force while walking."""

    def __init__(self, heading: Heading, body: tuple[BodyItem, ...], known: KnownEvents | None) -> None:
        self.clock = Clock(heading.values)
        self.fingerboard = Fingerboard()
        self.bars: list[SoundingBar] = []
        self.waiting: list[Directive] = []
        self.folios: list[tuple[str, Span]] = []
        self.diagnostics: list[Diagnostic] = []
        self._values = heading.values
        self._metre: Metre | None = heading.metre
        self._key: Key | None = heading.key
        self._known = known
        self._instrument: Instrument = heading.instrument
        if known is not None:
            known.begin()
            self._instrument = known.same(heading.instrument)
        self._now: Ticks = 0
        self._numbers = _Numbers()
        self._ending = 0
        self._opening: Barline | None = None
        self._sections: dict[str, int] = {}
        self._alone = lone_signs(body, heading)
        self._named = [line.text for line in body if isinstance(line, Directive) and line.kind is DirectiveKind.SECTION]
        self._events_seen = 0
        self._stops_seen = 0
        self._told_full = False

    def full(self, item: BodyItem) -> bool:
        """Whether the piece holds as much as one can; reported at the first bar beyond."""
        if len(self.bars) < MOST_BARS and self._events_seen < MOST_EVENTS and self._stops_seen < MOST_SOUNDING:
            return False
        if not isinstance(item, Bar) or self._told_full:
            return self._told_full
        self._told_full = True
        most = f"{MOST_BARS:,} bars, {MOST_EVENTS:,} events or {MOST_SOUNDING:,} stops"
        message = f"The piece has more than {most}; from here on it is left out."
        self.diagnostics.append(Diagnostic(TOO_MUCH, item.span, message, "One file is one piece."))
        return True

    def directive(self, line: Directive) -> None:
        """Take a directive; it stands before the next bar."""
        self.waiting.append(line)
        match line.kind:
            case DirectiveKind.METRE:
                metre = read_metre(line.text, line.value_span, self._values)
                self.diagnostics.extend(metre.diagnostics)
                self._metre = metre.value
            case DirectiveKind.KEY:
                key = read_key(line.text, line.value_span)
                self.diagnostics.extend(key.diagnostics)
                self._key = key.value or self._key
            case DirectiveKind.RETUNE:
                tuned = retune(self._instrument, line.text, line.value_span)
                self.diagnostics.extend(tuned.diagnostics)
                self._instrument = tuned.value if self._known is None else self._known.same(tuned.value)
            case DirectiveKind.ENDING:
                self._ending = int(line.text) if line.text.isdigit() else 0
            case DirectiveKind.OPENS:
                kind = _LINES.get(line.text)
                if kind is not None:
                    self._opening = Barline(kind, line.value_span)
            case DirectiveKind.SECTION:
                self._ending = 0
                self._sections[line.text] = len(self.bars)
            case DirectiveKind.GAP:
                self._numbers.last += gap_bars(line.text)
            case DirectiveKind.TEMPO | DirectiveKind.AGAIN | DirectiveKind.STANZA | DirectiveKind.LAYOUT:
                pass

    def unread(self, line: UnreadLine) -> None:
        """A line that may have changed the metre: what follows is not measured."""
        first = line.text.split(maxsplit=1)[:1]
        if first and get_close_matches(first[0].lower(), [DirectiveKind.METRE.value], 1, 0.75):
            self._metre = None

    def bar(self, bar: Bar) -> None:
        """Resolve one typed bar; a ditto gives as many bars as it stands for."""
        sources = self._same_as(bar.ditto) if bar.ditto is not None else ()
        if sources:
            for source in sources:
                if self.full(bar):
                    break
                self._append(bar, self._copied(source), last=source is sources[-1], repeats=source.index)
        else:
            self._append(bar, self._events(bar) if self._known is None else self._again(bar, self._known), last=True)

    def _append(self, bar: Bar, events: Sequence[SoundingEvent], *, last: bool, repeats: int | None = None) -> None:
        start = self._now
        self._events_seen += len(events)
        self._stops_seen += sum(len(event.stops) for event in events)
        if events:
            self._now = events[-1].onset + events[-1].length
        measured = self._metre is not None and self._metre.beats > 0
        expected = self._metre.ticks if self._metre and measured and bar.kind is BarKind.MEASURED else 0
        if last and bar.items and isinstance(bar.items[0], SourceBreak):
            self.folios.append((bar.items[0].folio, bar.items[0].span))
        self.bars.append(
            SoundingBar(
                len(self.bars),
                self._numbers.label(bar, in_ending=self._ending > 0),
                start,
                self._now - start,
                expected,
                self._metre,
                self._key,
                self._instrument,
                tuple(events),
                bar,
                self._opening,
                last and bar.closing.act is BarlineAct.ADDED,
                tuple(self.waiting),
                self._ending,
                tuple(self.folios),
                repeats,
            )
        )
        self.waiting.clear()
        self.folios.clear()
        self._opening = None

    def _again(self, bar: Bar, known: KnownEvents) -> Sequence[SoundingEvent]:
        """The events of a bar, as they are known if nothing has changed that they depend on."""
        if bar.span in self._alone:
            return self._events(bar)
        index = len(self.bars)
        state = (self._now, self.clock.state, self._metre, self._instrument, self._values)
        found = known.find(index, bar, state)
        if found is not None:
            self.clock.resume(found.clock)
            self.fingerboard.remember(found.last)
            return found.events
        said = self._said
        events = self._events(bar)
        if self._said == said:
            known.keep(index, bar, state, tuple(events), self.clock.state)
        return events

    @property
    def _said(self) -> int:
        """How much has been found so far."""
        return len(self.diagnostics) + len(self.clock.diagnostics) + len(self.fingerboard.diagnostics)

    # --- events ------------------------------------------------------------------------------------

    def _events(self, bar: Bar) -> list[SoundingEvent]:
        typed = bar.events
        measured = self._metre is None or self._metre.beats > 0
        if bar.kind is BarKind.MEASURED and self._metre is not None and self._metre.beats and _empty(typed):
            beats = [Beat(self._metre.ticks, self.clock.value, False, None)]
        else:
            alone, kept = bar.span in self._alone, any(not _left_out(event) for event in typed)
            beats = enclosed(
                [self.clock.next(event, measured, left_out=kept and _left_out(event), alone=alone) for event in typed]
            )
            self._say_alone(self._alone.get(bar.span))
        self.clock.end_bar()
        onset = self._now
        events: list[SoundingEvent] = []
        before = self.bars[-1].events[-1] if self.bars and self.bars[-1].events else None
        for number, (event, beat) in enumerate(zip(typed, beats, strict=True), start=1):
            made = self._event(f"b{len(self.bars) + 1}e{number}", event, beat, onset, before)
            events.append(made)
            onset += beat.length
            before = before if made.left_out else made
        return events

    def _say_alone(self, first: Event | None) -> None:
        if first is None:
            return
        span = first.head.span if first.head is not None else first.span
        message = "In music without a metre this sign is taken to lengthen only the event that it stands over."
        hint = "If signs hold on here, type what the music is measured by: metre none = 4/4 prints no sign of metre."
        self.diagnostics.append(Diagnostic(music.SIGN_ALONE, span, message, hint))

    def _event(
        self, event_id: str, event: Event, beat: Beat, onset: Ticks, before: SoundingEvent | None
    ) -> SoundingEvent:
        repeated = event.body is Body.AS_BEFORE
        stops: tuple[SoundingStop, ...] = ()
        if event.stops:
            stops = self.fingerboard.event(event_id, event.stops, self._instrument)
        elif repeated:
            stops = _renamed(before, event_id) if before is not None else ()
            if not stops:
                self._refuse_repeat(event)
        rest = event.body is Body.NOTHING and event.head is not None and event.head.value is not None
        return SoundingEvent(
            event_id, onset, beat.length, beat.sign, beat.drawn, stops, event, rest, repeated, beat.tuplet
        )

    def _refuse_repeat(self, event: Event) -> None:
        self.diagnostics.append(
            Diagnostic(
                music.NO_CHORD_BEFORE,
                event.span,
                "There is no chord before this sign to strike again.",
                "Type the chord itself, or - if nothing is meant to sound.",
            )
        )

    # --- bars that the source does not write out -----------------------------------------------------

    def _same_as(self, ditto: Ditto) -> tuple[SoundingBar, ...]:
        if ditto.section:
            named = section_named(ditto.section, self._sections)
            start = None if named is None else self._sections[named]
            place = -1 if start is None else start + ditto.number - 1
            found = tuple(self.bars[place : place + 1]) if 0 <= place < len(self.bars) else ()
        else:
            found = tuple(self.bars[-ditto.bars :]) if 0 < ditto.bars <= len(self.bars) else ()
        told = ditto.section and section_named(ditto.section, self._named) is None  # no such section at all
        if not found and not told:
            self.diagnostics.append(
                Diagnostic(
                    music.NO_SUCH_BAR,
                    ditto.span,
                    "There is no such bar before this one.",
                    "Count the bars of the section named, or type the bar out.",
                )
            )
        return found

    def _copied(self, source: SoundingBar) -> list[SoundingEvent]:
        shift = self._now - source.onset
        return [
            replace(
                event,
                id=(event_id := f"b{len(self.bars) + 1}e{number}"),
                onset=event.onset + shift,
                stops=_renamed(event, event_id),
                repeated=True,
            )
            for number, event in enumerate(source.events, start=1)
        ]


def gap_bars(text: str) -> int:
    """How many bars a gap line says are missing (``3 bars, corner torn``), 0 if it gives no number."""
    number = re.match(r"(\d{1,4})\s+bars?\b", text)
    return int(number.group(1)) if number else 0


def _left_out(event: Event) -> bool:
    """Whether the edition leaves out all that stands in an event."""
    return bool(event.stops) and all(stop.reading.act is Act.REMOVED for stop in event.stops)


def _empty(typed: tuple[Event, ...]) -> bool:
    """A bar left empty, typed ``-``."""
    return len(typed) == 1 and typed[0].body is Body.NOTHING and typed[0].head is None


def _renamed(event: SoundingEvent, event_id: str) -> tuple[SoundingStop, ...]:
    return tuple(replace(stop, id=event_id + stop.id.removeprefix(event.id)) for stop in event.stops)
