"""Signs of a measure that point to an event or a figure: ornaments, slurs, fingers, strums, words, notes."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction

from pipeline.model.signs import HOLD_MARK, Act, FretState, Reading, Slur, printed
from pipeline.model.tablature import BarlineAct, BarlineKind, DirectiveKind, NoteKind
from pipeline.source.exchange.drafts import BarDraft, EventDraft, Figure, PieceDraft, Remark, Said, StopDraft
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.mei.people import People
from pipeline.source.exchange.mei.tree import ID, Element, children, decimal, first, inside, local, references, words
from pipeline.source.exchange.repeated import ditto_said

#: Signs that stand on staves which show the tablature's music, and are the editor's there.
_ON_STAVES = "signs over staves that show the music of the tablature"
_SIGNED = re.compile(r"\(([A-Z][A-Za-z0-9]*(?:, [A-Z][A-Za-z0-9]*){0,8})\)")
#: Right hand fingers by number, where a file counts them (thumb, index, middle, ring finger).
_RIGHT = {
    "t": "p",
    "0": "p",
    "1": "i",
    "2": "m",
    "3": "a",
    "p": "p",
    "i": "i",
    "m": "m",
    "a": "a",
    ".": ".",
    "..": "..",
}
_LEFT = frozenset("1234")
_ARROWS = {"↓": "d", "↑": "u", "down": "d", "up": "u"}
#: The mark at a stop whose line leads to the next one.
_LINE_ON = "s"
_WRAPS = frozenset({"supplied", "unclear", "choice", "corr", "sic", "reg", "orig", "app", "lem"})


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
class _Read:
    """How a control event is read: by the edition, and what the source has of it."""

    act: Act = Act.PRINTED
    doubtful: bool = False


class MarkReader:
    """Reads the control events of one measure after another, once all ids are known."""

    def __init__(self, piece: PieceDraft, targets: Targets, tab: str, ledger: Ledger, people: People) -> None:
        self._piece = piece
        self._targets = targets
        self._tab = tab
        self._ledger = ledger
        self._people = people
        self._bar = BarDraft("")
        self._unit = 4
        self._stack = _Read()
        self._reasons: list[str] = []
        self._said_as_markup = False
        self._ways: dict[str, Callable[[Element], bool]] = {
            "dir": self._direction, "tempo": self._tempo, "reh": self._section, "fermata": self._fermata,
            "ornam": self._ornament, "trill": self._ornament, "mordent": self._ornament, "turn": self._ornament,
            "fing": self._finger, "slur": self._slur, "arpeg": self._arpeggio, "annot": self._annotation,
        }  # fmt: skip

    def read(self, measure: Element, bar: BarDraft, unit: int) -> None:
        """All control events of a measure whose beat has ``unit``."""
        self._bar, self._unit = bar, unit
        said = [each for each in inside(measure, "annot") if "apparatus" in (each.get("type") or "").split()]
        self._said_as_markup = bool(said) or any(True for _ in inside(measure, "choice", "app", "supplied", "unclear"))
        self._reasons = [words(each) for each in said if "reason" in (each.get("type") or "").split()]
        for child in measure:
            if local(child) not in ("staff", ""):
                self._one(child)

    def _one(self, element: Element) -> None:
        name = local(element)
        if name in _WRAPS or name == "rdg":
            self._wrapped(element)
            return
        if name in ("tie", "harm", "gliss", "bracketSpan", "sb", "pb") and self._elsewhere(element, name):
            return
        way = self._ways.get(name)
        if way is None or not way(element):
            self._lose(f"<{name}>", element)

    def _elsewhere(self, element: Element, name: str) -> bool:
        """What is read with the staff that it stands at, or belongs to staves that are not taken over."""
        if name in ("tie", "harm"):
            return True
        return self._on_staves(element)

    def _on_staves(self, element: Element) -> bool:
        """Whether it stands on a staff that shows the tablature's music, which is said once."""
        pointed = references(element, "startid", "plist", "endid")
        there = any(each in self._targets.stops or each in self._targets.events for each in pointed)
        other = any(each in self._targets.onsets for each in pointed)
        if there or not (other or (element.get("staff") not in (None, self._tab) and not pointed)):
            return False
        self._ledger.lose(_ON_STAVES, line_of(element), f"measure {self._bar.name}")
        return True

    # --- the editor's hand --------------------------------------------------------------------------------

    def _wrapped(self, element: Element) -> None:
        name, before = local(element), self._stack
        if name == "choice":
            self._changed(element)
            return
        if name == "supplied":
            self._stack = _Read(Act.ADDED, before.doubtful)
        elif name == "unclear":
            self._stack = _Read(before.act, True)
        elif name == "rdg":
            self._lose("readings of other sources at signs that stand over figures", element)
            return
        for child in element:
            self._one(child)
        self._stack = before

    def _changed(self, element: Element) -> None:
        """A mark or slur that the edition changes or leaves out."""
        ours = next(children(element, "corr", "reg"), None)
        theirs = next(children(element, "sic", "orig"), None)
        kept = list(ours) if ours is not None else []
        was = list(theirs) if theirs is not None else []
        if len(kept) == 1 and len(was) == 1 and local(kept[0]) == local(was[0]) == "ornam":
            stop = self._stop(kept[0])
            if stop is not None:
                stop.marks.append(Reading(Act.EMENDED, self._letter(kept[0]), self._letter(was[0])))
                return
        for child in kept:
            self._one(child)
        before, self._stack = self._stack, _Read(Act.REMOVED)
        for child in was:
            self._one(child)
        self._stack = before

    def _mark(self, letter: str) -> Reading[str]:
        match self._stack.act:
            case Act.ADDED:
                return Reading(Act.ADDED, letter, None, self._stack.doubtful)
            case Act.REMOVED:
                return Reading(Act.REMOVED, None, letter)
            case _:
                return printed(letter, doubtful=self._stack.doubtful)

    # --- at figures ---------------------------------------------------------------------------------------

    def _stop(self, element: Element) -> StopDraft | None:
        for ident in references(element, "startid", "endid", "plist"):
            if ident in self._targets.stops:
                return self._targets.stops[ident][2]
        return None

    def _letter(self, element: Element) -> str:
        name = local(element)
        shown = words(element) or {"trill": "tr", "mordent": "m", "turn": "~"}.get(
            name, element.get("glyph.name") or "+"
        )
        meaning = element.get("label") or next(
            (known[1] for known in self._piece.marks.values() if known[0] == shown),
            "ornament" if name == "ornam" else name,
        )
        place = element.get("place") or ""
        shown, meaning = shown.replace('"', "”").replace(";", ","), " ".join(meaning.replace('"', "”").split())
        return self._piece.mark(shown, meaning, place if place in ("above", "below") else "after")

    def _ornament(self, element: Element) -> bool:
        if self._on_staves(element):
            return True
        stop = self._stop(element)
        if stop is None:
            event = self._event(element)
            stop = event.stops[-1] if event is not None and event.stops else None
        if stop is None:
            return False
        if words(element) == "*" and element.get("label") == "hold the finger down":
            stop.marks.append(self._mark(HOLD_MARK))
            return True
        letter = self._letter(element)
        if letter:
            stop.marks.append(self._mark(letter))
        return bool(letter)

    def _finger(self, element: Element) -> bool:
        stop = self._stop(element)
        text = words(element) or element.get("playingFinger") or ""
        hand = element.get("playingHand") or next(
            (side for side in ("left", "right") if side in (element.get("type") or "").split()), ""
        )
        if stop is None:
            return self._on_staves(element)
        if hand != "right" and text in _LEFT:
            stop.marks.append(self._mark(text))
            return True
        letter = _RIGHT.get(text, "")
        if hand == "left" or not letter:
            return False
        if hand == "right" and text == "1" and not words(element):
            letter = "."  # what prints and the guidelines have for the index finger: a dot under the figure
        if letter in (".", ".."):
            return self._dotted(stop, len(letter))
        stop.marks.append(self._mark(letter))
        return True

    @staticmethod
    def _dotted(stop: StopDraft, dots: int) -> bool:
        if stop.edition is None:
            return False
        old = stop.edition
        figure = Figure(old.course, old.fret, old.state, old.printed, dots)
        stop.source = figure if stop.source == old else stop.source
        stop.edition = figure
        return True

    def _slur(self, element: Element) -> bool:
        ends = references(element, "endid")
        if not ends or ends[0] not in self._targets.stops:
            if ends and ends[0] in self._targets.sung:
                return "melisma" in (element.get("type") or "")  # which the words say too
            return self._on_staves(element)
        starts = references(element, "startid")
        bar, event, last = self._targets.stops[ends[0]]
        types = (element.get("type") or "").split()
        kind = Slur.PRINTED
        if self._stack.act is Act.REMOVED:
            kind = Slur.REMOVED
        elif self._stack.act is Act.ADDED or "added" in types:
            kind = Slur.ADDED
        elif self._stack.doubtful or "doubtful" in types:
            kind = Slur.DOUBTFUL
        if not starts:
            last.slur = kind
            return kind is Slur.REMOVED
        if starts[0] not in self._targets.stops:
            return False
        return self._joined(self._targets.stops[starts[0]], (bar, event, last), kind)

    def _joined(
        self, start: tuple[BarDraft, EventDraft, StopDraft], end: tuple[BarDraft, EventDraft, StopDraft], kind: Slur
    ) -> bool:
        """Every figure on the course of a slur, from the one after its beginning to its end, is joined."""
        events = [(bar, event) for bar in self._piece.bars for event in bar.events if not event.removed]
        if _course(start[2]) != _course(end[2]):
            return False
        places = {id(event): place for place, (_, event) in enumerate(events)}
        first_, last = places.get(id(start[1])), places.get(id(end[1]))
        if first_ is None or last is None or not first_ < last <= first_ + 200:
            return False
        for _, event in events[first_ + 1 : last + 1]:
            for stop in event.stops:
                if _course(stop) == _course(end[2]) and stop.slur is None:
                    stop.slur = kind
        return True

    # --- at events ----------------------------------------------------------------------------------------

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
        return next((event for event in self._bar.events if event.onset == onset and not event.removed), None)

    def _over(self, element: Element, letter: str) -> bool:
        event = self._event(element)
        if event is None:
            return False
        if all(mark.edition != letter for mark in event.marks):
            event.marks.append(self._mark(letter))
        return True

    def _fermata(self, element: Element) -> bool:
        pointed = references(element, "startid")
        if any(each in self._targets.sung for each in pointed):
            return True
        event = self._event(element) or self._beside(pointed)
        if event is None:
            return self._on_staves(element)
        if all(mark.edition != "f" for mark in event.marks):
            event.marks.append(self._mark("f"))
        return True

    def _beside(self, pointed: list[str]) -> EventDraft | None:
        """The event at the time of a note on another staff of the measure."""
        for ident in pointed:
            bar, onset = self._targets.onsets.get(ident, (None, Fraction(0)))
            if bar is self._bar:
                return self._at(onset)
        return None

    def _arpeggio(self, element: Element) -> bool:
        pointed = references(element, "plist", "startid")
        event = self._event(element) or self._beside(pointed)
        if event is None:
            return self._on_staves(element)
        spread = "spread" in (element.get("type") or "").split()
        own = event if self._event(element) is not None else None
        letter = "s" if spread else "r"
        if own is None and not spread:
            # On the staves an arpeggio only says how the chord is played: the tablature has its own sign, or none.
            return True
        if all(mark.edition not in ("r", "s", "d", "u") for mark in event.marks):
            event.marks.append(self._mark(letter))
        return True

    # --- words --------------------------------------------------------------------------------------------

    def _direction(self, element: Element) -> bool:
        types, text = (element.get("type") or "").split(), words(element)
        if "arpeggio" in types:
            return self._over(element, "r")
        if "strum" in types:
            return text in _ARROWS and (self._over(element, self._strum(text)) or self._on_staves(element))
        if "and-so-on" in types:
            return self._over(element, "e")
        if "folio" in types:
            return True  # read with the break that it marks
        if "gap" in types:
            return self._gap(text.strip("[]"))
        if "footnote" in types or "retune" in types:
            return True  # said by the note, the tuning that it belongs to
        if self._on_staves(element) and not (set(types) & {"direction", "cue"}):
            return True
        return bool(text) and self._printed_words(element, text)

    def _strum(self, arrow: str) -> str:
        """The mark of a strum: an arrow points from line to line, whichever is the first course."""
        letter = _ARROWS[arrow]
        return {"d": "u", "u": "d"}[letter] if self._piece.above else letter

    def _gap(self, text: str) -> bool:
        """Words for the bars that are lost before this one."""
        for place, item in enumerate(self._bar.before):
            if isinstance(item, Said) and item.kind is DirectiveKind.GAP and text[:1].isdecimal():
                self._bar.before[place] = Said(DirectiveKind.GAP, text)
                return True
        return False

    def _printed_words(self, element: Element, text: str) -> bool:
        remark = Remark(NoteKind.PRINTED_WORD, text)
        event = self._event(element)
        stamp = decimal(element.get("tstamp"))
        if event is not None and not (stamp is not None and event.onset == 0 and not references(element, "startid")):
            event.remarks.append(remark)
        elif stamp is not None and event is None and (stamp - 1) / self._unit >= self._bar.length > 0:
            self._bar.closing.remarks.append(remark)
        else:
            self._bar.remarks.append(remark)
        return True

    def _tempo(self, element: Element) -> bool:
        text = words(element)
        if not text:
            return False
        stamp = decimal(element.get("tstamp")) or Fraction(1)
        event = self._event(element)
        if stamp > 1 or (event is not None and event.onset > 0):
            return self._printed_words(element, text)
        self._bar.before.append(Said(DirectiveKind.TEMPO, text))
        return True

    def _section(self, element: Element) -> bool:
        text = words(element).replace("|", " ").lstrip("&").strip()
        if not text:
            return False
        self._bar.before.insert(self._first_said(), Said(DirectiveKind.SECTION, text))
        return True

    def _first_said(self) -> int:
        """Behind the end of an ending, and the breaks that stand before the bar."""
        before = self._bar.before
        ended = Said(DirectiveKind.ENDING, "end")
        return next(
            (place for place, item in enumerate(before) if isinstance(item, Said) and item != ended), len(before)
        )

    # --- notes of the editor ------------------------------------------------------------------------------

    def _annotation(self, element: Element) -> bool:
        types, text = (element.get("type") or "").split(), words(element)
        if "hold-line" in types:
            return self._hold(element)
        if "apparatus" in types:
            return self._apparatus(element, types, text)
        if not text:
            return False
        if "footnote" in types and any(reason in text for reason in self._reasons):
            return True  # the same in the words of the page
        if "footnote" in types and ditto_said(text) is not None:
            return True
        if "footnote" in types and self._said_as_markup and text.startswith("Bar "):
            return True
        self._note(element, Remark(NoteKind.REASON, text, self._signed(element, text)))
        return True

    def _signed(self, element: Element, text: str) -> str:
        """Who says it: those named by the element, else by initials in its words."""
        known = {initials for initials, _ in self._piece.editors}
        own = [name for names in _SIGNED.findall(text) for name in names.split(", ") if name in known]
        return own[0] if own and not references(element, "resp") else self._people.who(element, self._ledger)

    def _note(self, element: Element, remark: Remark) -> None:
        for ident in references(element, "plist", "startid"):
            if ident in self._targets.stops:
                _add(self._targets.stops[ident][2].remarks, remark)
                return
            event = self._targets.event(ident)
            if event is not None:
                _add(event.remarks, remark)
                return
        _add(self._bar.remarks, remark)

    def _apparatus(self, element: Element, types: list[str], text: str) -> bool:
        """What an edition's apparatus says: the reason of a reading; a doubtful or added bar line; what is the
        edition's own reading is not taken over."""
        if set(types) & {"octave-restored", "octave-in-question", "fixed-by-the-editor"}:
            self._ledger.lose("the editor's reading of voices and octaves", line_of(element), self._where())
            return True
        if "written-out" in types:
            self._bar.ditto = ditto_said(text)
            if self._bar.ditto is None:
                what = "that the source does not write a bar out; it is typed in full"
                self._ledger.lose(what, line_of(element), self._where())
            return True
        reason = text if "reason" in types else _in_brackets(text)
        remark = Remark(NoteKind.REASON, reason, self._signed(element, text)) if reason else None
        if text.startswith("bar line, "):
            return self._line(types, remark)
        if remark is not None:
            self._note(element, remark)
        return True

    def _line(self, types: list[str], remark: Remark | None) -> bool:
        acts = {"added": BarlineAct.ADDED, "doubtful": BarlineAct.DOUBTFUL}
        closing = self._bar.closing
        closing.act = next((acts[each] for each in types if each in acts), closing.act)
        if closing.act is BarlineAct.ADDED and closing.kind is BarlineKind.DASHED:
            closing.kind = BarlineKind.SINGLE
        if remark is not None:
            _add(closing.remarks, remark)
        return True

    def _hold(self, element: Element) -> bool:
        """The line of a held note reaches every event up to its end."""
        pointed = references(element, "plist")
        start = next((self._targets.stops[each] for each in pointed if each in self._targets.stops), None)
        end = next((self._targets.event(each) for each in reversed(pointed) if self._targets.event(each)), None)
        course = _course(start[2]) if start is not None else None
        if start is None or end is None or course is None:
            return False
        if end is start[1] or any(_course(stop) == course for stop in end.stops):
            start[2].marks.append(self._mark(_LINE_ON))
            return True
        figure = Figure(course, None, FretState.HOLD)
        end.stops.append(StopDraft(figure, figure, place=end.place))
        return True

    def _where(self) -> str:
        return f"measure {self._bar.name}"

    def _lose(self, what: str, element: Element) -> None:
        place = f"{self._where()} {element.get(ID) or ''}".strip()
        self._ledger.lose(what, line_of(element), place)


def _course(stop: StopDraft) -> int | None:
    return stop.figure.course if stop.figure is not None else None


def _add(remarks: list[Remark], remark: Remark) -> None:
    if remark not in remarks:
        remarks.append(remark)


def _in_brackets(text: str) -> str:
    """The reason at the end of a sentence of the apparatus: all in its last round brackets."""
    if not text.endswith(")"):
        return ""
    depth = 0
    for place in range(len(text) - 1, -1, -1):
        depth += {")": 1, "(": -1}.get(text[place], 0)
        if not depth:
            return text[place + 1 : -1]
    return ""


def folios_of(measure: Element) -> list[str]:
    """Folios of the source that begin in a measure, as its words say them: ``| f. 3v``."""
    found = []
    for element in inside(measure, "dir"):
        if "folio" in (element.get("type") or "").split():
            found.append("".join(words(element).replace("|", "").replace("f.", "").split()).replace("&", ""))
    return [folio for folio in found if folio]


def has_figures(element: Element) -> bool:
    """Whether a ``harm`` is figured bass."""
    return first(element, "fb") is not None
