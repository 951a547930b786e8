"""The tablature staff of a score, measure by measure: events, rhythm signs, figures and their marks."""

from __future__ import annotations

import re
from fractions import Fraction

from pipeline.model.signs import Act, Body, FretState, Reading, Slur, printed
from pipeline.model.tablature import NoteKind
from pipeline.model.time import Value
from pipeline.source.exchange.drafts import BarDraft, EventDraft, Figure, PieceDraft, Remark, StopDraft
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.musicxml.definition import place_of
from pipeline.source.exchange.musicxml.tree import (
    Element,
    Measure,
    Moment,
    note_pitch,
    ratio_of,
    text,
    value_for,
    value_of,
)
from pipeline.source.exchange.readings import group_of, lost_event

_ORNAMENTS = {
    "trill-mark": ("tr", "trill"), "turn": ("~", "turn"), "inverted-turn": ("~", "inverted turn"),
    "mordent": ("m", "mordent"), "inverted-mordent": ("m", "inverted mordent"), "shake": ("s", "shake"),
    "tremolo": ("=", "tremolo"), "schleifer": ("/", "slide"), "vertical-turn": ("~", "vertical turn"),
}  # fmt: skip
_JOINS = frozenset({"slur", "hammer-on", "pull-off"})
#: What a note says that the encoding leaves to the engraver, or that is read elsewhere.
_PASSED = frozenset({
    "grace", "chord", "pitch", "rest", "duration", "tie", "voice", "type", "dot", "accidental", "time-modification",
    "stem", "notehead", "staff", "beam", "notations", "footnote", "level", "unpitched", "cue",
})  # fmt: skip
_UNREAD = re.compile(r"course (?P<course>[0-9]{1,2}|\?): (?P<what>.{1,20})")
_HANDS = {"p": "p", "i": "i", "m": "m", "a": "a"}
#: What the number of a note at the foot of a page leaves.
_FOOTNOTE = re.compile(r"^\([0-9]{1,4}\) ")


#: Slurs that may be open at once; the standard numbers sixteen.
MOST_OPEN = 16


