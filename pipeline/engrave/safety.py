"""What the engraver must be spared: it never comes back from some documents, and dies of others.

Also taken out here are the signs that the project draws by itself, in their right places (:mod:`.overlay`).
"""

from __future__ import annotations

from lxml import etree

_NS = {"m": "http://www.music-encoding.org/ns/mei"}
_MEI = "{http://www.music-encoding.org/ns/mei}"
_NO_COURSE = etree.XPath("boolean(//m:tabGrp//m:note[not(@tab.course)])", namespaces=_NS)
_STAFF_NOTE_ON_TAB = etree.XPath(
    "boolean(//m:staff[@n='1']/m:layer//m:chord | //m:staff[@n='1']/m:layer//m:note[not(ancestor::m:tabGrp)])",
    namespaces=_NS,
)
_BEAM_SPAN = etree.XPath("boolean(//m:beamSpan)", namespaces=_NS)
_HEAD_SHAPE = etree.XPath("boolean(//@head.shape)", namespaces=_NS)


#: Words in ``type`` that mark what the overlay draws.
_OWN = {"tablature", "beside"}


class UnsafeDocumentError(ValueError):
    """The document would hang or kill the engraver; this is a fault of the writer."""


def drawable(mei: bytes) -> str:
    """The document as it may be given to the engraver.

    Raises UnsafeDocumentError if it may not, lxml.etree.XMLSyntaxError if it is no XML.
    """
    root = etree.fromstring(mei)
    for test, what in (
        (_NO_COURSE, "a tablature note without a course"),
        (_STAFF_NOTE_ON_TAB, "a staff note on the tablature staff"),
        (_BEAM_SPAN, "a beam span"),
        (_HEAD_SHAPE, "a notehead of its own shape"),
    ):
        if test(root):
            raise UnsafeDocumentError(f"the engraver cannot draw {what}")
    if not _take_out(root):
        return mei.decode()
    return etree.tostring(root, encoding="unicode")


def _take_out(root: etree._Element) -> bool:
    """Remove what the overlay draws: slurs, dots, fingering, ornaments and footnote letters."""
    taken = False
    for element in list(root.iter(_MEI + "slur", _MEI + "artic", _MEI + "fing", _MEI + "ornam", _MEI + "dir")):
        parent = element.getparent()
        if parent is not None and _OWN & set(element.get("type", "").split()):
            parent.remove(element)
            taken = True
    return taken
