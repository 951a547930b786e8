"""What a score says about itself: title, composer, editors, sources, remarks."""

from __future__ import annotations

import re
from fractions import Fraction

from pipeline.source.exchange.drafts import PieceDraft
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.musicxml.tree import Element, text

_SOURCE = re.compile(r"(?P<siglum>[A-Z][A-Za-z0-9]{0,5}): (?P<text>[^;]+)", re.ASCII)
#: So many of a printed value for so many of the score's.
_VALUES = re.compile(r"[1248]:[1248]")
_PITCH = re.compile(r"A4 = (?P<hertz>[3-5][0-9]{2}(?:\.[0-9]{1,3})?) Hz")


def read_head(root: Element, piece: PieceDraft, ledger: Ledger) -> None:
    identification = root.find("identification")
    piece.title = text(root, "work/work-title") or text(root, "movement-title") or text(root, "work/work-number")
    if text(root, "work/work-title") and text(root, "movement-title"):
        piece.title = f"{text(root, 'work/work-title')}: {text(root, 'movement-title')}"
    for creator in root.iterfind("identification/creator"):
        said = text(creator)
        if creator.get("type") == "composer" and said and not piece.composer:
            piece.composer = said
        elif creator.get("type") == "editor" and said:
            _editor(said, piece)
        elif said:
            ledger.lose("creators other than composer and editor", line_of(creator), said[:80])
    _sources(text(identification, "source"), piece, ledger)
    for field in root.iterfind("identification/miscellaneous/miscellaneous-field"):
        name, said = field.get("name") or "", text(field)
        found = _PITCH.fullmatch(said)
        if name == "remark" and said:
            piece.remarks.append(said)
        elif name == "pitch standard" and found is not None:
            piece.pitch = found["hertz"]
        elif name == "values" and _VALUES.fullmatch(said):
            printed, _, written = said.partition(":")
            piece.ratio = Fraction(int(written), int(printed))
        elif name != "instrument" and said:
            ledger.lose("fields of the head", line_of(field), f"{name}: {said[:80]}")
    credits_ = root.findall("credit")
    if credits_:
        what = "words of the title, and of the foot of the page, that the head does not say"
        ledger.lose(what, line_of(credits_[0]), f"{len(credits_)} credits")
    for rights in root.iterfind("identification/rights"):
        ledger.lose("rights", line_of(rights), text(rights)[:80])


def _editor(name: str, piece: PieceDraft) -> None:
    initials = "".join(word[0] for word in name.split() if word[0].isascii() and word[0].isupper())
    if initials and all(known != initials for known, _ in piece.editors):
        piece.editors.append((initials, name))


def _sources(said: str, piece: PieceDraft, ledger: Ledger) -> None:
    """``A: one; B: another``; a source without a siglum is called A."""
    found = [(each["siglum"], each["text"].strip()) for each in _SOURCE.finditer(said)]
    if not found and said:
        ledger.assume(f"The source “{said[:80]}” is called A.")
        found = [("A", said)]
    piece.sources.extend(found)
