"""``meiHead`` and ``facsimile``: title, composer, editors, sources, images."""

from __future__ import annotations

import re

from pipeline.source.exchange.drafts import PieceDraft
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.mei.people import People, siglum_of
from pipeline.source.exchange.mei.tree import ID, Element, children, first, inside, local, words

#: Parts of a head that say something of the file, not of the piece.
_OF_THE_FILE = frozenset({"encodingDesc", "revisionDesc", "extMeta", "appInfo", "altId", "seriesStmt"})
#: Parts of the description of a source that have an element of their own: its name, its kind, how it is typed.
_PARTS = (("identifier", "shelfmark", "shelfmark"), ("date", "source", "date"), ("annot", "state", "state"))
_VERSION, _DAY = re.compile(r"\d+(?:\.\d+)*"), re.compile(r"\d{4}-\d\d-\d\d")
_ADDRESS = re.compile(r"https?://[^\s,\"<>]+")
#: The corners of a zone, each with the corner of its surface that it is measured against.
_CORNERS = (("ulx", "lrx"), ("uly", "lry"), ("lrx", "lrx"), ("lry", "lry"))
#: Digits of no length in pixels; percent.
_LONG, _ALL = 9, 100
_IMAGE = re.compile(r"(?!/)(?!\w+:)[^;]+\.(?:png|jpe?g|webp)", re.IGNORECASE)


def read_head(root: Element, piece: PieceDraft, people: People, ledger: Ledger) -> None:
    head = first(root, "meiHead")
    if head is None:
        return
    statement = first(head, "fileDesc", "titleStmt")
    work = next(inside(head, "work"), None)
    piece.title = _said(statement, "title") or _said(work, "title") or _said(first(work, "titleStmt"), "title")
    piece.composer = _composer(head)
    for editor in inside(head, "editor"):
        _add_editor(editor, piece, people)
    for source in inside(head, "source"):
        _add_source(source, people, ledger)
    _read_publication(first(head, "fileDesc"), piece, ledger)
    for annotation in inside(head, "notesStmt"):
        piece.remarks.extend(filter(None, (words(note) for note in children(annotation, "annot"))))
    description = first(head, "fileDesc")
    for part in (*head, *(description if description is not None else ())):
        if local(part) in _OF_THE_FILE and words(part):
            ledger.lose("what the head says of the file itself", line_of(part), f"<{local(part)}>")


def _said(element: Element | None, name: str) -> str:
    return next(filter(None, (words(child) for child in children(element, name))), "") if element is not None else ""


def _composer(head: Element) -> str:
    for name in ("composer", "creator", "arranger"):
        for element in inside(head, name):
            if words(element):
                return words(element)
    for person in inside(head, "persName"):
        if person.get("role") in ("composer", "cmp", "creator") and words(person):
            return words(person)
    return ""


def _add_editor(element: Element, piece: PieceDraft, people: People) -> None:
    name = words(element)
    own = siglum_of(element.get(ID) or "", "editor") if (element.get(ID) or "").startswith("editor-") else ""
    initials = own or "".join(word[0] for word in name.split() if word[0].isascii() and word[0].isupper())
    if not name or not initials:
        return
    known = {each for each, _ in piece.editors}
    number = 2
    wanted = initials
    while wanted in known:
        wanted, number = f"{initials}{number}", number + 1
    piece.editors.append((wanted, name))
    people.editors[element.get(ID) or name] = wanted


def _add_source(element: Element, people: People, ledger: Ledger) -> None:
    parent = element.getparent()
    if parent is None or local(parent) not in ("sourceDesc", "sourceList"):
        return
    text = _described(first(element, "bibl")) or _said(first(element, "titleStmt"), "title") or words(element)
    if text:
        people.add_source(element.get(ID) or "", text, ledger)


def _described(bibl: Element | None) -> str:
    """What a source is, with its shelfmark, date and state behind it where they stand in elements of their own."""
    if bibl is None:
        return ""
    parts = [(word, words(part)) for local_name, kind, word in _PARTS for part in children(bibl, local_name)
             if part.get("type") == kind]  # fmt: skip
    if not parts:
        return words(bibl)
    own = " ".join((bibl.text or "").split())
    return ", ".join([own, *(f"{word} {text}" for word, text in parts if text)])


