"""Every control event of a measure: what is read of it, and by whose hand it stands there."""

from __future__ import annotations

from collections.abc import Callable

from pipeline.model.signs import Act, Reading
from pipeline.source.exchange.drafts import BarDraft, PieceDraft
from pipeline.source.exchange.ledger import Ledger
from pipeline.source.exchange.mei.marks import HandMarks
from pipeline.source.exchange.mei.people import People
from pipeline.source.exchange.mei.pointing import Hand, Targets
from pipeline.source.exchange.mei.tree import Element, children, inside, local, words
from pipeline.source.exchange.mei.words import Words

_WRAPS = frozenset({"supplied", "unclear", "choice", "corr", "sic", "reg", "orig", "app", "lem"})


class MarkReader(HandMarks, Words):
    """Reads the control events of one measure after another, once all ids are known."""

    def __init__(self, piece: PieceDraft, targets: Targets, tab: str, ledger: Ledger, people: People) -> None:
        super().__init__(piece, targets, tab, ledger, people)
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

    def _wrapped(self, element: Element) -> None:
        name, before = local(element), self._stack
        if name == "choice":
            self._changed(element)
            return
        if name == "supplied":
            self._stack = Hand(Act.ADDED, before.doubtful)
        elif name == "unclear":
            self._stack = Hand(before.act, True)
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
        before, self._stack = self._stack, Hand(Act.REMOVED)
        for child in was:
            self._one(child)
        self._stack = before
