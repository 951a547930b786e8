"""Words over the tablature, and the notes of its editor."""

from __future__ import annotations

import re
from fractions import Fraction

from pipeline.model.tablature import BarlineAct, BarlineKind, DirectiveKind, NoteKind
from pipeline.source.exchange.drafts import Remark, Said
from pipeline.source.exchange.ledger import line_of
from pipeline.source.exchange.mei.pointing import Pointing
from pipeline.source.exchange.mei.tree import Element, decimal, inside, references, words
from pipeline.source.exchange.repeated import ditto_said

_SIGNED = re.compile(r"\(([A-Z][A-Za-z0-9]*(?:, [A-Z][A-Za-z0-9]*){0,8})\)")
_ARROWS = {"↓": "d", "↑": "u", "down": "d", "up": "u"}


class Words(Pointing):
    """Directions, tempi, titles of sections, notes."""

    def _hold(self, element: Element) -> bool:
        """The line of a held note: read with the marks."""
        raise NotImplementedError

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
        elif stamp is not None and event is None and (stamp - 1) / self._unit >= self._length() > 0:
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
