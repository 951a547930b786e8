"""The stops of an event in their new places, with what stands at them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from pipeline.desk.move.record import Place, Tone
from pipeline.desk.move.rewrite.losses import NOT_CARRIED_OVER, OCTAVE_CHANGED, STOP_LEFT_OUT, Losses
from pipeline.desk.move.rewrite.strings import Strings, bass_sign, hold_at, shown
from pipeline.model.record import replace
from pipeline.model.signs import Act, Event, FretState, Reading, Sign, Slur, Stop

_OCTAVES = {12: "an octave higher", -12: "an octave lower", 24: "two octaves higher", -24: "two octaves lower"}

#: Ways that are named where a chord can be played otherwise as well.
_MOST_CHOICES = 3


def _chord(places: Sequence[Place], strings: Strings) -> str:
    return ",".join(shown(place, strings.signs) for place in sorted(places, reverse=True))


def _courses(stops: Sequence[Stop]) -> frozenset[int]:
    """The courses of stops, as the edition reads them."""
    return frozenset(sign.course for stop in stops if (sign := stop.sign) is not None and sign.course is not None)


@dataclass(slots=True)
class Mover:
    """Walks through the events of a piece with what was placed.

    ``places``, ``others`` and ``tones`` are by the ``id()`` of the source's stops. ``last`` is where each course of the
    source was struck last, ``before`` the new courses of the event before, ``before_in_source`` its old ones; ``here``
    where signs of the bar at hand went.
    """

    places: Mapping[int, Place | None]
    others: Mapping[int, tuple[tuple[Place | None, ...], ...]]
    tones: Mapping[int, Tone]
    losses: Losses
    last: dict[int, Place] = field(default_factory=dict)
    before: frozenset[int] = frozenset()
    before_in_source: frozenset[int] = frozenset()
    here: dict[Place, Place] = field(default_factory=dict)

    def stops(self, event: Event, strings: Strings) -> tuple[Stop, ...]:
        """The stops of an event that stay, in the order typed."""
        going = [place for stop in event.stops if (place := self.places.get(id(stop))) is not None]
        found: list[Stop] = []
        struck: dict[int, Place] = {}
        for stop in event.stops:
            moved = self._stop(stop, strings, going)
            if moved is None:
                continue
            found.append(replace(moved, after=stop.after and bool(found)))
            place = self.places.get(id(stop))
            if place is not None and stop.sign is not None and stop.sign.course is not None:
                struck[stop.sign.course] = place
        self.last.update(struck)
        self.before, self.before_in_source = _courses(found), _courses(event.stops)
        return tuple(found)

    def choices(self, event: Event, strings: Strings) -> None:
        """Say where a chord can be played otherwise as well; the text keeps no trace of it."""
        stops = [stop for stop in event.stops if id(stop) in self.tones]
        others = next((found for stop in stops if (found := self.others.get(id(stop)))), ())
        chosen = [place for stop in stops if (place := self.places[id(stop)]) is not None]
        if others and not strings.unmoved:
            ways = [[place for place in way if place is not None] for way in others[:_MOST_CHOICES]]
            self.losses.choice(event.span, _chord(chosen, strings), [_chord(way, strings) for way in ways])

    def repeated(self, stops: Collection[Stop]) -> None:
        """Bars that are not written out were played, and end with these stops."""
        struck = {
            stop.sign.course: place
            for stop in stops
            if stop.sign is not None
            and stop.sign.course is not None
            and (place := self.places.get(id(stop))) is not None
        }
        self.last.update(struck)
        self.before_in_source = frozenset(struck)
        self.before = frozenset(course for course, _ in struck.values())

    # --- one stop ---------------------------------------------------------------------------------------

    def _stop(self, stop: Stop, strings: Strings, going: list[Place]) -> Stop | None:
        sign = stop.reading.edition
        taken = {course for course, _ in going}
        if sign is None:
            return self._unread(stop, strings)
        if sign.state is FretState.HOLD and sign.course is not None:
            return self._hold(stop, sign.course, strings, going)
        if sign.state is not FretState.READ or sign.course is None or id(stop) not in self.tones:
            return self._unclear(stop, sign, strings, going)
        place = self.places[id(stop)]
        tone = self.tones[id(stop)]
        if place is None:
            others = strings.others(None, tone.sounds, taken)
            what = f"the note on course {tone.course} is left out: it has no place beside the others"
            self.losses.say(STOP_LEFT_OUT, stop.span, what, others)
            return None
        self.here[sign.course, sign.fret or 0] = place
        self._octave(stop, tone, place, strings, taken)
        if tone.bell and place[0] in self.before and sign.course not in self.before_in_source:
            what = f"two bells fall on course {place[0]}: the first cannot ring on"
            self.losses.say(NOT_CARRIED_OVER, stop.span, what)
        reading = self._reading(stop.reading, strings.typed(sign, place), place, strings)
        return replace(stop, reading=reading, slur=self._slur(stop, sign.course, place))

    def _octave(self, stop: Stop, tone: Tone, place: Place, strings: Strings, taken: set[int]) -> None:
        sounding = strings.sounding(place)
        if sounding in (tone.sounds, tone.meant):
            return
        by = _OCTAVES.get(sounding - tone.sounds, "in another octave")
        others = strings.others(place, tone.sounds, taken - {place[0]})
        self.losses.say(OCTAVE_CHANGED, stop.span, f"{shown(place, strings.signs)} is {by} than in the source", others)

    def _slur(self, stop: Stop, course: int, place: Place) -> Slur | None:
        """The slur, where it still leads along one course, or did not do so in the source either."""
        slur = stop.slur
        if slur in (None, Slur.REMOVED) or place[0] in self.before or course not in self.before_in_source:
            return slur
        what = f"the slur to course {place[0]} is left out: the note before is on another course"
        self.losses.say(NOT_CARRIED_OVER, stop.span, what)
        return None

    def _hold(self, stop: Stop, course: int, strings: Strings, struck: list[Place]) -> Stop | None:
        held = self.last.get(course)
        if held is None or not strings.neck.holds(held, struck):
            self.losses.say(NOT_CARRIED_OVER, stop.span, f"the hold line of course {course} is left out")
            return None
        struck.append(held)
        return replace(stop, reading=self._reading(stop.reading, hold_at(held[0], strings.signs), held, strings))

    # --- what the source has ----------------------------------------------------------------------------

    def _reading(self, reading: Reading[Sign], new: Sign, place: Place, strings: Strings) -> Reading[Sign]:
        """The edition's sign in its new place; the source's on the same course where it has one there."""
        if reading.source is reading.edition or reading.act is Act.PRINTED:
            return Reading(reading.act, new, new, reading.doubtful, reading.source_doubtful)
        if reading.source is None:
            return Reading(reading.act, new, None, reading.doubtful, reading.source_doubtful)
        together = reading.edition is not None and reading.source.course == reading.edition.course
        source = self._as_in_source(reading.source, place[0] if together else 0, strings)
        if source is None or source == new:
            return Reading(Act.ADDED, new, None, reading.doubtful)
        return Reading(reading.act, new, source, reading.doubtful, reading.source_doubtful)

    def _as_in_source(self, sign: Sign, course: int, strings: Strings) -> Sign | None:
        """A sign of the source where the moved source would have it, on ``course`` or (0) its own, if the pitch lies
        there; None if it would have it nowhere."""
        if sign.state is FretState.HOLD and sign.course is not None:
            held = self.last.get(sign.course)
            return hold_at(held[0], strings.signs) if held is not None else None
        if sign.state is not FretState.READ or sign.course is None or sign.fret is None:
            return strings.unplaced(sign)
        place = self.elsewhere((sign.course, sign.fret), course or sign.course, strings, ())
        return strings.typed(sign, place) if place is not None else None

    def elsewhere(self, old: Place, course: int, strings: Strings, taken: Collection[int]) -> Place | None:
        """Where a sign that is not played would stand: as elsewhere in the bar, on this course, or where its pitch lies
        lowest on the neck."""
        known = self.here.get(old)
        if known is not None and known[0] not in taken:
            return known
        pitch = strings.wanted(old)
        if pitch is None:
            return None
        on_course = strings.on(course, pitch) if strings.after.course(course) is not None else None
        if on_course is not None and course not in taken:
            return on_course
        return next(iter(strings.every(pitch, taken)), None)

    def _unread(self, stop: Stop, strings: Strings) -> Stop | None:
        """A stop that the edition leaves out, or cannot read at all."""
        sign = stop.reading.source
        if sign is None:
            return stop
        source = self._as_in_source(sign, 0, strings)
        if source is None:
            self.losses.say(NOT_CARRIED_OVER, stop.span, "a sign that the edition removes has no place and is left out")
            return None
        return replace(stop, reading=replace(stop.reading, source=source))

    def _unclear(self, stop: Stop, sign: Sign, strings: Strings, going: list[Place]) -> Stop:
        """A stop whose course or fret cannot be told: it keeps its course, or the nearest that is free."""
        new = strings.unplaced(sign)
        if strings.unmoved:
            return replace(stop, reading=self._same(stop.reading, sign, new))
        if sign.course is not None:
            taken = {course for course, _ in going}
            courses = [course.number for course in strings.after.courses if course.number not in taken]
            course = min(courses, key=lambda number: (abs(number - (sign.course or 0)), number), default=sign.course)
            going.append((course, 0))
            bare = bass_sign(course, strings.signs) if sign.state is FretState.HOLD else ""
            new = replace(new, course=course, bare=bool(bare), typed=bare or new.typed)
        what = "a sign that cannot be read stands as in the source: nobody can tell where it would be now"
        self.losses.say(NOT_CARRIED_OVER, stop.span, what)
        return replace(stop, reading=self._same(stop.reading, sign, new))

    def _same(self, reading: Reading[Sign], old: Sign, new: Sign) -> Reading[Sign]:
        source = new if reading.source is old else reading.source
        return Reading(reading.act, new, source, reading.doubtful, reading.source_doubtful)
