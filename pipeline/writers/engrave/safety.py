"""What the engraver must be spared: it never comes back from some documents, and dies of others.

Also taken out here are the signs that the project draws by itself, in their right places (:mod:`.overlay`).
"""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from pipeline.writers.engrave.gaps import open_gaps
from pipeline.writers.engrave.paper import UNIT_MM

_MEI = "{http://www.music-encoding.org/ns/mei}"
_STAFF, _NOTE, _CHORD, _TAB_GRP = _MEI + "staff", _MEI + "note", _MEI + "chord", _MEI + "tabGrp"
_STAFF_DEF = _MEI + "staffDef"
_ANNOT = _MEI + "annot"
_DIR = _MEI + "dir"
_MAY_GO = (_ANNOT, *(_MEI + name for name in ("slur", "artic", "fing", "ornam", "dir")))

#: Words in ``type`` that mark what the overlay draws.
_OWN = {"tablature", "beside"}


class UnsafeDocumentError(ValueError):
    """The document would hang or kill the engraver; this is a fault of the writer."""


@dataclass(frozen=True, slots=True)
class Drawable:
    """A document as it may be given to the engraver, and the size of print that it asks for (1 = usual)."""

    mei: str
    size: float


def drawable(mei: bytes) -> Drawable:
    """The document without what the engraver must not see.

    Raises UnsafeDocumentError if it may not, lxml.etree.XMLSyntaxError if it is no XML.
    """
    root = etree.fromstring(mei)
    danger = _danger(root)
    if danger:
        raise UnsafeDocumentError(f"the engraver cannot draw {danger}")
    size = _size(root)
    changed = [open_gaps(root), _take_out(root), _with_air(root), _lines_only(root)]
    if not any(changed):
        return Drawable(mei.decode(), size)
    return Drawable(etree.tostring(root, encoding="unicode"), size)


def _danger(root: etree._Element) -> str:
    """What makes the document unsafe, or nothing."""
    tablature = {
        definition.get("n")
        for definition in root.iter(_STAFF_DEF)
        if (definition.get("notationtype") or "").startswith("tab")
    }
    for staff in root.iter(_STAFF):
        if staff.get("n") not in tablature:
            if next(staff.iter(_TAB_GRP), None) is not None:
                return "tablature on a staff that is none"
            continue
        for element in staff.iter(_NOTE, _CHORD):
            if element.tag == _CHORD:
                return "a staff chord on the tablature staff"
            if element.get("tab.course") is None:
                in_group = next(element.iterancestors(_TAB_GRP), None) is not None
                return "a tablature note without a course" if in_group else "a staff note on the tablature staff"
    if next(root.iter(_MEI + "beamSpan"), None) is not None:
        return "a beam span"
    if any(note.get("head.shape") is not None for note in root.iter(_NOTE)):
        return "a notehead of its own shape"
    return ""


def _size(root: etree._Element) -> float:
    """The declared height of a unit against the usual one."""
    heights = (element.get("vu.height", "") for element in root.iter(_MEI + "scoreDef"))  # incipits have none
    declared = next(filter(None, heights), "")
    if not declared.endswith("mm"):
        return 1.0
    return round(float(declared.removesuffix("mm")) / UNIT_MM, 3)


def _with_air(root: etree._Element) -> bool:
    """Marks of folios keep clear of the figure that they stand before."""
    marks = [element for element in root.iter(_DIR) if element.get("type") == "folio"]
    for element in marks:
        element[0].text = f"{element[0].text}\u00a0"
    return bool(marks)


def _lines_only(root: etree._Element) -> bool:
    """A page begins a line too; the project sets the lines on pages by itself."""
    pages = list(root.iter(_MEI + "pb"))
    for element in pages:
        element.tag = _MEI + "sb"
    return bool(pages)


def _take_out(root: etree._Element) -> bool:
    """Remove what the overlay draws (slurs, dots, fingering, ornaments, letters), and notes, which print nothing."""
    taken = False
    for element in list(root.iter(*_MAY_GO)):
        parent = element.getparent()
        if parent is not None and (element.tag == _ANNOT or _OWN & set(element.get("type", "").split())):
            parent.remove(element)
            taken = True
    return taken