def _read_publication(description: Element | None, piece: PieceDraft, ledger: Ledger) -> None:
    """The version of the text with its day, and its licence; what else is said of the publication is lost."""
    edition = first(description, "editionStmt", "edition")
    date = first(edition, "date")
    day = (date.get("isodate") or "") if date is not None else ""
    version = (edition.get("n") or "") if edition is not None else ""
    if _VERSION.fullmatch(version) and _DAY.fullmatch(day):
        piece.edition = f"{version}, {day}"
    elif edition is not None and words(edition):
        ledger.lose("what the head says of the file itself", line_of(edition), "<edition>")
    statement = first(description, "pubStmt")
    terms = first(statement, "availability", "useRestrict")
    if terms is not None:
        reference = first(terms, "ref")
        address = (reference.get("target") or "") if reference is not None else ""
        text = " ".join((terms.text or "").split()).replace(",", "")
        piece.licence = f"{text}, {address}" if _ADDRESS.fullmatch(address) else text
    for part in statement if statement is not None else ():
        known = local(part) == "availability" or (local(part) == "date" and (part.get("isodate") or "") == day)
        if not known and words(part):
            ledger.lose("what the head says of the file itself", line_of(part), f"<{local(part)}>")


def read_canvases(root: Element, piece: PieceDraft) -> None:
    """Addresses of canvases (IIIF), by the folio that their surface is of."""
    for surface in inside(root, "surface"):
        folio = "".join((surface.get("label") or "").removeprefix("f. ").split())
        for graphic in inside(surface, "graphic"):
            target = graphic.get("target") or ""
            if graphic.get("type") == "iiif-canvas" and folio and _ADDRESS.fullmatch(target):
                piece.canvases.append((folio, target))


def read_images(root: Element, piece: PieceDraft, ledger: Ledger) -> None:
    """Images of the source that lie beside the file, by the folio that a page break names them for."""
    targets: dict[str, str] = {}
    zones: dict[str, str] = {}
    for surface in inside(root, "surface"):
        zones[surface.get(ID) or ""] = _systems(surface, ledger)
        graphic = next((one for one in inside(surface, "graphic") if one.get("type") != "iiif-canvas"), None)
        if graphic is not None:
            targets[surface.get(ID) or ""] = graphic.get("target") or ""
    for page in inside(root, "pb"):
        own = (page.get("facs") or "").removeprefix("#")
        target = targets.pop(own, "")
        folio = "".join((page.get("n") or "").split())
        if target and folio and _IMAGE.fullmatch(target) and ".." not in target:
            piece.facsimiles.append((folio, target))
            piece.systems.extend([(folio, zones[own])] if zones[own] else [])
        elif target:
            ledger.lose("images that are not files beside it", line_of(page), target[:100])
    for target in targets.values():
        ledger.lose("images that no page break names a folio for", 1, target[:100] or "an image without a name")


def _systems(surface: Element, ledger: Ledger) -> str:
    """Where the systems of a surface lie, as a heading has it: zones as wide as each other, one below another."""
    found: dict[float, tuple[float, float, float]] = {}
    for zone in inside(surface, "zone"):
        left, top, right, bottom = (_share(zone, near, surface, far) for near, far in _CORNERS)
        if (
            zone.get("type") == "system"
            and 0 <= left < right <= _ALL
            and 0 <= top < bottom <= _ALL
            and top not in found
        ):
            found[top] = (bottom, left, right)
        else:
            ledger.lose("zones on images", line_of(zone), f"<zone> {zone.get('type') or ''}".strip())
    across = {(left, right) for _, left, right in found.values()}
    if len(across) > 1:
        ledger.lose("how wide each zone of an image is", line_of(surface), "<zone>")
    said = [f"{top:g}-{bottom:g}" for top, (bottom, _, _) in sorted(found.items())]
    if len(across) == 1 and across != {(0, _ALL)}:
        said += [f"across {left:g}-{right:g}" for left, right in across]
    return ", ".join(said)


def _share(zone: Element, name: str, surface: Element, far: str) -> float:
    """A corner of a zone in percent of its surface, whose own corner lies at 0; -1 where it is not said."""
    at, whole = zone.get(name) or "", surface.get(far) or ""
    if not (at.isdecimal() and whole.isdecimal() and len(at) < _LONG and len(whole) < _LONG and int(whole)):
        return -1
    return round(_ALL * int(at) / int(whole), 2)
