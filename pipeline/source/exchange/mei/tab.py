"""A layer of the tablature: groups, rhythm signs, bar lines, and what the editor says of each."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, FretState, Reading, Signs, printed
from pipeline.model.tablature import BarlineAct, BarlineKind
from pipeline.model.time import WHOLE, Value
from pipeline.source.exchange.drafts import (
    BarDraft,
    BreakDraft,
    EventDraft,
    ItemDraft,
    LineDraft,
    VariantDraft,
)
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.mei.figures import THROUGH, FigureReader, Under, around, sides
from pipeline.source.exchange.mei.people import People
from pipeline.source.exchange.mei.tree import (
    ID,
    Element,
    children,
    local,
    tuplet_ratio,
    value_of,
)
from pipeline.source.exchange.readings import group_of, lost_event, merged, removed_event, without_course
from pipeline.source.exchange.typed import typed_items

#: Signs of metre beside which a reading still holds a whole layer.
MOST_METRES = 2
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


class TabReader(FigureReader):
    """Reads the layers of one tablature staff; ``metres`` are those printed in them."""

    def __init__(self, ledger: Ledger, symbols: Mapping[str, str], people: People, signs: Signs) -> None:
        super().__init__(ledger, symbols, people, signs)
        self.metres: list[Element] = []

    def read(self, layer: Element, bar: BarDraft) -> list[ItemDraft]:
        """The items of a layer in order; variants of the whole bar, and notes on it, go to ``bar``."""
        self._bar = bar
        return self._items(layer, Under())

    def _items(self, parent: Element, under: Under) -> list[ItemDraft]:
        return [item for child in parent for item in self._item(child, under)]

    def _item(self, element: Element, under: Under) -> list[ItemDraft]:
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
        if name in THROUGH:
            return self._items(element, under)
        if name:
            self._lose(f"<{name}> in the tablature", element)
        return []

    def _beam(self, element: Element, under: Under) -> list[ItemDraft]:
        items = self._items(element, under)
        events = [item for item in items if isinstance(item, EventDraft)]
        for event in events[1:]:
            event.beamed = event.sign is not None
        return items

    def _tuplet(self, element: Element, under: Under) -> list[ItemDraft]:
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

    def _event(self, element: Element, under: Under) -> EventDraft:
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

    def _group(self, element: Element, under: Under) -> EventDraft:
        event = self._event(element, under)
        for child in element:
            self._in_group(child, event, under)
        if event.stops:
            event.body = Body.STOPS
        if element.get("stem.visible") == "false":
            self._lose("hidden stems", element)
        return event

    def _in_group(self, child: Element, event: EventDraft, under: Under) -> None:
        name = local(child)
        if name in ("tabDurSym", "rhythmGlyph", "tabRhythm"):
            event.sign = self._sign(child, event, under)
        elif name == "gap" and "rhythm" in (child.get("extent") or ""):
            act = Act.LOST if self._gap_state(child) is FretState.LOST else Act.ILLEGIBLE
            event.sign = Reading(act, None, None)
        elif self._over(child):
            within = around(child, under)
            for inner in child:
                event.sign = self._sign(inner, event, within)
        else:
            event.stops.extend(self._stops(child, under))

    @staticmethod
    def _over(child: Element) -> bool:
        """Whether it is said of the rhythm sign."""
        return local(child) in ("supplied", "unclear") and any(local(inner) == "tabDurSym" for inner in child)

    @staticmethod
    def _sign(element: Element, event: EventDraft, under: Under) -> Reading[Value]:
        types = (element.get("type") or "").split()
        act = Act.ADDED if "supplied" in types else under.act
        source = event.lasts if act is Act.PRINTED else None
        return Reading(act, event.lasts, source, doubtful="doubtful" in types or under.doubtful)

    def _plain(self, element: Element, under: Under) -> list[ItemDraft]:
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

    def _silence(self, element: Element, under: Under) -> EventDraft:
        event = self._event(element, under)
        if local(element) == "rest":
            event.sign = printed(event.lasts)
        if local(element).startswith("m"):
            event.length = Fraction(0)
        return event

    def _edited(self, element: Element, under: Under) -> list[ItemDraft]:
        name = local(element)
        if name in ("supplied", "unclear"):
            within = around(element, under)
            items = self._items(element, within)
            for event in items:
                if isinstance(event, EventDraft) and event.sign is not None and within.act is Act.ADDED:
                    event.sign = Reading(Act.ADDED, event.lasts, None)
                elif isinstance(event, LineDraft):
                    event.act = BarlineAct.DOUBTFUL if within.doubtful else BarlineAct.ADDED
            return items
        return self._choice(element, under) if name == "choice" else self._app(element, under)

    def _choice(self, element: Element, under: Under) -> list[ItemDraft]:
        edition, source = sides(element)
        kept = [item for child in edition for item in self._item(child, under)]
        was = [item for child in source for item in self._item(child, Under())]
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

    def _app(self, element: Element, under: Under) -> list[ItemDraft]:
        kept = [item for child in children(element, "lem") for item in self._items(child, under)]
        events = [item for item in kept if isinstance(item, EventDraft)]
        for reading in children(element, "rdg"):
            other = self._items(reading, Under())
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
            if local(parent) not in ("app", "choice") and not _alone(element, parent):
                return False
            if local(parent) == "layer":
                return True
            if local(parent) not in ("lem", "corr", "app", "choice"):
                return False
            element, parent = parent, parent.getparent()
        return False


def _alone(element: Element, parent: Element) -> bool:
    """Whether nothing stands beside an element but a printed metre or two."""
    return len(parent) <= MOST_METRES + 1 and all(
        child is element or local(child) in ("meterSig", "") for child in parent
    )


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
