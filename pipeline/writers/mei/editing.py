"""The archive's form of the document: every reading of the apparatus as markup at its place.

``choice`` with ``corr`` and ``sic`` where the source is emended or something is left out, ``supplied``, ``unclear``
and ``gap`` where it cannot be read, ``app`` with ``lem`` and ``rdg`` where another source is collated, ``annot`` for
all that has no element of its own. The engraver is never shown this form.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from pipeline.model.apparatus import OF_THE_READING, Apparatus, Entry, Kind, Subject
from pipeline.model.layers import LayerPitch
from pipeline.model.score import Score
from pipeline.model.tablature import Barline
from pipeline.model.time import Value
from pipeline.model.xmltext import legal
from pipeline.writers.mei.names import (
    ANNOT,
    LAYER,
    MEASURE,
    NOTE,
    ORNAM,
    REND,
    SLUR,
    SPACE,
    STAFF,
    TAB_DUR_SYM,
    TAB_GRP,
    XML_ID,
    Element,
    sub,
)
from pipeline.writers.mei.numbers import staff_numbers
from pipeline.writers.mei.titles import source_id, write_editorial_declaration
from pipeline.writers.mei.witness import with_value, write_bar, write_line, write_pitch, write_sign, write_signs
from pipeline.writers.mei.wraps import (
    APP,
    CHOICE,
    CORR,
    GAP,
    LEM,
    RDG,
    REASONS,
    SIC,
    UNREAD,
    around,
    emended,
    held,
    outermost,
    qualified,
    resp,
    unread,
    wrapped,
)

_Names = dict[str, Element]
_GROUP = re.compile(r"g-b(\d+)e(\d+)")


def mark_readings(root: Element, apparatus: Apparatus, score: Score) -> None:
    """Put the apparatus into a finished document: that of the lines that it shows and, in the edition, the tablature's.

    Readings of other sources are put around the edition's own last, so that they hold whatever was done there.
    """
    write_editorial_declaration(root, apparatus)
    entries = [entry for entry in apparatus.entries if (score.vocal if entry.part else not score.copy)]
    wanted = {wanted for entry in entries for wanted in _ids(entry)}
    bars = {entry.number for entry in entries if _sign_removed(entry)}
    found: _Names = {}
    for element in root.iter(NOTE, TAB_GRP, SPACE, MEASURE):
        own = element.get(XML_ID, "")
        if own in wanted or (bars and element.tag == TAB_GRP and _place(own)[0] in bars):
            found[own] = element
    marker = _Marker(found, score, _by_target(root) if any(entry.subject in _SPANS for entry in entries) else {})
    for entry in sorted(entries, key=lambda entry: (entry.kind is Kind.VARIANT, _DEPTH.get(entry.subject, 0))):
        marker.mark(entry)


_SPANS = (Subject.MARK, Subject.SLUR)
#: The inner before the outer: what the source has of a group is a copy of it with its figures marked.
_DEPTH = {Subject.RHYTHM: 1, Subject.BAR: 2}


def _ids(entry: Entry) -> tuple[str, ...]:
    event = f"g-b{entry.number}e{entry.event}" if entry.event else ""
    return (f"t-{entry.at}", f"n-{entry.at}", f"g-{entry.at}", event, entry.at, f"m{entry.number}")


def _sign_removed(entry: Entry) -> bool:
    return entry.subject is Subject.SIGN and entry.kind is Kind.REMOVED


def _place(group: str) -> tuple[int, int]:
    """The bar and the event that the name of a group says, ``g-b1e2``; 0 and 0 for any other element."""
    found = _GROUP.fullmatch(group)
    return (int(found[1]), int(found[2])) if found else (0, 0)


def _by_target(root: Element) -> dict[str, list[Element]]:
    """Ornaments and slurs of the tablature by the figure that they stand at or lead to."""
    found: dict[str, list[Element]] = {}
    for element in root.iter(ORNAM, SLUR):
        if "tablature" in element.get("type", "").split():
            target = element.get("endid" if element.tag == SLUR else "startid", "")
            found.setdefault(f"{element.tag}{target}", []).append(element)
    return found


class _Marker:
    """Marks one entry after the other in a document whose elements are known by their ids."""

    def __init__(self, found: _Names, score: Score, targets: dict[str, list[Element]]) -> None:
        self._found = found
        self._heading = score.heading
        self._copy = score.copy
        self._tab = staff_numbers(score).tab
        self._targets = targets
        self._apps: dict[Element, Element] = {}
        self._gone: _Names = {}
        self._last: dict[int, int] = {}
        for own in found:
            number, event = _place(own)
            self._last[number] = max(event, self._last.get(number, 0))
        self._ways: dict[Subject, Callable[[Entry], bool]] = {
            Subject.SIGN: self._sign,
            Subject.EVENT: self._event,
            Subject.RHYTHM: self._rhythm,
            Subject.MARK: self._ornament,
            Subject.SLUR: self._slur,
            Subject.BAR_LINE: self._line,
            Subject.BAR: self._bar,
            Subject.EVENT: self._event,
            Subject.NOTE: self._note,
        }

    def mark(self, entry: Entry) -> None:
        """The element that says it, or else a note in the measure."""
        way = self._ways.get(entry.subject)
        if entry.kind in OF_THE_READING or way is None or not way(entry):
            self._annotate(entry)
        elif entry.reason and entry.kind is not Kind.VARIANT:
            self._explain(entry)

    # --- figures ------------------------------------------------------------------------------------------

    def _sign(self, entry: Entry) -> bool:
        if entry.kind is Kind.REMOVED:
            return self._removed_sign(entry)
        note = self._found.get(f"t-{entry.at}")
        if note is None:
            return False
        if entry.kind is Kind.EMENDED:
            write_sign(emended(outermost(note), entry), entry.was)
        elif entry.kind is Kind.VARIANT:
            self._variant(outermost(note), entry, lambda reading: write_signs(reading, entry.was))
        elif entry.kind in UNREAD:
            self._found[f"t-{entry.at}"] = unread(note, entry)
        else:
            return qualified(note, entry)
        return True

    def _removed_sign(self, entry: Entry) -> bool:
        group = self._found.get(f"g-b{entry.number}e{entry.event}")
        if group is None:
            return self._removed_event(entry)
        if group.tag == TAB_GRP:
            choice = sub(group, CHOICE)
            sub(choice, CORR, resp(entry))
            write_sign(sub(choice, SIC), entry.was)
            return True
        blank = outermost(group)
        sic = blank.find(f"{SIC}/{TAB_GRP}")
        if sic is None:
            sic = sub(emended(blank, entry), TAB_GRP)
            for key in ("dur", "dots"):
                if group.get(key):
                    sic.set(key, group.get(key, ""))
        write_sign(sic, entry.was)
        return True

    def _removed_event(self, entry: Entry) -> bool:
        """An event that the edition leaves out has no group of its own: it stands beside the one next to it."""
        gone = self._gone.get(f"b{entry.number}e{entry.event}")
        if gone is None:
            gone = self._beside(entry)
        if gone is None:
            return False
        write_sign(gone, entry.was)
        return True

    def _beside(self, entry: Entry) -> Element | None:
        """The empty group of a whole event of the source, with the value that is in force there."""
        before = [f"b{entry.number}e{event}" for event in range(entry.event - 1, 0, -1)]
        after = [f"b{entry.number}e{event}" for event in range(entry.event + 1, self._last.get(entry.number, 0) + 1)]
        near = next((own for own in (*before, *after) if own in self._gone or f"g-{own}" in self._found), None)
        if near is None:
            return None
        gone = self._gone.get(near)
        group = self._found[f"g-{near}"] if gone is None else gone
        choice = group.makeelement(CHOICE)
        sub(choice, CORR, resp(entry))
        timing = {key: group.get(key, "") for key in ("dur", "dots") if group.get(key)}
        made = self._gone[f"b{entry.number}e{entry.event}"] = sub(sub(choice, SIC), TAB_GRP, timing)
        stands = outermost(group) if gone is None else next(gone.iterancestors(CHOICE))
        (stands.addnext if near in before else stands.addprevious)(choice)
        return made

    # --- rhythm signs -------------------------------------------------------------------------------------

    def _rhythm(self, entry: Entry) -> bool:
        group = self._found.get(f"g-{entry.at}")
        if group is None or group.tag != TAB_GRP:
            return False
        stem = self._heading.plain_stem
        was = entry.was if isinstance(entry.was, Value) else None
        if entry.kind is Kind.VARIANT:
            if isinstance(entry.was, tuple):
                return self._event(entry)
            if was is None:
                self._variant(outermost(group), entry, lambda reading: None)
            else:
                self._variant(outermost(group), entry, lambda reading: reading.append(with_value(group, was, stem)))
        elif entry.kind in (Kind.EMENDED, Kind.REMOVED, Kind.ADDED):
            source = with_value(group, was, stem)
            emended(outermost(group), entry).append(source)
        elif entry.kind in REASONS:
            source = with_value(group, None, stem)
            source.insert(0, source.makeelement(GAP, {"reason": REASONS[entry.kind], "extent": "1 rhythm sign"}))
            emended(outermost(group), entry).append(source)
        elif entry.kind in UNREAD:
            sub(group, GAP, {"reason": UNREAD[entry.kind], "extent": "1 rhythm sign"})
        else:
            return False
        return True

    # --- ornaments, slurs, bar lines ------------------------------------------------------------------------

    def _ornament(self, entry: Entry) -> bool:
        there = self._targets.get(f"{ORNAM}#t-{entry.at}", [])
        if entry.kind in (Kind.REMOVED, Kind.EMENDED):
            declared = self._heading.mark(entry.was) if isinstance(entry.was, str) else None
            measure = self._found.get(f"m{entry.number}")
            if declared is None or measure is None or (entry.kind is Kind.EMENDED and len(there) != 1):
                return False
            if entry.kind is Kind.EMENDED:
                sic = emended(there[0], entry)
            else:
                choice = sub(measure, CHOICE)
                sub(choice, CORR, resp(entry))
                sic = sub(choice, SIC)
            ornament = sub(sic, ORNAM, {"startid": f"#t-{entry.at}", "type": "tablature"})
            sub(ornament, REND).text = legal(declared.printed)
            return True
        return len(there) == 1 and wrapped(there[0], entry)

    def _slur(self, entry: Entry) -> bool:
        there = self._targets.get(f"{SLUR}#t-{entry.at}", [])
        if entry.kind is Kind.REMOVED:
            measure = self._found.get(f"m{entry.number}")
            if measure is None or f"t-{entry.at}" not in self._found:
                return False
            choice = sub(measure, CHOICE)
            sub(choice, CORR, resp(entry))
            sub(sub(choice, SIC), SLUR, {"endid": f"#t-{entry.at}", "type": "tablature"})
            return True
        return len(there) == 1 and wrapped(there[0], entry)

    def _line(self, entry: Entry) -> bool:
        """A bar line that is left out stands inside the layer; one that is added is the measure's own, and noted."""
        group = self._found.get(f"g-b{entry.number}e{entry.event}")
        if entry.kind is not Kind.REMOVED or group is None or not isinstance(entry.was, Barline):
            return False
        choice = group.makeelement(CHOICE)
        sub(choice, CORR, resp(entry))
        write_line(sub(choice, SIC), entry.was)
        outermost(group).addnext(choice)
        return True

    def _event(self, entry: Entry) -> bool:
        """The whole event as another source has it; with its sign in force, where it prints none."""
        group = self._found.get(f"g-{entry.at}")
        items = entry.was
        if group is None or entry.kind is not Kind.VARIANT or not isinstance(items, tuple):
            return False

        def write(reading: Element) -> None:
            write_bar(reading, items, self._heading.plain_stem)
            for other in reading.iterchildren(TAB_GRP):
                if other.find(TAB_DUR_SYM) is None:
                    for key in ("dur", "dots"):
                        other.attrib.pop(key, "")
                        if group.get(key):
                            other.set(key, group.get(key, ""))

        self._variant(outermost(group), entry, write)
        return True

    # --- whole bars -----------------------------------------------------------------------------------------

    def _bar(self, entry: Entry) -> bool:
        measure = self._found.get(f"m{entry.number}")
        if measure is None:
            return False
        if entry.kind is Kind.LOST:
            extent = {"extent": f"{entry.was} bars"} if isinstance(entry.was, int) and entry.was else {}
            measure.addprevious(measure.makeelement(GAP, {"reason": "lost", **extent}))
            return False  # and a note says what the editor knows of it
        layer = measure.find(f"{STAFF}[@n='{self._tab}']/{LAYER}") if self._tab else None
        if layer is None or not isinstance(entry.was, tuple):
            return False
        items, stem = entry.was, self._heading.plain_stem
        if entry.kind is Kind.EMENDED:
            write_bar(sub(held(layer, CHOICE, CORR, resp(entry)), SIC), items, stem)
            return True
        app = self._apps.get(layer)
        if app is None:
            app = self._apps[layer] = held(layer, APP, LEM, {})
        write_bar(sub(app, RDG, {"source": f"#{source_id(entry.siglum)}"}), items, stem)
        return True

    # --- other sources, lines, notes ------------------------------------------------------------------------

    def _variant(self, element: Element, entry: Entry, write: Callable[[Element], None]) -> None:
        """``rdg`` in the ``app`` around an element; words that are no sign stand in its ``label``."""
        app = element if element.tag == APP else around(element, APP, LEM, {})
        reading = sub(app, RDG, {"source": f"#{source_id(entry.siglum)}"})
        write(reading)
        if not len(reading):
            reading.set("label", legal(entry.source))

    def _note(self, entry: Entry) -> bool:
        """A note of a line; in a singer's copy what the source has there is said in words, for the copy may stand in
        another key."""
        note = self._found.get(entry.at)
        if note is None:
            return False
        if entry.kind in (*REASONS, Kind.DOUBTFUL):
            return wrapped(note, entry)
        if entry.kind is Kind.EMENDED and isinstance(entry.was, LayerPitch) and not self._copy:
            write_pitch(emended(outermost(note), entry), entry.was, note)
            return True
        return False

    def _annotate(self, entry: Entry) -> None:
        """All that is to be said of an entry that no element could say."""
        attributes = {"source": f"#{source_id(entry.siglum)}"} if entry.siglum else {}
        self._note_at(entry, _token(entry.kind.value), _sentence(entry), attributes)

    def _explain(self, entry: Entry) -> None:
        """The reason of a reading that stands as markup at its place."""
        self._note_at(entry, "reason", entry.reason, {})

    def _note_at(self, entry: Entry, kind: str, text: str, more: dict[str, str]) -> None:
        measure = self._found.get(f"m{entry.number}")
        if measure is None:
            return
        names = [own for own in (f"n-{entry.at}", f"t-{entry.at}", f"g-{entry.at}", entry.at) if own in self._found]
        attributes = {"type": f"apparatus {kind}"}
        attributes["plist"] = " ".join(f"#{own}" for own in names or [f"m{entry.number}"])
        sub(measure, ANNOT, attributes | resp(entry) | more).text = legal(text)


def _sentence(entry: Entry) -> str:
    said = ": ".join(part for part in (f"{entry.subject.value}, {entry.kind.value}", entry.source) if part)
    here = f"; here {entry.here}" if entry.here else ""
    return f"{said}{here}{f' ({entry.reason})' if entry.reason else ''}"


def _token(text: str) -> str:
    return text.replace(" ", "-")
