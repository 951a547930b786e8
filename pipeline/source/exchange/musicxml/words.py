"""Directions over the tablature: tempi, sections, strums, holds, notes of the page, folios, printed words."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, FretState, Reading, printed
from pipeline.model.tablature import DirectiveKind, NoteKind
from pipeline.model.time import Value
from pipeline.source.exchange.drafts import (
    BarDraft,
    BreakDraft,
    EventDraft,
    Figure,
    PieceDraft,
    Remark,
    Said,
    StopDraft,
)
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.musicxml.tree import Element, text
from pipeline.source.exchange.repeated import ditto_said

_FOLIO = re.compile(r"\| ?f\. ?(?P<folio>[^\s|&\"]+)")
_GAP = re.compile(r"\[(?P<said>[0-9]{1,3} bars?\b.*)\]")
CHORD = re.compile(r"[A-Z+&][#b']?")
_RING = re.compile(r"\([0-9]{1,4}\) ")
#: Printed rhythm signs (SMuFL) as values where a stem without hooks is a minim.
_SIGNS = {
    "luteDurationDoubleWhole": 1, "luteDurationWhole": 2, "luteDurationHalf": 4, "luteDurationQuarter": 8,
    "luteDuration8th": 16, "luteDuration16th": 32, "luteDuration32nd": 64,
}  # fmt: skip
_LARGE = Fraction(13)


class WordReader:
    """Reads the directions of one measure after another."""

    def __init__(self, piece: PieceDraft, ledger: Ledger, who: Callable[[str], str]) -> None:
        self._piece = piece
        self._ledger = ledger
        self._who = who
        self._bar = BarDraft("")
        self._held: dict[str, StopDraft | None] = {}
        self.chords: list[tuple[Fraction, str]] = []

    def read(self, element: Element, bar: BarDraft, event: EventDraft | None, onset: Fraction) -> None:
        """One direction; ``event`` is what begins at its time."""
        self._bar = bar
        styles = [(words, words.attrib) for words in element.iterfind("direction-type/words")]
        said = " ".join(filter(None, (text(words) for words, _ in styles)))
        kinds = {str(child.tag) for holder in element.iterfind("direction-type") for child in holder}
        if element.find("direction-type/symbol") is not None:
            self._rhythm(element, said, event)
        elif "scordatura" in kinds:
            return
        elif "rehearsal" in kinds:
            self._section(text(element, "direction-type/rehearsal"))
        elif "bracket" in kinds:
            self._hold(element, event)
        elif "words" in kinds:
            self._words(element, said, event, onset)
        elif kinds - {"metronome", "words"}:
            self._lose(f"<{min(kinds)}>", element)
        if "metronome" in kinds:
            self._lose("metronome marks", element)

    def _words(self, element: Element, said: str, event: EventDraft | None, onset: Fraction) -> None:
        first = element.find("direction-type/words")
        assert first is not None
        footnote = text(element, "footnote")
        if first.get("enclosure") in ("circle", "oval") and footnote:
            self._footnote(_RING.sub("", footnote), event)
        elif said == "÷":
            self._over(event, "r", element)
        elif said in ("↓", "↑"):
            letter = "d" if (said == "↓") is not self._piece.above else "u"
            self._over(event, letter, element)
            if event is not None and event.body is Body.NOTHING:
                event.body = Body.AS_BEFORE
        elif said == "etc." and event is not None:
            self._over(event, "e", element)
        elif said == "?":
            return  # the level of the figure says it
        elif _FOLIO.fullmatch(said):
            folio = _FOLIO.fullmatch(said)
            assert folio is not None
            self._bar.before[:] = [item for item in self._bar.before if not isinstance(item, BreakDraft)]
            self._bar.before.insert(self._ended(), BreakDraft(folio["folio"]))
        elif _GAP.fullmatch(said):
            gap = _GAP.fullmatch(said)
            assert gap is not None
            self._bar.before.append(Said(DirectiveKind.GAP, gap["said"]))
        elif said.startswith("Retune "):
            return  # the new tuning says it
        elif first.get("font-weight") == "bold" and onset == 0:
            self._bar.before.append(said_over(first, said))
        elif element.find("sound[@tempo]") is not None and onset == 0 and said:
            self._bar.before.append(Said(DirectiveKind.TEMPO, said))
        elif CHORD.fullmatch(said) and not first.attrib:
            self.chords.append((onset, said))
        elif said:
            remark = Remark(NoteKind.PRINTED_WORD, said)
            if event is not None and onset > 0:
                event.remarks.append(remark)
            elif onset > 0:
                self._bar.closing.remarks.append(remark)
            else:
                self._bar.remarks.append(remark)

    def _ended(self) -> int:
        ended = Said(DirectiveKind.ENDING, "end")
        return self._bar.before.index(ended) + 1 if ended in self._bar.before else 0

    def _section(self, said: str) -> None:
        said = said.replace("|", " ").lstrip("&").strip()
        if said:
            self._bar.before.append(Said(DirectiveKind.SECTION, said))

    def _footnote(self, said: str, event: EventDraft | None) -> None:
        ditto = ditto_said(said)
        if ditto is not None:
            self._bar.ditto = ditto
            return
        remark = Remark(NoteKind.REASON, said, self._who(said))
        if event is None:
            self._bar.remarks.append(remark)
        elif not any(remark in stop.remarks for stop in event.stops) and remark not in event.remarks:
            # On the bar as a whole its note stands before the first event.
            of_bar = event is self._bar.events[0] and re.match(r"Bar [^,:]+:", said) is not None
            (self._bar.remarks if of_bar else event.remarks).append(remark)

    def _over(self, event: EventDraft | None, letter: str, element: Element) -> None:
        if event is None:
            self._lose("signs of the hand over nothing", element)
        elif all(mark.edition != letter for mark in event.marks):
            event.marks.append(printed(letter))

    def _rhythm(self, element: Element, said: str, event: EventDraft | None) -> None:
        """A rhythm sign in words: the editor's, a doubtful one, one over a blank place."""
        unit = _SIGNS.get(text(element, "direction-type/symbol"))
        if unit is None or event is None:
            self._lose("symbols", element)
            return
        doubtful, added = "?" in said, "[" in said
        value = event.lasts if event.stops else Value(unit, said.count("."))
        event.lasts = event.drawn = value
        event.sign = Reading(Act.ADDED if added else Act.PRINTED, value, None if added else value, doubtful)

    def _hold(self, element: Element, event: EventDraft | None) -> None:
        """A line from a figure to where it is held; nothing in the standard says of which."""
        bracket = element.find("direction-type/bracket")
        assert bracket is not None
        number = bracket.get("number") or "1"
        if bracket.get("type") == "start":
            before = [stop for stop in event.stops if stop.figure is not None] if event is not None else []
            self._held[number] = before[0] if len(before) == 1 else None
            if len(before) != 1:
                self._lose("lines over several figures, of which one is held", element)
        elif bracket.get("type") == "stop":
            start = self._held.pop(number, None)
            if start is not None and start.figure is not None and event is not None:
                figure = replace(Figure(start.figure.course, None, FretState.HOLD))
                event.stops.append(StopDraft(figure, figure, place=event.place))

    def _lose(self, what: str, element: Element) -> None:
        self._ledger.lose(what, line_of(element), f"measure {self._bar.name}")


def said_over(words: Element, said: str) -> Said:
    """Bold words at the head of a measure: a title in large letters, else a tempo."""
    size = words.get("font-size") or ""
    title = said.replace("|", " ").lstrip("&").strip()
    if title and size.replace(".", "", 1).isdecimal() and Fraction(size) >= _LARGE:
        return Said(DirectiveKind.SECTION, title)
    return Said(DirectiveKind.TEMPO, said)
