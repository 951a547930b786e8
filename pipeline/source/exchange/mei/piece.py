"""An MEI document as a gathered piece."""

from __future__ import annotations

from fractions import Fraction

from pipeline.model.instrument import Course
from pipeline.model.signs import Signs
from pipeline.model.tablature import BarlineKind, DirectiveKind
from pipeline.model.time import WHOLE
from pipeline.source.declare import read_metre
from pipeline.source.exchange.drafts import BarDraft, BreakDraft, LineDraft, PieceDraft, Said
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.mei.control import MarkReader
from pipeline.source.exchange.mei.definition import Definition, courses_of, definition_of, metre_typed
from pipeline.source.exchange.mei.head import read_canvases, read_head, read_images
from pipeline.source.exchange.mei.people import People
from pipeline.source.exchange.mei.pointing import Targets
from pipeline.source.exchange.mei.staves import OtherStaves
from pipeline.source.exchange.mei.sung import SungReader, signature_of, stanzas
from pipeline.source.exchange.mei.tab import TabReader, line_kind
from pipeline.source.exchange.mei.tree import (
    ID,
    Element,
    children,
    first,
    inside,
    local,
    whole,
)
from pipeline.source.exchange.mei.words import folios_of
from pipeline.source.exchange.pitches import check_pitches
from pipeline.source.exchange.repeated import repeated
from pipeline.source.exchange.times import mark_lengths, meant_metre, place_bar, place_events, type_signs
from pipeline.source.exchange.typed import NOWHERE
from pipeline.source.partbook.safety import BrokenError

_FIGURES = frozenset("0123456789X")
_INNER = frozenset({"section", "ending", "lem", "corr", "reg", "expan", "supplied", "unclear", "add", "restore", "app",
                    "choice", "rdg", "sic", "orig"})  # fmt: skip
_UNREAD_SIDES = frozenset({"rdg", "sic", "orig", "abbr", "del"})
_COMMON = {BarlineKind.SINGLE: BarlineKind.REPEAT_START, BarlineKind.REPEAT_END: BarlineKind.REPEAT_BOTH,
           BarlineKind.DOUBLE: BarlineKind.REPEAT_START}  # fmt: skip


def read_mei(root: Element, name: str, ledger: Ledger) -> PieceDraft:
    """The tablature of a document with all that belongs to it. Raises BrokenError if it holds none."""
    scores = list(inside(root, "score"))
    tabbed = [score for score in scores if any(True for _ in inside(score, "tabGrp", "tabDurSym")) or _fretted(score)]
    if not tabbed:
        raise BrokenError("there is no tablature in it: no tabGrp, and no note with tab.course and tab.fret")
    piece = PieceDraft(name)
    people = People(piece)
    read_head(root, piece, people, ledger)
    read_images(root, piece, ledger)
    read_canvases(root, piece)
    for score in tabbed[1:]:
        ledger.lose("further movements; split the file", line_of(score), f"movement {scores.index(score) + 1}")
    _Reader(piece, tabbed[0], ledger, people).read()
    piece.after.extend(stanzas(root))
    return piece


def _fretted(score: Element) -> bool:
    return any(note.get("tab.course") is not None for note in inside(score, "note"))


