"""What control events of a measure point to: figures, events, bars, notes on other staves."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from pipeline.model.signs import Act, Reading, printed
from pipeline.source.exchange.drafts import BarDraft, EventDraft, PieceDraft, StopDraft
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.mei.people import People
from pipeline.source.exchange.mei.tree import ID, Element, decimal, references

#: Signs that stand on staves which show the tablature's music, and are the editor's there.
_ON_STAVES = "signs over staves that show the music of the tablature"


@dataclass(slots=True)
class Targets:
    """What ids stand for: figures, events, bars; and everything on other staves, with its onset in its bar."""

    stops: dict[str, tuple[BarDraft, EventDraft, StopDraft]] = field(default_factory=dict)
    events: dict[str, tuple[BarDraft, EventDraft]] = field(default_factory=dict)
    bars: dict[str, BarDraft] = field(default_factory=dict)
    onsets: dict[str, tuple[BarDraft, Fraction]] = field(default_factory=dict)
    sung: set[str] = field(default_factory=set)

    def add(self, bar: BarDraft) -> None:
        if bar.ident:
            self.bars[bar.ident] = bar
        for event in bar.events:
            if event.ident:
                self.events[event.ident] = (bar, event)
            for stop in event.stops:
                if stop.ident:
                    self.stops[stop.ident] = (bar, event, stop)

    def event(self, ident: str) -> EventDraft | None:
        if ident in self.events:
            return self.events[ident][1]
        return self.stops[ident][1] if ident in self.stops else None


@dataclass(frozen=True, slots=True)
class Hand:
    """What an editor did to a sign: left it as printed, added or removed it, read it with doubt."""

    act: Act = Act.PRINTED
    doubtful: bool = False


class Pointing:
    """What all readers of control events share: the piece, what ids stand for, the measure that is read."""

    def __init__(self, piece: PieceDraft, targets: Targets, tab: str, ledger: Ledger, people: People) -> None:
        self._piece = piece
        self._targets = targets
        self._tab = tab
        self._ledger = ledger
        self._people = people
        self._bar = BarDraft("")
        self._onsets_of: BarDraft | None = None
        self._bar_length = Fraction(0)
        self._by_onset: dict[Fraction, EventDraft] = {}
        self._events: list[EventDraft] = []
        self._places: dict[int, int] = {}
        self._unit = 4
        self._stack = Hand()
        self._reasons: list[str] = []
        self._said_as_markup = False

    def _on_staves(self, element: Element) -> bool:
        """Whether it stands on a staff that shows the tablature's music, which is said once."""
        pointed = references(element, "startid", "plist", "endid")
        there = any(each in self._targets.stops or each in self._targets.events for each in pointed)
        other = any(each in self._targets.onsets for each in pointed)
        if there or not (other or (element.get("staff") not in (None, self._tab) and not pointed)):
            return False
        self._ledger.lose(_ON_STAVES, line_of(element), f"measure {self._bar.name}")
        return True

    def _stop(self, element: Element) -> StopDraft | None:
        for ident in references(element, "startid", "endid", "plist"):
            if ident in self._targets.stops:
                return self._targets.stops[ident][2]
        return None

    def _event(self, element: Element) -> EventDraft | None:
        """The event that it points to, or that stands at its time."""
        for ident in references(element, "startid", "plist"):
            found = self._targets.event(ident)
            if found is not None:
                return found
        stamp = decimal(element.get("tstamp"))
        if stamp is None or references(element, "startid"):
            return None
        return self._at((stamp - 1) / self._unit)

    def _at(self, onset: Fraction) -> EventDraft | None:
        self._length()
        return self._by_onset.get(onset)

    def _length(self) -> Fraction:
        """The length of the bar; its events by their onsets are found with it, once a bar."""
        if self._onsets_of is not self._bar:
            self._onsets_of, self._bar_length = self._bar, self._bar.length
            self._by_onset = {event.onset: event for event in reversed(self._bar.events) if not event.removed}
        return self._bar_length

    def _order(self) -> tuple[list[EventDraft], dict[int, int]]:
        """All events of the piece in order, and the place of each."""
        if not self._events:
            self._events = [event for bar in self._piece.bars for event in bar.events if not event.removed]
            self._places = {id(event): place for place, event in enumerate(self._events)}
        return self._events, self._places

    def _over(self, element: Element, letter: str) -> bool:
        event = self._event(element)
        if event is None:
            return False
        if all(mark.edition != letter for mark in event.marks):
            event.marks.append(self._mark(letter))
        return True

    def _beside(self, pointed: list[str]) -> EventDraft | None:
        """The event at the time of a note on another staff of the measure."""
        for ident in pointed:
            bar, onset = self._targets.onsets.get(ident, (None, Fraction(0)))
            if bar is self._bar:
                return self._at(onset)
        return None

    def _mark(self, letter: str) -> Reading[str]:
        match self._stack.act:
            case Act.ADDED:
                return Reading(Act.ADDED, letter, None, self._stack.doubtful)
            case Act.REMOVED:
                return Reading(Act.REMOVED, None, letter)
            case _:
                return printed(letter, doubtful=self._stack.doubtful)

    def _where(self) -> str:
        return f"measure {self._bar.name}"

    def _lose(self, what: str, element: Element) -> None:
        place = f"{self._where()} {element.get(ID) or ''}".strip()
        self._ledger.lose(what, line_of(element), place)


def course_of(stop: StopDraft) -> int | None:
    return stop.figure.course if stop.figure is not None else None
