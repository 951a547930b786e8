"""What is found while two pieces are walked through side by side."""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.desk.compare.content import BarContent, MarkContent, Marks, Notes, StopContent
from pipeline.desk.compare.differ.likeness import Likeness
from pipeline.desk.compare.differ.words import Hand, mark_words, notes_words
from pipeline.desk.compare.difference import Difference, Kind, Side
from pipeline.model.text import Span

#: A course by its number, and how it is tuned on either side.
Tuned = tuple[int, str, str]


@dataclass(slots=True)
class Retuned:
    """Stops that only a tuning makes sound otherwise: how many, and the bars of either side, by their index."""

    count: int = 0
    one: dict[int, str] = field(default_factory=dict)
    two: dict[int, str] = field(default_factory=dict)


@dataclass(slots=True)
class Ledger:
    """The differences found so far. ``bar_one`` and ``bar_two`` are the bars, ``event_one`` and ``event_two`` the
    events (from 1, 0 for none) that are looked at; ``unit`` is what those count. ``slot`` is the place in the
    alignment of the bars, -1 before the first: differences are told in its order."""

    hand_one: Hand
    hand_two: Hand
    found: list[tuple[int, Difference]] = field(default_factory=list)
    slot: int = -1
    likeness: Likeness = field(default_factory=Likeness)
    retuned: dict[Tuned, Retuned] = field(default_factory=dict)
    bar_one: BarContent | None = None
    bar_two: BarContent | None = None
    event_one: int = 0
    event_two: int = 0
    unit: str = ""

    def at(self, bar_one: BarContent | None, bar_two: BarContent | None) -> None:
        """Look at these bars now."""
        self.bar_one, self.bar_two = bar_one, bar_two
        self.in_event(0, 0, "")

    def in_event(self, one: int, two: int, unit: str = "event") -> None:
        """Look at these events now."""
        self.event_one, self.event_two, self.unit = one, two, unit

    def say(
        self,
        kind: Kind,
        subject: str,
        one: str,
        two: str,
        spans: tuple[Span | None, Span | None] = (None, None),
        heard: tuple[str, str] = ("", ""),
    ) -> None:
        """Keep one difference, at the bars and events that are looked at."""
        left = self._side(one, heard[0], self.bar_one, self.event_one, spans[0])
        right = self._side(two, heard[1], self.bar_two, self.event_two, spans[1])
        self.found.append((self.slot, Difference(kind, subject, left, right, self.unit)))

    def marks(self, subject: str, one: Marks, two: Marks, spans: tuple[Span, Span], *, over: bool) -> None:
        """Marks that are not on both sides, as pairs as far as they go."""
        left, right = _not_in(one, two), _not_in(two, one)
        for number in range(max(len(left), len(right))):
            before = mark_words(left[number], over=over) if number < len(left) else ""
            after = mark_words(right[number], over=over) if number < len(right) else ""
            if before != after:
                self.say(Kind.MARK, subject, before, after, spans)
            self.notes(subject, left[number].notes if number < len(left) else (),
                       right[number].notes if number < len(right) else (), spans)  # fmt: skip

    def notes(self, subject: str, one: Notes, two: Notes, spans: tuple[Span | None, Span | None]) -> None:
        """Note lines on one thing."""
        if one != two:
            self.say(Kind.NOTE, subject, notes_words(one), notes_words(two), spans)

    def sounds_otherwise(self, one: StopContent, two: StopContent) -> None:
        """The same sign under another tuning."""
        bar_one, bar_two = self.bar_one, self.bar_two
        if bar_one is None or bar_two is None or not one.course.isdecimal():
            return
        number = int(one.course)
        tuned = (number, tuned_to(bar_one.tuning, number), tuned_to(bar_two.tuning, number))
        if tuned[1] == tuned[2]:
            return
        retuned = self.retuned.setdefault(tuned, Retuned())
        retuned.count += 1
        retuned.one[bar_one.index] = bar_one.name
        retuned.two[bar_two.index] = bar_two.name

    def _side(self, text: str, heard: str, bar: BarContent | None, event: int, span: Span | None) -> Side:
        if bar is None:
            return Side(text, heard, event=event, span=span)
        return Side(text, heard, bar.name, bar.index, event, span or bar.span)


def tuned_to(tuning: tuple[str, ...], number: int) -> str:
    """The strings of a course, empty for a course that is not there."""
    return tuning[number - 1] if 0 < number <= len(tuning) else ""


def _not_in(marks: Marks, others: Marks) -> list[MarkContent]:
    left = list(others)
    found = []
    for mark in marks:
        if mark in left:
            left.remove(mark)
        else:
            found.append(mark)
    return found
