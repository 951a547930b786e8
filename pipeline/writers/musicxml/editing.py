"""What the apparatus says, at the notes and bar lines it speaks of: ``level`` names what was done, ``footnote`` why.

Readings themselves stand in the notes at the foot of the page, which the notes carry already; the standard has no
element for what another source has.
"""

from __future__ import annotations

from collections.abc import Sequence

from lxml.etree import SubElement, _Element

from pipeline.model.apparatus import Apparatus, Entry, Kind, Subject
from pipeline.model.xmltext import legal

#: Named at a note, where it has no level of its own yet: what is done with figures stands in the tablature and on the
#: staves, readings of voices and octaves on the staves only.
_AT_BOTH = frozenset({Kind.EMENDED, Kind.ILLEGIBLE, Kind.LOST})
_ON_STAVES = frozenset({Kind.RESTORED, Kind.ASKED, Kind.PINNED})
_LINES = frozenset({Kind.ADDED, Kind.DOUBTFUL})
#: What stands before ``level`` in a note: the first of these that follows it marks its place.
_BEHIND_LEVEL = frozenset({"voice", "type", "dot", "accidental", "time-modification", "stem", "notehead", "staff"})


def mark_readings(root: _Element, apparatus: Apparatus) -> None:
    """Put the apparatus into a finished document. Linear time."""
    levels: dict[str, str] = {}
    lines: list[Entry] = []
    for entry in apparatus.entries:
        if entry.part:
            continue
        if entry.subject is Subject.SIGN:
            if entry.kind in _AT_BOTH:
                levels.setdefault(f"t-{entry.at}", entry.kind.value)
                levels.setdefault(f"n-{entry.at}", entry.kind.value)
            elif entry.kind in _ON_STAVES:
                for at in (entry.at, *entry.also):
                    levels.setdefault(f"n-{at}", entry.kind.value)
        elif entry.subject is Subject.BAR_LINE and entry.kind in _LINES:
            lines.append(entry)
    if levels:
        for note in root.iter("note"):
            said = levels.get(note.get("id", ""))
            if said is not None:
                _level(note, said)
    if lines:
        parts = [part.findall("measure") for part in root.iterfind("part")]
        for entry in lines:
            _line(parts, entry)


def _level(note: _Element, said: str) -> None:
    """``level``: behind ``footnote``, before ``voice``; one that is there already is kept."""
    if note.find("level") is not None:
        return
    place = next((index for index, child in enumerate(note) if child.tag in _BEHIND_LEVEL), len(note))
    level = note.makeelement("level")
    level.text = said
    note.insert(place, level)


def _line(parts: Sequence[Sequence[_Element]], entry: Entry) -> None:
    """``barline``: bar-style, footnote, level … of the line that ends a measure, in every part."""
    number = int(entry.at.removeprefix("b"))
    for measures in parts:
        if entry.event or number > len(measures):
            continue  # a line inside a bar is none in the edition
        barline = measures[number - 1].find("barline[@location='right']")
        if barline is None:
            barline = SubElement(measures[number - 1], "barline", location="right")
            SubElement(barline, "bar-style").text = "regular"
        place = 1 if len(barline) and barline[0].tag == "bar-style" else 0
        said = entry.reason or f"{entry.source} in the source"
        for tag, text in (("level", entry.kind.value), ("footnote", said)):
            element = barline.makeelement(tag)
            element.text = legal(text)
            barline.insert(place, element)
