"""Signs at figures and events of the tablature: ornaments, fingers, slurs, holds, fermatas, arpeggios."""

from __future__ import annotations

from pipeline.model.signs import HOLD_MARK, Act, FretState, Slur
from pipeline.source.exchange.drafts import BarDraft, EventDraft, Figure, StopDraft
from pipeline.source.exchange.mei.pointing import Pointing, course_of
from pipeline.source.exchange.mei.tree import Element, local, references, words

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
#: The mark at a stop whose line leads to the next one.
_LINE_ON = "s"


class HandMarks(Pointing):
    """Ornaments, fingers, slurs, holds, fermatas, arpeggios."""

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
        events, places = self._order()
        if course_of(start[2]) != course_of(end[2]):
            return False
        first_, last = places.get(id(start[1])), places.get(id(end[1]))
        if first_ is None or last is None or not first_ < last <= first_ + 200:
            return False
        for event in events[first_ + 1 : last + 1]:
            for stop in event.stops:
                if course_of(stop) == course_of(end[2]) and stop.slur is None:
                    stop.slur = kind
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

    def _hold(self, element: Element) -> bool:
        """The line of a held note reaches every event up to its end."""
        pointed = references(element, "plist")
        start = next((self._targets.stops[each] for each in pointed if each in self._targets.stops), None)
        end = next((self._targets.event(each) for each in reversed(pointed) if self._targets.event(each)), None)
        course = course_of(start[2]) if start is not None else None
        if start is None or end is None or course is None:
            return False
        if end is start[1] or any(course_of(stop) == course for stop in end.stops):
            start[2].marks.append(self._mark(_LINE_ON))
            return True
        figure = Figure(course, None, FretState.HOLD)
        end.stops.append(StopDraft(figure, figure, place=end.place))
        return True