class TabReader:
    """Reads one measure after another; slurs may lead from one to the next."""

    def __init__(self, piece: PieceDraft, ledger: Ledger, *, stems: bool) -> None:
        self._piece = piece
        self._ledger = ledger
        self._stems = stems
        self._bar = BarDraft("")
        self._open: dict[tuple[str, str], list[StopDraft]] = {}
        self._kinds: dict[int, Slur] = {}
        self._voices: set[str] = set()

    def read(self, measure: Measure, bar: BarDraft) -> dict[Fraction, EventDraft]:
        """The events of a measure, put into its bar; by their onsets."""
        self._bar = bar
        self._voices = {text(note, "voice") for moment in measure.moments.values() for note in moment.notes}
        moments = [moment for moment in measure.ordered() if self._timed(moment)]
        found: dict[Fraction, EventDraft] = {}
        group_left = 0
        for place, moment in enumerate(moments):
            end = moments[place + 1].onset if place + 1 < len(moments) else measure.length
            event = self._event(moment, end - moment.onset)
            ratio = ratio_of(moment.notes[0])
            starts = moment.notes[0].find("notations/tuplet[@type='start']") is not None
            if ratio is not None and (starts or not group_left):
                event.group = group_of(*ratio)
                group_left = ratio[0]
            group_left = max(0, group_left - 1) if ratio is not None else 0
            found[moment.onset] = event
            bar.items.append(event)
        return found

    @staticmethod
    def _timed(moment: Moment) -> bool:
        return any(note.find("grace") is None for note in moment.notes)

    # --- events -------------------------------------------------------------------------------------------

    def _event(self, moment: Moment, length: Fraction) -> EventDraft:
        notes = [note for note in moment.notes if note.find("grace") is None]
        for note in moment.notes:
            if note.find("grace") is not None:
                self._lose("small notes in the tablature", note)
        first = notes[0]
        value = value_of(first)
        if len(self._voices) > 1 or value is None:
            ratio = ratio_of(first)
            nominal = length * Fraction(*ratio) if ratio is not None else length
            meant = value_for(nominal)
            if meant is None and len(self._voices) > 1:
                self._lose("lengths of several voices that no one sign has", first)
            value = meant or value or Value(4)
        event = EventDraft(first.get("id") or "", f"measure {self._bar.name}", value, value, length=length)
        event.onset = moment.onset
        self._sign(event, notes)
        for note in notes:
            self._figure(note, event)
        if event.stops:
            event.body = Body.STOPS
        elif first.get("print-object") != "no" and not any(note.find("rest[@measure]") is not None for note in notes):
            event.sign = event.sign or printed(event.lasts)
        if any(note.find("rest[@measure='yes']") is not None for note in notes):
            event.sign = None
        return event

    def _sign(self, event: EventDraft, notes: list[Element]) -> None:
        """A stem is a rhythm sign, where the score tells stems."""
        stems = {text(note, "stem") for note in notes}
        if self._stems and stems & {"up", "down", "double"}:
            event.sign = printed(event.lasts)
        beam = next((text(note, "beam") for note in notes if note.find("beam") is not None), "")
        event.beamed = beam in ("continue", "end") and event.sign is not None

    def _figure(self, note: Element, event: EventDraft) -> None:
        place = place_of(note)
        for said in self._others(note):
            self._other(said, event)
        if place is None:
            if note.find("pitch") is not None:
                self._lose("notes without string and fret", note)
            self._event_marks(note, event)
            return
        shown = next(
            (
                each
                for each in self._others(note)
                if not _UNREAD.fullmatch(each) and each.strip(".") and each != "barre"
            ),
            "",
        )
        dots = next((len(each) for each in self._others(note) if each and not each.strip(".")), 0)
        figure = Figure(*place, printed=shown, dots=min(2, dots))
        stop = StopDraft(
            figure, figure, ident=note.get("id") or "", place=note.get("id") or f"measure {self._bar.name}"
        )
        stop.line, stop.pitch = line_of(note), note_pitch(note)
        self._level(note, stop)
        for footnote in note.iterfind("footnote"):
            stop.remarks.append(Remark(NoteKind.REASON, _FOOTNOTE.sub("", text(footnote)), self.who(text(footnote))))
        event.stops.append(stop)
        self._pass(stop)
        self._event_marks(note, event)
        self._marks(note, stop)
        for child in note:
            if child.tag not in _PASSED and isinstance(child.tag, str) and child.tag != "lyric":
                self._lose(f"<{child.tag}> at a figure", note)

    @staticmethod
    def _others(note: Element) -> list[str]:
        return [text(each) for each in note.iterfind("notations/other-notation") if each.get("print-object") != "no"]

    def _other(self, said: str, event: EventDraft) -> None:
        """Words for what the standard has no sign for: a barre; a figure that cannot be read."""
        if said == "barre":
            event.marks.append(printed("b"))
            return
        found = _UNREAD.fullmatch(said)
        if found is None:
            return
        course = None if found["course"] == "?" else int(found["course"])
        state = FretState.LOST if found["what"] == "lost" else FretState.ILLEGIBLE
        if found["what"].isdecimal():
            figure = Figure(course, int(found["what"]))
            event.stops.append(StopDraft(figure, figure, place=event.place))
        elif course is None:
            event.stops.append(lost_event(state, event.place, "").stops[0])
        else:
            figure = Figure(course, None, state)
            event.stops.append(StopDraft(figure, figure, place=event.place))

    def _level(self, note: Element, stop: StopDraft) -> None:
        for level in note.iterfind("level"):
            said = text(level)
            if "supplied" in said or level.get("bracket") == "yes":
                stop.act, stop.source = Act.ADDED, None
            if "doubtful" in said:
                stop.doubtful = True
            if "emended" in said:
                self._lose("what the source has where a figure is emended; the note says it in words", note)

    def who(self, said: str) -> str:
        """The initials in a note's words, else those of the first editor, or of an unnamed one."""
        known = [initials for initials, _ in self._piece.editors]
        for initials in known:
            if f"({initials}" in said or f", {initials})" in said:
                return initials
        if not known:
            self._piece.editors.append(("ED", "the editor of the file"))
            self._ledger.assume("The file does not say who wrote its notes; they are signed ED.")
            return "ED"
        return known[0]

    # --- marks --------------------------------------------------------------------------------------------

    def _event_marks(self, note: Element, event: EventDraft) -> None:
        for notations in note.iterfind("notations"):
            if notations.find("fermata") is not None:
                _mark(event, "f")
            if notations.find("arpeggiate") is not None:
                _mark(event, "s")

    def _marks(self, note: Element, stop: StopDraft) -> None:
        for notations in note.iterfind("notations"):
            added = any("supplied" in text(level) for level in notations.iterfind("level"))
            doubtful = any("doubtful" in text(level) for level in notations.iterfind("level"))
            for child in notations:
                self._notation(child, stop, added=added, doubtful=doubtful)

    def _notation(self, child: Element, stop: StopDraft, *, added: bool, doubtful: bool) -> None:
        name = str(child.tag)
        if name == "ornaments":
            for ornament in child:
                if ornament.tag in ("accidental-mark", "wavy-line"):
                    self._lose(f"<{ornament.tag}>", ornament)
                    continue
                shown, meaning = _ORNAMENTS.get(str(ornament.tag), (text(ornament) or "+", "ornament"))
                letter = self._piece.mark(shown.replace('"', "”").replace(";", ","), meaning, "after")
                if letter:
                    act = Act.ADDED if added else Act.PRINTED
                    stop.marks.append(Reading(act, letter, None if added else letter, doubtful))
        elif name == "technical":
            for technical in child:
                self._technical(technical, stop)
        elif name in _JOINS:
            self._slur(child, stop)
        elif name in ("glissando", "slide") and child.get("type") == "start":
            stop.marks.append(printed("s"))
        elif name not in (
            "tuplet",
            "fermata",
            "arpeggiate",
            "other-notation",
            "tied",
            "level",
            "footnote",
            "slide",
            "glissando",
        ):
            self._lose(f"<{name}>", child)

    def _technical(self, element: Element, stop: StopDraft) -> None:
        name, said = str(element.tag), text(element)
        if name == "fingering" and said in ("1", "2", "3", "4"):
            stop.marks.append(printed(said))
        elif name == "pluck" and said.lower() in _HANDS:
            stop.marks.append(printed(said.lower()))
        elif name in _JOINS:
            self._slur(element, stop)
        elif name not in ("string", "fret"):
            self._lose(f"<{name}>", element)

    def _slur(self, element: Element, stop: StopDraft) -> None:
        key = ("slur" if element.tag == "slur" else "hand", element.get("number") or "1")
        if element.get("type") == "start":
            if len(self._open) >= MOST_OPEN:
                self._lose("slurs inside too many others", element)
                return
            self._open[key] = [stop]
            dashed = element.get("line-type") in ("dashed", "dotted")
            self._kinds[id(stop)] = Slur.ADDED if dashed else Slur.PRINTED
            return
        joined = self._open.pop(key, None)
        if element.get("type") != "stop" or joined is None:
            if element.get("type") == "stop":
                self._lose("ends of slurs that begin nowhere", element)
            return
        if joined[-1] is not stop or len(joined) < 2:
            self._lose("slurs between two courses", element)
            return
        kind = self._kinds.pop(id(joined[0]), Slur.PRINTED)
        for each in joined[1:]:
            each.slur = each.slur or kind

    def _pass(self, stop: StopDraft) -> None:
        """A figure on the course of an open slur is joined, should it end later."""
        for joined in self._open.values():
            first = joined[0].figure
            if first is not None and stop.figure is not None and first.course == stop.figure.course:
                joined.append(stop)

    def _lose(self, what: str, element: Element) -> None:
        self._ledger.lose(what, line_of(element), f"measure {self._bar.name}")


def _mark(event: EventDraft, letter: str) -> None:
    if all(mark.edition != letter for mark in event.marks):
        event.marks.append(printed(letter))
