"""Editorial markup around elements that stand in the document already."""

from __future__ import annotations

from pipeline.model.apparatus import Entry, Kind
from pipeline.model.signs import Sign
from pipeline.writers.mei.names import METER_SIG, SUPPLIED, UNCLEAR, XML_ID, Element, name, sub
from pipeline.writers.mei.tablature import NO_COURSE

APP, LEM, RDG, GAP = name("app"), name("lem"), name("rdg"), name("gap")
CHOICE, CORR, SIC = name("choice"), name("corr"), name("sic")
_WRAPS = frozenset({SUPPLIED, UNCLEAR, CHOICE, CORR, APP, LEM})
REASONS = {Kind.ADDED: "omitted", Kind.SUPPLIED_ILLEGIBLE: "illegible", Kind.SUPPLIED_LOST: "lost"}
UNREAD = {Kind.ILLEGIBLE: "illegible", Kind.LOST: "lost"}


def resp(entry: Entry) -> dict[str, str]:
    """``resp``: those who are answerable."""
    who = [initials.strip() for initials in entry.who.split(",") if initials.strip()]
    return {"resp": " ".join(f"#editor-{initials}" for initials in who)} if who else {}


def outermost(element: Element) -> Element:
    """The element with all editorial markup around it."""
    parent = element.getparent()
    while parent is not None and parent.tag in _WRAPS:
        element, parent = parent, parent.getparent()
    return element


def around(element: Element, outer: str, inner: str, attributes: dict[str, str]) -> Element:
    """Put ``outer`` with ``inner`` around an element; returns ``outer``."""
    parent = element.getparent()
    assert parent is not None
    made = parent.makeelement(outer)
    parent.replace(element, made)
    sub(made, inner, attributes).append(element)
    return made


def emended(element: Element, entry: Entry) -> Element:
    """``choice`` around an element, which is the correction; returns the ``sic`` to be filled."""
    if element.tag == CHOICE and (sic := element.find(SIC)) is not None and not len(sic):
        return sic
    return sub(around(element, CHOICE, CORR, resp(entry)), SIC)


def held(layer: Element, outer: str, inner: str, attributes: dict[str, str]) -> Element:
    """``outer`` with ``inner`` around all that a layer holds but its printed metre."""
    children = [child for child in layer if child.tag != METER_SIG]
    made = sub(layer, outer)
    sub(made, inner, attributes).extend(children)
    return made


def unread(note: Element, entry: Entry) -> Element:
    """Where nothing can be read a ``gap`` stands, with the name of the figure and the number of its course; where only
    the line cannot be made out, the figure is unclear. Returns what has the name now."""
    parent = note.getparent()
    assert parent is not None
    if isinstance(entry.was, Sign):
        made = parent.makeelement(UNCLEAR, {"reason": UNREAD[entry.kind], **resp(entry)})
        parent.replace(note, made)
        made.append(note)
        note.set("type", "no-course")
        return note
    course = note.get("tab.course", "")
    named = {XML_ID: note.get(XML_ID, "")} | ({"n": course} if course != str(NO_COURSE) else {})
    gap = parent.makeelement(GAP, {**named, "reason": UNREAD[entry.kind], "extent": "1 sign", **resp(entry)})
    parent.replace(note, gap)
    return gap


def qualified(note: Element, entry: Entry) -> bool:
    """Says why, and who, at the markup that stands around a supplied or doubtful figure already."""
    wanted = UNCLEAR if entry.kind is Kind.DOUBTFUL else SUPPLIED
    holder = next((each for each in note.iterancestors(wanted)), None)
    if holder is None or entry.kind not in (*REASONS, Kind.DOUBTFUL):
        return False
    for key, value in resp(entry).items():
        holder.set(key, value)
    if entry.kind in REASONS:
        holder.set("reason", REASONS[entry.kind])
    else:
        holder.set("cert", "low")
    return True


def wrapped(element: Element, entry: Entry) -> bool:
    """``supplied`` or ``unclear`` around an element."""
    parent = element.getparent()
    if parent is None or entry.kind not in (*REASONS, Kind.DOUBTFUL):
        return False
    attributes = resp(entry)
    if entry.kind in REASONS:
        attributes["reason"] = REASONS[entry.kind]
    else:
        attributes["cert"] = "low"
    made = parent.makeelement(UNCLEAR if entry.kind is Kind.DOUBTFUL else SUPPLIED, attributes)
    parent.replace(element, made)
    made.append(element)
    return True
