"""The tablature staff as the edition prints it."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.edition.notate.footnotes import BarNotes
from pipeline.edition.notate.frame import tuplet_of
from pipeline.edition.notate.shown import shown
from pipeline.edition.notate.signs import StopMarks, editorial, event_marks, rhythm_sign, stop_marks
from pipeline.edition.notate.values import single_value
from pipeline.model.heading import Heading
from pipeline.model.notes import BeamState, Editorial, Ink, RhythmSign, TabEvent, TabFigure, arrow_of
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, Event, FretState, Sign, Stop
from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.time import WHOLE, Ticks, Value

#: Stands in for a stop of which nothing can be read.
_UNREADABLE = {
    Act.ILLEGIBLE: Sign(None, None, FretState.ILLEGIBLE, "", course_sign="?"),
    Act.LOST: Sign(None, None, FretState.LOST, "", course_sign="*"),
}
_INK = {FretState.READ: Ink.FIGURE, FretState.ILLEGIBLE: Ink.ILLEGIBLE, FretState.LOST: Ink.LOST}


class TabStaff:
    """Makes the tablature events of one bar; keeps the letters that the staves must show too."""

    def __init__(self, bar: SoundingBar, heading: Heading, notes: BarNotes, spelled: dict[str, SpelledPitch]):
        self._bar = bar
        self._heading = heading
        self._notes = notes
        self._spelled = spelled
        #: stop id → footnote letter, marks; filled by :meth:`events`.
        self.letters: dict[str, str] = {}
        self._loose: list[str] = []  # letters of an event that no figure carries
        self.marks: dict[str, StopMarks] = {}

    def events(self) -> tuple[TabEvent, ...]:
        """All events of the bar in order."""
        kept = shown(self._bar)
        beams = beam_of([event.event for event, _ in kept])
        return tuple(self._event(event, beam, gone) for (event, gone), beam in zip(kept, beams, strict=True))

    def _event(self, event: SoundingEvent, beam: BeamState | None, gone: tuple[SoundingEvent, ...]) -> TabEvent:
        typed = event.event
        marks = event_marks(typed, self._heading)
        before = [letter for one in gone for letter in self._letters_of(one)]
        letter = self._notes.head(event) if typed.head is not None else ""
        self._loose = [*before, *([letter] if letter else [])]
        figures = list(self._figures(event))
        if marks.ornaments and figures:
            figures[-1] = replace(figures[-1], ornaments=figures[-1].ornaments + marks.ornaments)
        return TabEvent(
            f"g-{event.id}",
            event.onset,
            event.length,
            _value(event),
            self._sign(event, beam, letter)
            or next((sign for one in reversed(gone) if (sign := self._sign(one, None, ""))), None),
            tuple(figures),
            event.rest,
            beam,
            tuplet_of(event),
            marks.arpeggio,
            marks.spread,
            marks.strum,
            marks.and_so_on,
            marks.barre,
            marks.fermata,
            " ".join(self._loose),
            arrow_of(marks.strum, first_above=self._heading.course_1_above),
        )

    def _sign(self, event: SoundingEvent, beam: BeamState | None, letter: str) -> RhythmSign | None:
        head = event.event.head
        if event.sign is None or head is None or not (event.drawn or beam is not None):
            return None
        how = editorial(head.value) if head.value is not None else Editorial.PLAIN
        sign = event.sign
        if head.second is not None and head.value is not None and head.value.edition is not None:
            sign = head.value.edition
        return rhythm_sign(sign, self._heading.plain_stem, how, letter, head.second)

    def _letters_of(self, event: SoundingEvent) -> Iterator[str]:
        """The letters of an event that the edition leaves out, which stand at the next one."""
        if event.event.head is not None:
            yield from self._notes.head(event).split()
        for stop in event.event.stops:
            yield from self._notes.stop(event, stop).split()

    def _figures(self, event: SoundingEvent) -> Iterator[TabFigure]:
        sounding = {stop.stop.span: stop for stop in event.stops}
        unread = place = 0
        typed = () if event.event.body is Body.AS_BEFORE else event.event.stops
        for stop in typed:
            place += stop.after
            letter = self._notes.stop(event, stop)
            sign = stop.reading.edition or _UNREADABLE.get(stop.reading.act)
            if sign is None or sign.state is FretState.HOLD:
                self._loose.extend(letter.split())
                continue
            heard = sounding.get(stop.span)
            if heard is None:
                unread += 1
                yield self._figure(f"{event.id}u{unread}", stop, sign, None, letter, place)
            else:
                self.letters[heard.id] = letter
                yield self._figure(heard.id, stop, sign, self._spelled.get(heard.id), letter, place)

    def _figure(
        self, stop_id: str, stop: Stop, sign: Sign, pitch: SpelledPitch | None, letter: str, place: int
    ) -> TabFigure:
        marks = self.marks[stop_id] = stop_marks(stop, self._heading)
        course = sign.course or 0
        return TabFigure(
            f"t-{stop_id}",
            stop_id,
            course,
            sign.fret or 0,
            sign.typed,
            course > 6,
            pitch,
            _INK[sign.state],
            editorial(stop.reading),
            letter,
            sign.dots,
            marks.left_finger,
            marks.right_finger,
            marks.ornaments if marks.star is None else (*marks.ornaments, marks.star),
            marks.barre,
            place,
        )


def _value(event: SoundingEvent) -> Value:
    """The value of a tablature event in the edition's values, its group not counted."""
    tuplet = event.tuplet
    ticks: Ticks = event.length if tuplet is None else event.length * tuplet.notes // tuplet.time
    return single_value(ticks) or Value(4 if ticks < WHOLE else 1)


def beam_of(events: list[Event]) -> list[BeamState | None]:
    """Which printed rhythm signs are joined to a grid."""
    joined = [event.head is not None and event.head.beamed for event in events]
    states: list[BeamState | None] = []
    for at, is_joined in enumerate(joined):
        goes_on = at + 1 < len(joined) and joined[at + 1]
        if is_joined and at > 0:
            states.append(BeamState.CONTINUE if goes_on else BeamState.END)
        else:
            states.append(BeamState.BEGIN if goes_on else None)
    return states
