"""Figures of a group, and what the editor says of each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, FretState, Group, Signs
from pipeline.model.tablature import NoteKind
from pipeline.model.time import Value
from pipeline.source.exchange.drafts import (
    BarDraft,
    EventDraft,
    Figure,
    Remark,
    StopDraft,
)
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.mei.people import People
from pipeline.source.exchange.mei.tree import (
    ID,
    Element,
    children,
    local,
    pitch_of,
    whole,
)
from pipeline.source.exchange.readings import merged
from pipeline.source.exchange.typed import typed_items

_MOST = 99
_LOST = ("lost", "damage", "cut off", "torn", "hole")
_SILENT = frozenset({"accid", "artic", "dot", "stem", "fingGrp", "fing", "label", "verse"})
#: Elements that hold the same music with something said of it that the encoding has no word for.
THROUGH = frozenset({"ligature", "layer", "lem", "corr", "reg", "expan", "restore", "subst", "add", "oLayer"})


@dataclass(frozen=True, slots=True)
class Under:
    """What surrounds an event: by how much it is drawn otherwise than it lasts, its group, its beam, its editor."""

    factor: Fraction = Fraction(1)
    ratio: Fraction = Fraction(1)
    group: Group | None = None
    beamed: bool = False
    act: Act = Act.PRINTED
    doubtful: bool = False
    line_lost: bool = False


class FigureReader:
    """Reads the figures of a group. ``symbols`` are the signs of symbols, ``people`` names sources."""

    def __init__(self, ledger: Ledger, symbols: Mapping[str, str], people: People, signs: Signs) -> None:
        self._ledger = ledger
        self._symbols = symbols
        self._people = people
        self._signs = signs
        self._bar = BarDraft("")

    def _stops(self, element: Element, under: Under) -> list[StopDraft]:
        """The figures of a note, or of the markup around some."""
        name = local(element)
        match name:
            case "note":
                stop = self._note(element, under)
                return [stop] if stop is not None else []
            case "supplied" | "unclear":
                within = around(element, under)
                return [stop for child in element for stop in self._stops(child, within)]
            case "gap":
                figure = Figure(whole(element.get("n"), _MOST) or None, None, self._gap_state(element))
                act = Act.LOST if figure.state is FretState.LOST else Act.ILLEGIBLE
                known = figure if figure.course is not None else None
                if known is not None:
                    return [StopDraft(known, known, ident=element.get(ID) or "", place=self._place(element))]
                return [StopDraft(None, None, act, ident=element.get(ID) or "", place=self._place(element))]
            case "choice":
                return self._choice_of_stops(element, under)
            case "app":
                return self._variants_of_stops(element, under)
            case _:
                pass
        if name in THROUGH:
            return [stop for child in element for stop in self._stops(child, under)]
        if name and name not in _SILENT:
            self._lose(f"<{name}> at a figure", element)
        return []

    def _note(self, element: Element, under: Under) -> StopDraft | None:
        course, fret = whole(element.get("tab.course"), _MOST), whole(element.get("tab.fret"), _MOST)
        course = course if course is not None else whole(element.get("tab.string"), _MOST)
        if not course or fret is None:
            self._lose("notes without course and fret", element)
            return None
        sign = self._symbols.get((element.get("altsym") or "").removeprefix("#"), "")
        types = (element.get("type") or "").split()
        if "no-course" in types:
            course = None
        figure = Figure(course, fret, printed=sign, dots=_dots(element), line_lost=course is None and under.line_lost)
        place = self._place(element)
        stop = StopDraft(figure, figure, ident=element.get(ID) or "", place=place, line=line_of(element))
        stop.pitch = pitch_of(element)
        stop.act, stop.doubtful = under.act, under.doubtful or ("doubtful" in types and under.act is Act.PRINTED)
        if stop.act is not Act.PRINTED:
            stop.source = None
        for child in children(element, "ornam", "fing", "annot"):
            self._lose(f"<{local(child)}> inside a note", child)
        return stop

    def _choice_of_stops(self, element: Element, under: Under) -> list[StopDraft]:
        edition, source = sides(element)
        kept = [stop for child in edition for stop in self._stops(child, under)]
        return merged(kept, [stop for child in source for stop in self._stops(child, Under())])

    def _variants_of_stops(self, element: Element, under: Under) -> list[StopDraft]:
        kept: list[StopDraft] = []
        for child in children(element, "lem"):
            kept.extend(stop for inner in child for stop in self._stops(inner, under))
        for child in children(element, "rdg"):
            other = [stop for inner in child for stop in self._stops(inner, Under())]
            if kept:
                self._witness(kept[0].remarks, child, typed_items([_bare_event(other)], self._signs) if other else "")
            else:
                self._lose("a reading beside nothing", child)
        return kept

    def _witness(self, remarks: list[Remark], reading: Element, text: str) -> None:
        siglum = self._people.siglum(reading, self._ledger)
        text = text or (reading.get("label") or "")
        if text:
            remarks.append(Remark(NoteKind.WITNESS, text, siglum))
        else:
            self._lose("an empty reading of another source", reading)

    @staticmethod
    def _gap_state(element: Element) -> FretState:
        said = (element.get("reason") or "").lower()
        return FretState.LOST if any(word in said for word in _LOST) else FretState.ILLEGIBLE

    def _place(self, element: Element) -> str:
        own = element.get(ID)
        return f"#{own}" if own else f"measure {self._bar.name}"

    def _lose(self, what: str, element: Element) -> None:
        self._ledger.lose(what, line_of(element), f"measure {self._bar.name} {element.get(ID) or ''}".strip())


def sides(element: Element) -> tuple[list[Element], list[Element]]:
    """What the edition reads, and what the source has."""
    ours = next(children(element, "corr", "reg", "expan"), None)
    theirs = next(children(element, "sic", "orig", "abbr"), None)
    return list(ours) if ours is not None else [], list(theirs) if theirs is not None else []


def around(element: Element, under: Under) -> Under:
    """What is said of a figure by ``supplied`` or ``unclear`` around it."""
    reason = (element.get("reason") or "").lower()
    if local(element) == "unclear":
        # Where only the line of a figure cannot be made out, the figure itself is sure.
        no_line = any("no-course" in (note.get("type") or "").split() for note in element)
        return replace(under, doubtful=not no_line, line_lost=reason == "lost")
    if any(word in reason for word in _LOST):
        return replace(under, act=Act.SUPPLIED_LOST)
    if "illegible" in reason or "faded" in reason:
        return replace(under, act=Act.SUPPLIED_ILLEGIBLE)
    return replace(under, act=Act.ADDED)


def _dots(element: Element) -> int:
    for artic in children(element, "artic"):
        for word in (artic.get("type") or "").split():
            if word.startswith("dots-"):
                return min(2, whole(word[5:], 2) or 0)
    return 0


def _bare_event(stops: list[StopDraft]) -> EventDraft:
    return EventDraft("", "", Value(4), Value(4), body=Body.STOPS, stops=stops)
