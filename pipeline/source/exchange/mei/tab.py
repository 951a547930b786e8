"""A layer of the tablature: groups, rhythm signs, figures, and what the editor says of each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, FretState, Group, Reading, Signs, printed
from pipeline.model.tablature import BarlineAct, BarlineKind, NoteKind
from pipeline.model.time import WHOLE, Value
from pipeline.source.exchange.drafts import (
    BarDraft,
    BreakDraft,
    EventDraft,
    Figure,
    ItemDraft,
    LineDraft,
    Remark,
    StopDraft,
    VariantDraft,
)
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.mei.people import People
from pipeline.source.exchange.mei.tree import (
    ID,
    Element,
    children,
    local,
    pitch_of,
    tuplet_ratio,
    value_of,
    whole,
)
from pipeline.source.exchange.readings import group_of, lost_event, merged, removed_event, without_course
from pipeline.source.exchange.typed import typed_items

_MOST = 99
_LOST = ("lost", "damage", "cut off", "torn", "hole")
_SILENT = frozenset({"accid", "artic", "dot", "stem", "fingGrp", "fing", "label", "verse"})
#: Elements that hold the same music with something said of it that the encoding has no word for.
_THROUGH = frozenset({"ligature", "layer", "lem", "corr", "reg", "expan", "restore", "subst", "add", "oLayer"})
_FORMS = {
    "single": BarlineKind.SINGLE,
    "dbl": BarlineKind.DOUBLE,
    "end": BarlineKind.FINAL,
    "dashed": BarlineKind.DASHED,
    "dotted": BarlineKind.DASHED,
    "rptstart": BarlineKind.REPEAT_START,
    "rptend": BarlineKind.REPEAT_END,
    "rptboth": BarlineKind.REPEAT_BOTH,
}


def line_kind(form: str | None) -> BarlineKind | None:
    """The bar line of a ``form``, ``left`` or ``right``; None where none is printed, or it is none that is known."""
    return _FORMS.get(form or "single")


@dataclass(frozen=True, slots=True)
class _Under:
    """What surrounds an event: by how much it is drawn otherwise than it lasts, its group, its beam, its editor."""

    factor: Fraction = Fraction(1)
    ratio: Fraction = Fraction(1)
    group: Group | None = None
    beamed: bool = False
    act: Act = Act.PRINTED
    doubtful: bool = False
    line_lost: bool = False


class TabReader:
    """Reads the layers of one tablature staff. ``symbols`` are the signs of symbols, ``people`` names sources."""

    def __init__(self, ledger: Ledger, symbols: Mapping[str, str], people: People, signs: Signs) -> None:
        self._ledger = ledger
        self._symbols = symbols
        self._people = people
        self._signs = signs
        self._bar = BarDraft("")
        self.metres: list[Element] = []

    def read(self, layer: Element, bar: BarDraft) -> list[ItemDraft]:
        """The items of a layer in order; variants of the whole bar, and notes on it, go to ``bar``."""
        self._bar = bar
        return self._items(layer, _Under())

    # --- what a layer holds -------------------------------------------------------------------------------

    def _items(self, parent: Element, under: _Under) -> list[ItemDraft]:
        return [item for child in parent for item in self._item(child, under)]

    def _item(self, element: Element, under: _Under) -> list[ItemDraft]:
        name = local(element)
        match name:
            case "tabGrp":
                return [self._group(element, under)]
            case "chord" | "note":
                return self._plain(element, under)
            case "space" | "rest" | "mRest" | "mSpace":
                return [self._silence(element, under)]
            case "beam":
                return self._beam(element, under)
            case "tuplet":
                return self._tuplet(element, under)
            case "barLine":
                return [LineDraft(line_kind(element.get("form")) or BarlineKind.SINGLE)]
            case "sb" | "pb":
                return [BreakDraft((element.get("n") or "") if name == "pb" else "")]
            case "meterSig":
                self.metres.append(element)
                return []
            case "gap":
                return [lost_event(self._gap_state(element), self._place(element), element.get(ID) or "")]
            case "choice" | "app" | "supplied" | "unclear":
                return self._edited(element, under)
            case _:
                pass
        if name in _THROUGH:
            return self._items(element, under)
        if name:
            self._lose(f"<{name}> in the tablature", element)
        return []

    def _beam(self, element: Element, under: _Under) -> list[ItemDraft]:
        items = self._items(element, under)
        events = [item for item in items if isinstance(item, EventDraft)]
        for event in events[1:]:
            event.beamed = event.sign is not None
        return items

    def _tuplet(self, element: Element, under: _Under) -> list[ItemDraft]:
        ratio = tuplet_ratio(element)
        if ratio is None:
            self._lose("tuplets without numbers", element)
            return self._items(element, under)
        notes, time = ratio
        hidden = element.get("num.visible") == "false" and element.get("bracket.visible") == "false"
        if hidden or notes < 2:
            return self._items(element, replace(under, factor=under.factor * Fraction(time, notes)))
        if under.group is not None:
            self._lose("a tuplet inside a tuplet", element)
            return self._items(element, under)
        group = group_of(notes, time, added="supplied" in (element.get("type") or "").split())
        items = self._items(element, replace(under, ratio=Fraction(time, notes)))
        first = next((item for item in items if isinstance(item, EventDraft)), None)
        if first is not None:
            first.group = group
        return items

    # --- events -------------------------------------------------------------------------------------------

    def _event(self, element: Element, under: _Under) -> EventDraft:
        """An event without its figures: what it lasts, and as what it is drawn."""
        drawn = value_of(element)
        if drawn is None:
            if element.get("dur") or element.get("dur.ges"):
                self._lose(f"the value {element.get('dur') or element.get('dur.ges')}", element)
            drawn = Value(4)
        lasts, second = _scaled(drawn, under.factor)
        if lasts is None:
            self._lose("the length of an event that no value has", element)
            lasts = drawn
        length = Fraction(drawn.ticks, WHOLE) * under.factor * under.ratio
        event = EventDraft(element.get(ID) or "", self._place(element), lasts, drawn, length=length, second=second)
        event.beamed = under.beamed
        return event

    def _group(self, element: Element, under: _Under) -> EventDraft:
        event = self._event(element, under)
        for child in element:
            self._in_group(child, event, under)
        if event.stops:
            event.body = Body.STOPS
        if element.get("stem.visible") == "false":
            self._lose("hidden stems", element)
        return event

    def _in_group(self, child: Element, event: EventDraft, under: _Under) -> None:
        name = local(child)
        if name in ("tabDurSym", "rhythmGlyph", "tabRhythm"):
            event.sign = self._sign(child, event, under)
        elif name == "gap" and "rhythm" in (child.get("extent") or ""):
            act = Act.LOST if self._gap_state(child) is FretState.LOST else Act.ILLEGIBLE
            event.sign = Reading(act, None, None)
        elif self._over(child):
            around = _around(child, under)
            for inner in child:
                event.sign = self._sign(inner, event, around)
        else:
            event.stops.extend(self._stops(child, under))

    @staticmethod
    def _over(child: Element) -> bool:
        """Whether it is said of the rhythm sign."""
        return local(child) in ("supplied", "unclear") and any(local(inner) == "tabDurSym" for inner in child)

    @staticmethod
    def _sign(element: Element, event: EventDraft, under: _Under) -> Reading[Value]:
        types = (element.get("type") or "").split()
        act = Act.ADDED if "supplied" in types else under.act
        source = event.lasts if act is Act.PRINTED else None
        return Reading(act, event.lasts, source, doubtful="doubtful" in types or under.doubtful)

    def _plain(self, element: Element, under: _Under) -> list[ItemDraft]:
        """A chord or note of a tablature that is written like one of a staff."""
        event = self._event(element, under)
        event.sign = printed(event.lasts) if element.get("dur") else None
        if local(element) == "note":
            event.sign = printed(event.lasts)
            event.stops.extend(self._stops(element, under))
        else:
            for child in element:
                self._in_group(child, event, under)
        if not event.stops:
            self._lose("notes without course and fret", element)
            return []
        event.body = Body.STOPS
        return [event]

    def _silence(self, element: Element, under: _Under) -> EventDraft:
        event = self._event(element, under)
        if local(element) == "rest":
            event.sign = printed(event.lasts)
        if local(element).startswith("m"):
            event.length = Fraction(0)
        return event

    # --- figures ------------------------------------------------------------------------------------------

    def _stops(self, element: Element, under: _Under) -> list[StopDraft]:
        """The figures of a note, or of the markup around some."""
        name = local(element)
        match name:
            case "note":
                stop = self._note(element, under)
                return [stop] if stop is not None else []
            case "supplied" | "unclear":
                around = _around(element, under)
                return [stop for child in element for stop in self._stops(child, around)]
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
        if name in _THROUGH:
            return [stop for child in element for stop in self._stops(child, under)]
        if name and name not in _SILENT:
            self._lose(f"<{name}> at a figure", element)
        return []

    def _note(self, element: Element, under: _Under) -> StopDraft | None:
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

    def _choice_of_stops(self, element: Element, under: _Under) -> list[StopDraft]:
        edition, source = _sides(element)
        kept = [stop for child in edition for stop in self._stops(child, under)]
        return merged(kept, [stop for child in source for stop in self._stops(child, _Under())])

    def _variants_of_stops(self, element: Element, under: _Under) -> list[StopDraft]:
        kept: list[StopDraft] = []
        for child in children(element, "lem"):
            kept.extend(stop for inner in child for stop in self._stops(inner, under))
        for child in children(element, "rdg"):
            other = [stop for inner in child for stop in self._stops(inner, _Under())]
            if kept:
                self._witness(kept[0].remarks, child, typed_items([_bare_event(other)], self._signs) if other else "")
            else:
                self._lose("a reading beside nothing", child)
        return kept

    # --- the editor's hand --------------------------------------------------------------------------------

    def _edited(self, element: Element, under: _Under) -> list[ItemDraft]:
        name = local(element)
        if name in ("supplied", "unclear"):
            around = _around(element, under)
            items = self._items(element, around)
            for event in items:
                if isinstance(event, EventDraft) and event.sign is not None and around.act is Act.ADDED:
                    event.sign = Reading(Act.ADDED, event.lasts, None)
                elif isinstance(event, LineDraft):
                    event.act = BarlineAct.DOUBTFUL if around.doubtful else BarlineAct.ADDED
            return items
        return self._choice(element, under) if name == "choice" else self._app(element, under)

    def _choice(self, element: Element, under: _Under) -> list[ItemDraft]:
        edition, source = _sides(element)
        kept = [item for child in edition for item in self._item(child, under)]
        was = [item for child in source for item in self._item(child, _Under())]
        ours = [item for item in kept if isinstance(item, EventDraft)]
        theirs = [item for item in was if isinstance(item, EventDraft)]
        if self._whole_layer(element) and (len(ours), len(kept)) != (len(theirs), len(was)):
            self._bar.variants.append(VariantDraft("", was))
            return kept
        if ours and len(ours) == len(theirs):
            for mine, other in zip(ours, theirs, strict=True):
                _laid_over(mine, other)
            return kept
        if not kept:
            return [removed_event(item) if isinstance(item, EventDraft) else _removed_line(item) for item in was]
        if not was:
            for mine in ours:
                _added(mine)
            return kept
        self._lose("what the source has where the editor changed several events", element)
        return kept

    def _app(self, element: Element, under: _Under) -> list[ItemDraft]:
        kept = [item for child in children(element, "lem") for item in self._items(child, under)]
        events = [item for item in kept if isinstance(item, EventDraft)]
        for reading in children(element, "rdg"):
            other = self._items(reading, _Under())
            if self._whole_layer(element):
                self._bar.variants.append(VariantDraft(self._people.siglum(reading, self._ledger), other))
                continue
            if not events:
                self._lose("a reading beside nothing", reading)
                continue
            self._witness(events[0].remarks, reading, _told(events, other, reading, self._signs))
        if not any(True for _ in children(element, "lem")):
            self._ledger.assume("Where an <app> has no <lem>, its first reading is the text.", line_of(element))
            return [item for child in list(children(element, "rdg"))[:1] for item in self._items(child, under)]
        return kept

    @staticmethod
    def _whole_layer(element: Element) -> bool:
        """Whether a layer holds nothing but this element, or readings around it, and its printed metre."""
        parent = element.getparent()
        while parent is not None:
            inner = [child for child in parent if local(child) not in ("meterSig", "")]
            if local(parent) not in ("app", "choice") and inner != [element]:
                return False
            if local(parent) == "layer":
                return True
            if local(parent) not in ("lem", "corr", "app", "choice"):
                return False
            element, parent = parent, parent.getparent()
        return False

    def _witness(self, remarks: list[Remark], reading: Element, text: str) -> None:
        siglum = self._people.siglum(reading, self._ledger)
        text = text or (reading.get("label") or "")
        if text:
            remarks.append(Remark(NoteKind.WITNESS, text, siglum))
        else:
            self._lose("an empty reading of another source", reading)

    # --- words --------------------------------------------------------------------------------------------

    @staticmethod
    def _gap_state(element: Element) -> FretState:
        said = (element.get("reason") or "").lower()
        return FretState.LOST if any(word in said for word in _LOST) else FretState.ILLEGIBLE

    def _place(self, element: Element) -> str:
        own = element.get(ID)
        return f"#{own}" if own else f"measure {self._bar.name}"

    def _lose(self, what: str, element: Element) -> None:
        self._ledger.lose(what, line_of(element), f"measure {self._bar.name} {element.get(ID) or ''}".strip())


def _sides(element: Element) -> tuple[list[Element], list[Element]]:
    """What the edition reads, and what the source has."""
    ours = next(children(element, "corr", "reg", "expan"), None)
    theirs = next(children(element, "sic", "orig", "abbr"), None)
    return list(ours) if ours is not None else [], list(theirs) if theirs is not None else []


def _around(element: Element, under: _Under) -> _Under:
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


def _scaled(drawn: Value, factor: Fraction) -> tuple[Value | None, Value | None]:
    """The value that lasts ``factor`` times as long as another; with it the second sign, where two together do."""
    if factor == 1:
        return drawn, None
    if factor == Fraction(3, 2) and not drawn.dots and drawn.unit:
        return drawn, Value(drawn.unit * 2)
    wanted = drawn.ticks * factor
    for unit in (0, 1, 2, 4, 8, 16, 32, 64):
        for dots in (0, 1, 2):
            if Value(unit, dots).ticks == wanted:
                return Value(unit, dots), None
    return None, None


def _dots(element: Element) -> int:
    for artic in children(element, "artic"):
        for word in (artic.get("type") or "").split():
            if word.startswith("dots-"):
                return min(2, whole(word[5:], 2) or 0)
    return 0


def _bare_event(stops: list[StopDraft]) -> EventDraft:
    return EventDraft("", "", Value(4), Value(4), body=Body.STOPS, stops=stops)


def _told(events: list[EventDraft], other: list[ItemDraft], reading: Element, signs: Signs) -> str:
    """What another source has instead of some events, as it is typed: its value alone, where nothing else differs."""
    theirs = [item for item in other if isinstance(item, EventDraft)]
    if len(theirs) == 1 and len(events) == 1 and without_course(theirs[0]) == without_course(events[0]):
        return theirs[0].drawn.name if theirs[0].sign is not None else reading.get("label") or ""
    return typed_items(other, signs)


def _laid_over(mine: EventDraft, other: EventDraft) -> None:
    """What the source has of an event that the edition reads otherwise."""
    ours = mine.sign.edition if mine.sign is not None else None
    was = other.sign
    if was is not None and was.act in (Act.ILLEGIBLE, Act.LOST):
        act = Act.SUPPLIED_LOST if was.act is Act.LOST else Act.SUPPLIED_ILLEGIBLE
        mine.sign = Reading(act, ours, None) if ours is not None else was
    elif was is None and ours is not None:
        mine.sign = Reading(Act.ADDED, ours, None)
    elif was is not None and ours is None:
        mine.sign = Reading(Act.REMOVED, None, other.drawn)
    elif was is not None and other.drawn != mine.drawn:
        mine.sign = Reading(Act.EMENDED, ours, other.drawn)
    mine.stops = merged(mine.stops, other.stops)


def _added(event: EventDraft) -> None:
    if event.sign is not None:
        event.sign = Reading(Act.ADDED, event.lasts, None)
    for stop in event.stops:
        if stop.act is Act.PRINTED:
            stop.act, stop.source = Act.ADDED, None


def _removed_line(item: ItemDraft) -> ItemDraft:
    if isinstance(item, LineDraft):
        item.act = BarlineAct.REMOVED
    return item
