"""Events and stops in time: facts as attributes, each reading as a child of its own."""

from __future__ import annotations

from collections.abc import Hashable
from copy import copy

from lxml.etree import Element, SubElement, _Element

from pipeline.model.arpeggio import Order, spread
from pipeline.model.heading import Heading
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import SpelledPitch, frequency, from_fifths
from pipeline.model.signs import Act, Body, Stop
from pipeline.model.sounding import SoundingEvent, SoundingStop
from pipeline.model.time import Ticks, show
from pipeline.model.voiced import Restored, VoicedNote
from pipeline.writers.events import signs
from pipeline.writers.events.xml import Places, act, add, differs, labels, tag, yes

_EVENT, _STOP, _STRING, _READING = tag("event"), tag("stop"), tag("string"), tag("reading")


class EventWriter:
    """Writes the events of one piece.

    One element is kept for each kind of stop and of reading met so far, for copying; ids, places and onsets are
    set on the copy. Keys are made of what hashes fast: plain values, and the identity of enumeration members.
    """

    def __init__(self, heading: Heading, places: Places, notes: dict[str, VoicedNote], staves: dict[str, int]) -> None:
        self.heading = heading
        self._places = places
        self._notes = notes
        self._staves = staves
        self._models: dict[Hashable, _Element] = {}
        self._lengths: dict[Ticks, str] = {}

    def event(self, parent: _Element, event: SoundingEvent, instrument: Instrument) -> None:
        """``event``: value, group, mark …, arpeggio, stop …"""
        onset = show(event.onset)
        typed = event.event
        element = SubElement(parent, _EVENT, id=event.id, onset=onset, length=self._length(event.length))
        if typed.body is not Body.STOPS:
            element.set("body", typed.body.name.lower().replace("_", "-"))
        if event.rest:
            element.set("rest", "yes")
        if event.repeated:
            element.set("repeated", "yes")
        if event.sign is not None:
            element.set("sign", event.sign.name)
        if event.drawn:
            element.set("drawn", "yes")
        self._places.mark(element, typed.span)
        if typed.head is not None:
            signs.head(element, typed.head, self.heading, self._places)
        if len(event.stops) > 1:
            self._arpeggio(element, event, instrument)
        self._stops(element, event, onset)

    def _arpeggio(self, element: _Element, event: SoundingEvent, instrument: Instrument) -> None:
        """``arpeggio``: a spread chord in both orders, and the one that is played."""
        found = spread(event, instrument)
        if found is None:
            return
        played = "typed" if found.typed else self.heading.arpeggio.value
        given = {"fingers": _ids(found.fingers), "rising": _ids(found.rising), "typed": _ids(found.typed)}
        add(element, "arpeggio", {"played": played, **given})

    def _stops(self, element: _Element, event: SoundingEvent, onset: str) -> None:
        """Every stop typed, in typed order, whether it sounds or not; then what sounds again without being typed."""
        heard = {id(stop.stop): stop for stop in event.stops}
        for typed in event.event.stops:
            stop = heard.pop(id(typed), None)
            if stop is not None:
                self._stop(element, stop, onset)
            else:
                self._silent(element, typed)
        for stop in heard.values():
            self._stop(element, stop, onset)

    def _stop(self, parent: _Element, stop: SoundingStop, onset: str) -> None:
        typed = stop.stop
        reading, sign = typed.reading, typed.reading.edition
        if reading.act is Act.PRINTED and sign is not None:
            key = (
                stop.course, stop.fret, stop.strings, stop.held, stop.slurred, stop.order, sign.typed, sign.dots,
                reading.doubtful, id(typed.slur), typed.after,
            )  # fmt: skip
            model = self._models.get(key)
            if model is None:
                model = self._models[key] = self._stop_element(stop)
            element = copy(model)
        else:
            element = self._stop_element(stop)
        element.set("id", stop.id)
        self._places.mark(element, typed.span)
        if typed.labels:
            element.set("labels", labels(typed.labels))
        if typed.marks:
            signs.marks(element, typed.marks, self.heading, self._places)
        note = self._notes.get(stop.id)
        if note is not None:
            self._reading(element, note, onset)
        parent.append(element)

    def _stop_element(self, stop: SoundingStop) -> _Element:
        """``stop``: string …, source. What is a fact of the sign and its course."""
        typed = stop.stop
        given = signs.sign_attributes(typed.reading.edition) if typed.reading.edition is not None else {}
        given |= {
            "course": str(stop.course),
            "fret": str(stop.fret),
            "sounds": "held" if stop.held else "slurred" if stop.slurred else "struck",
            "order": str(stop.order or ""),
            "after": yes(typed.after),
            "slur": signs.slur_name(typed.slur),
            **act(typed.reading),
        }
        element = Element(_STOP, {name: value for name, value in given.items() if value})
        for semitones in stop.strings:
            string = SubElement(element, _STRING, semitones=str(semitones))
            if self.heading.pitch is not None:
                string.set("hertz", f"{frequency(semitones, self.heading.pitch):.2f}")
        self._source(element, typed)
        return element

    def _source(self, element: _Element, typed: Stop) -> None:
        """``source``: what the source has where the edition reads something else."""
        if differs(typed.reading) and typed.reading.source is not None:
            add(element, "source", signs.sign_attributes(typed.reading.source))

    def _silent(self, parent: _Element, typed: Stop) -> None:
        """``stop`` that does not sound: removed, illegible, lost, or refused."""
        given = signs.sign_attributes(typed.reading.edition) if typed.reading.edition is not None else {}
        given |= {
            "sounds": "no",
            "after": yes(typed.after),
            "slur": signs.slur_name(typed.slur),
            "labels": labels(typed.labels),
            **act(typed.reading),
            **self._places.of(typed.span),
        }
        element = add(parent, "stop", given)
        self._source(element, typed)
        signs.marks(element, typed.marks, self.heading, self._places)

    def _reading(self, parent: _Element, note: VoicedNote, onset: str) -> None:
        """``reading``: voice, part, length, spelling, staff; who decided; the restored octave."""
        led = note.led
        staff = self._staves.get(led.id, 0)
        pitch = note.spelling
        key = (
            "reading", led.voice, id(led.part), led.length, pitch.step, pitch.alter, pitch.octave, led.stop.strings,
            staff, id(led.decided),
        )  # fmt: skip
        model = self._models.get(key)
        if model is None:
            given = {
                "voice": str(led.voice),
                "part": led.part.value,
                "length": show(led.length),
                "spelling": " ".join(string.name for string in spelled(note.spelling, led.stop)),
                "decided": led.decided.value,
            }
            if staff:
                given["staff"] = str(staff)
            model = self._models[key] = Element(_READING, given)
        element = copy(model)
        element.set("onset", onset if led.stop.order == 0 else show(led.onset))
        if led.follows:
            element.set("follows", led.follows)
            element.set("sure", f"{led.sure:.2f}")
        if led.restored is not None:
            restored(element, note.spelling, led.restored)
        parent.append(element)

    def _length(self, ticks: Ticks) -> str:
        text = self._lengths.get(ticks)
        if text is None:
            text = self._lengths[ticks] = show(ticks)
        return text


def _ids(order: Order) -> str:
    return " ".join(stop.id for stop in order)


def spelled(spelling: SpelledPitch, stop: SoundingStop) -> list[SpelledPitch]:
    """The spelling of every string of a course: unisons and octaves keep the name, other intervals the nearest on
    the line of fifths."""
    return [
        from_fifths(spelling.fifths + (7 * (semitones - stop.pitch) + 6) % 12 - 6, semitones)
        for semitones in stop.strings
    ]


def restored(parent: _Element, sounding: SpelledPitch, reading: Restored) -> None:
    """``restored``: the pitch that sounds and the one that the line means, or may mean where it is asked."""
    meant = SpelledPitch(sounding.step, sounding.alter, sounding.octave + reading.octaves)
    add(
        parent,
        "restored",
        {
            "octaves": str(reading.octaves),
            "confidence": f"{reading.confidence:.3f}",
            "asked": yes(reading.asked),
            "decided": reading.decided.value,
            "sounding": sounding.name,
            "meant": meant.name,
        },
    )
