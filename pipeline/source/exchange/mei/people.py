"""Who answers for what: editors by their initials, sources by their sigla."""

from __future__ import annotations

import re

from pipeline.source.exchange.drafts import PieceDraft
from pipeline.source.exchange.ledger import Ledger
from pipeline.source.exchange.mei.tree import Element, references

_SIGLUM = re.compile(r"[A-Z][A-Za-z0-9]*", re.ASCII)
#: Who says what nobody is named for.
UNNAMED = "ED"


def siglum_of(ident: str, kind: str) -> str:
    """The siglum in an id such as ``source-A``; empty if there is none in it."""
    text = ident.removeprefix(f"{kind}-")
    return text if _SIGLUM.fullmatch(text) else ""


class People:
    """The editors and sources of a piece, by the ids that the document gives them."""

    def __init__(self, piece: PieceDraft) -> None:
        self._piece = piece
        self.editors: dict[str, str] = {}
        self.sources: dict[str, str] = {}

    def who(self, element: Element, ledger: Ledger) -> str:
        """The initials of those that an element names; else those of the first editor, or of an unnamed one."""
        named = [self.editors[each] for each in references(element, "resp") if each in self.editors]
        if named:
            return named[0]
        if self._piece.editors:
            return self._piece.editors[0][0]
        self._piece.editors.append((UNNAMED, "the editor of the file"))
        ledger.assume(f"The file does not say who wrote its notes; they are signed {UNNAMED}.")
        return UNNAMED

    def siglum(self, reading: Element, ledger: Ledger) -> str:
        """The siglum of the source of a reading; a source that the head does not describe gets one."""
        for ident in references(reading, "source", "wit"):
            if ident in self.sources:
                return self.sources[ident]
        ident = next(iter(references(reading, "source", "wit")), "")
        return self.add_source(ident, ident or "a source that the file does not name", ledger)

    def add_source(self, ident: str, text: str, ledger: Ledger) -> str:
        """A new source with its siglum: that of its id, else the next free letter."""
        known = {siglum for siglum, _ in self._piece.sources}
        wanted = siglum_of(ident, "source")
        free = [letter for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if letter not in known]
        siglum = wanted if wanted and wanted not in known else next(iter(free), f"Z{len(known)}")
        if siglum != wanted:
            ledger.assume(f"The source “{text}” is called {siglum}.")
        self._piece.sources.append((siglum, text))
        self.sources[ident] = siglum
        return siglum