class _Reader:
    """What is in force while the measures are read in order."""

    def __init__(self, piece: PieceDraft, score: Element, ledger: Ledger, people: People) -> None:
        self._piece = piece
        self._score = score
        self._ledger = ledger
        self._definition: Definition = definition_of(score)
        tab = self._definition.tab
        if tab is None:
            raise BrokenError("no staff of it is defined as a tablature")
        self._tab = tab
        for other in self._definition.of("tablature")[1:]:
            ledger.lose("further tablature staves", line_of(other.element), f"staff {other.number}")
        others = self._definition.of("other")
        if others:
            names = ", ".join(staff.number for staff in others)
            ledger.lose("staves that show the music of the tablature", line_of(others[0].element), f"staff {names}")
        self._define(tab.element)
        self._tabs = TabReader(ledger, self._definition.symbols, people, piece.signs)
        self._targets = Targets()
        self._marks = MarkReader(piece, self._targets, tab.number, ledger, people)
        self._sung = SungReader(piece, self._definition, score, ledger)
        self._courses: tuple[Course, ...] = piece.courses
        self._retuned: tuple[Course, ...] = ()
        self._others = OtherStaves(score, self._definition, self._targets)
        self._measures: list[tuple[Element, BarDraft, int]] = []
        self._unit, self._full = 4, Fraction(0)
        self._waiting: list[Said | BreakDraft] = []
        self._joins = False

    def _define(self, staff: Element) -> None:
        piece, kind = self._piece, staff.get("notationtype") or ""
        piece.lines = whole(staff.get("lines"), 12) or 0
        shown = list(self._definition.symbols.values())
        figured = bool(shown) and all(set(text) <= _FIGURES for text in shown)
        piece.above = kind.endswith("french") or "guitar" in kind
        piece.signs = Signs.FRENCH if kind.endswith("french") and not figured else Signs.ITALIAN
        if kind.endswith("german"):
            self._ledger.lose(
                "signs of the German system; its courses and frets are typed as figures",
                line_of(staff),
                "staffDef",
            )
        tuning = first(staff, "tuning")
        piece.courses = courses_of(tuning) or ()
        piece.tuning_line = line_of(tuning if tuning is not None else staff)
        piece.instrument = self._tab.label
        piece.metre = metre_typed(staff)

    def read(self) -> None:
        head = first(self._score, "scoreDef")
        self._head_metre(head)
        signature = next((signature_of(staff.element) for staff in self._definition.of("other")), None)
        if signature is not None:
            self._ledger.assume(
                f"The staves have {_accidentals(signature)} as their signature; type the key, if it is to be declared."
            )
        for child in self._score:
            self._walk(child)
        if not self._measures:
            raise BrokenError("there is no measure in it")
        self._piece.after.extend(item for item in self._waiting if isinstance(item, Said))
        place_events(self._piece)
        for bar in self._piece.bars:
            self._targets.add(bar)
        self._targets.sung = self._sung.idents - {""}
        for measure, bar, unit in self._measures:
            self._marks.read(measure, bar, unit)
        repeated(self._piece, self._ledger)
        measured = bool(self._full) or any(bar.full for bar in self._piece.bars)
        if not measured and self._any_signs():
            meant_metre(self._piece, self._ledger)
            measured = bool(self._piece.metre)
        self._values()
        mark_lengths(self._piece)
        type_signs(self._piece, measured=measured, ledger=self._ledger)
        check_pitches(self._piece, self._ledger)

    def _any_signs(self) -> bool:
        events = [event for bar in self._piece.bars for event in bar.events]
        return (
            2 * sum(1 for event in events if event.sign is not None) >= len(self._piece.bars)
            and len(self._piece.bars) > 2
        )

    def _head_metre(self, head: Element | None) -> None:
        """The metre of the tablature; where only other staves tell one, the source prints none."""
        staves = [staff.element for staff in self._definition.staves if staff is not self._tab]
        meant = next(filter(None, (metre_typed(each) for each in (*staves, *([head] if head is not None else [])))), "")
        if not self._piece.metre and meant:
            if head is not None and metre_typed(head):
                self._piece.metre = metre_typed(head)
            else:
                read = read_metre(meant, NOWHERE, Fraction(1)).value
                self._piece.metre = f"none = {read.beats}/{read.unit}" if read is not None and read.beats else ""
        self._meter(meant or self._piece.metre)

    def _meter(self, typed: str) -> None:
        read = read_metre(typed, NOWHERE, Fraction(1)).value if typed else None
        self._full = Fraction(read.ticks, WHOLE) if read is not None else Fraction(0)
        self._unit = read.unit if read is not None and read.beats else 4

    def _values(self) -> None:
        """Halved values: the printed metre is twice as long as the bars that it stands over."""
        printed = read_metre(self._piece.metre, NOWHERE, Fraction(1)).value if self._piece.metre else None
        full = next((bar.full for bar in self._piece.bars if bar.full), Fraction(0))
        if printed is None or not printed.beats or not full or "none" in self._piece.metre:
            return
        ratio = full / Fraction(printed.ticks, WHOLE)
        if ratio in {Fraction(1, 8), Fraction(1, 4), Fraction(1, 2), Fraction(2), Fraction(4), Fraction(8)}:
            self._piece.ratio = ratio

    # --- in the order of the document -----------------------------------------------------------------------

    def _walk(self, element: Element) -> None:
        name = local(element)
        if name == "measure":
            self._measure(element)
        elif name == "ending":
            self._ending(element)
        elif name in ("sb", "pb"):
            folio = "".join((element.get("n") or "").split()).replace("&", "") if name == "pb" else ""
            if self._piece.bars or folio:
                self._waiting.append(BreakDraft(folio))
        elif name == "scoreDef":
            if self._piece.bars:
                self._redefine(element)
        elif name == "staffDef":
            self._redefine(element)
        elif name == "gap":
            self._gap(element)
        elif name in _UNREAD_SIDES:
            self._ledger.lose("readings of other sources that hold whole measures", line_of(element), f"<{name}>")
        elif name == "staff":
            raise BrokenError("its staves are not divided into measures")
        elif name in _INNER:
            for child in element:
                self._walk(child)
        elif name and name not in ("measure", "pgHead", "pgFoot", "expansion"):
            self._ledger.lose(f"<{name}>", line_of(element), "between measures")

    def _ending(self, element: Element) -> None:
        number = whole((element.get("n") or "").split(",")[0], 9) or 1
        self._waiting.append(Said(DirectiveKind.ENDING, str(number)))
        for child in element:
            self._walk(child)
        after = element.getnext()
        while after is not None and local(after) in ("sb", "pb", ""):
            after = after.getnext()
        if after is None or local(after) != "ending":
            self._waiting.append(Said(DirectiveKind.ENDING, "end"))

    def _gap(self, element: Element) -> None:
        count = whole((element.get("extent") or element.get("quantity") or "1").split()[0], 999) or 1
        self._waiting.append(
            Said(DirectiveKind.GAP, f"{count} bar{'s' * (count > 1)}, {element.get('reason') or 'lost'}")
        )

    def _redefine(self, element: Element) -> None:
        self._others.redefine(element)
        for staff in (element, *inside(element, "staffDef")):
            tuning = first(staff, "tuning")
            if tuning is not None and staff.get("n") in (None, self._tab.number):
                self._retune(tuning)
            typed = metre_typed(staff)
            if typed:
                self._meter(typed)

    def _retune(self, tuning: Element) -> None:
        courses = courses_of(tuning)
        before = self._courses
        if courses is None or len(courses) != len(before):
            self._ledger.lose("a new tuning that is not told in full", line_of(tuning), "a scoreDef")
            return
        changed = [course for course, old in zip(courses, before, strict=True) if course != old]
        self._courses = self._retuned = courses
        if changed:
            text = ", ".join(f"{each.number} = {'+'.join(string.name for string in each.strings)}" for each in changed)
            self._waiting.append(Said(DirectiveKind.RETUNE, text))

    # --- measures -------------------------------------------------------------------------------------------

    def _measure(self, element: Element) -> None:
        joins, self._joins = self._joins, element.get("right") == "invis"
        if joins and self._piece.bars:
            bar = self._piece.bars[-1]
        else:
            bar = BarDraft(element.get("n") or str(len(self._piece.bars) + 1), element.get(ID) or "", line_of(element))
            self._begin(bar, element)
            bar.courses, self._retuned = self._retuned, ()
            self._piece.bars.append(bar)
        self._tabs.metres = []
        start = bar.length
        for staff in children(element, "staff"):
            if staff.get("n") in (None, self._tab.number):
                self._layers(staff, bar)
        for signature in self._tabs.metres:
            typed = metre_typed(signature)
            if typed and len(self._piece.bars) > 1:
                bar.before.append(Said(DirectiveKind.METRE, typed))
            elif typed:
                self._piece.metre = typed
            read = read_metre(typed, NOWHERE, Fraction(1)).value if typed else None
            if read is not None and not self._full:
                self._meter(typed)
        bar.full = self._full
        place_bar(bar)
        self._close(bar, element)
        self._others.read(element, bar, start)
        self._sung.read(element, bar, self._unit, goes_on=joins)
        self._measures.append((element, bar, self._unit))

    def _layers(self, staff: Element, bar: BarDraft) -> None:
        layers = list(children(staff, "layer"))
        if layers:
            bar.items.extend(self._tabs.read(layers[0], bar))
        for layer in layers[1:]:
            self._ledger.lose("further layers of the tablature", line_of(layer), f"measure {bar.name}")

    def _begin(self, bar: BarDraft, element: Element) -> None:
        before = self._piece.bars[-1] if self._piece.bars else None
        left = line_kind(element.get("left")) if element.get("left") else None
        if left in (BarlineKind.REPEAT_START, BarlineKind.REPEAT_BOTH, BarlineKind.DOUBLE):
            if before is None:
                self._waiting.append(Said(DirectiveKind.OPENS, left.value))
            elif left is BarlineKind.REPEAT_START:
                before.closing.kind = _COMMON.get(before.closing.kind, BarlineKind.REPEAT_START)
            else:
                before.closing.kind = left
        folios = folios_of(element)
        if folios:
            breaks = [item for item in self._waiting if isinstance(item, BreakDraft)]
            for item in breaks:
                self._waiting.remove(item)
            ended = Said(DirectiveKind.ENDING, "end")
            self._waiting.insert(self._waiting.index(ended) + 1 if ended in self._waiting else 0, BreakDraft(folios[0]))
        for folio in folios[1:]:
            self._ledger.lose("a second folio in one measure", line_of(element), f"{folio} in measure {bar.name}")
        bar.before.extend(self._waiting)
        self._waiting = []

    def _close(self, bar: BarDraft, element: Element) -> None:
        right = element.get("right")
        kind = line_kind(right)
        bar.closing = LineDraft(BarlineKind.SINGLE if kind is None else kind)
        if right is not None and kind is None and right != "invis":
            self._ledger.lose(f"bar lines of the form {right}", line_of(element), f"measure {bar.name}")


def _accidentals(signature: int) -> str:
    if not signature:
        return "no accidentals"
    return f"{abs(signature)} {'flat' if signature < 0 else 'sharp'}{'s' * (abs(signature) > 1)}"
