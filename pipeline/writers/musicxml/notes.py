"""The groups of elements that notes of both parts are made of, in the order of the schema.

``note``: chord · pitch, unpitched or rest · duration · tie · footnote · level · voice · type · dot ·
accidental · time-modification · stem · notehead · staff · beam · notations.
"""

from __future__ import annotations

from lxml.etree import Element, SubElement, _Element

from pipeline.model.notes import BeamState, Editorial, Ornament, Place, Tuplet
from pipeline.model.pitch import SpelledPitch
from pipeline.model.time import Value
from pipeline.model.xmltext import legal
from pipeline.writers.musicxml.values import ORNAMENTS, TYPES

#: Editorial state → words of ``level``, whether it stands in brackets.
_LEVELS = {
    Editorial.BRACKETED: ("supplied", True),
    Editorial.DOUBTFUL: ("doubtful", False),
    Editorial.BRACKETED_DOUBTFUL: ("supplied, doubtful", True),
}


def text(parent: _Element, tag: str, content: str) -> None:
    """One element that holds text."""
    SubElement(parent, tag).text = content


def pitch(note: _Element, sound: SpelledPitch) -> None:
    """``pitch``: step, alter, octave."""
    element = SubElement(note, "pitch")
    text(element, "step", sound.step)
    if sound.alter:
        text(element, "alter", str(sound.alter))
    text(element, "octave", str(sound.octave))


def ties(note: _Element, *, stop: bool, start: bool) -> None:
    """``tie``: what is heard; ``tied`` in the notations is what is seen."""
    if stop:
        SubElement(note, "tie", type="stop")
    if start:
        SubElement(note, "tie", type="start")


def level(parent: _Element, editorial: Editorial) -> None:
    """``level``: nothing for a sign that is simply the source's."""
    if editorial is not Editorial.PLAIN:
        words, bracket = _LEVELS[editorial]
        SubElement(parent, "level", {"bracket": "yes"} if bracket else {}).text = words


def level_words(editorial: Editorial) -> str:
    """What ``level`` says; empty for a sign that is simply the source's."""
    return _LEVELS[editorial][0] if editorial is not Editorial.PLAIN else ""


def value(note: _Element, written: Value) -> None:
    """``type`` and its ``dot``\\ s."""
    text(note, "type", TYPES[written.unit])
    for _ in range(written.dots):
        SubElement(note, "dot")


def time_modification(note: _Element, tuplet: Tuplet | None) -> None:
    """``time-modification``: actual-notes, normal-notes."""
    if tuplet is not None:
        element = SubElement(note, "time-modification")
        text(element, "actual-notes", str(tuplet.notes))
        text(element, "normal-notes", str(tuplet.time))


def notehead(note: _Element, editorial: Editorial) -> None:
    """``notehead``: round brackets, the only ones that programs draw; ``level`` says that square ones are meant."""
    if editorial in {Editorial.BRACKETED, Editorial.BRACKETED_DOUBTFUL}:
        SubElement(note, "notehead", parentheses="yes").text = "normal"


def beams(note: _Element, states: tuple[BeamState, ...]) -> None:
    """``beam``: one for each level from 1."""
    for number, state in enumerate(states, start=1):
        SubElement(note, "beam", number=str(number)).text = state.value


def tuplet_ends(notations: _Element, tuplet: Tuplet | None) -> None:
    """``tuplet``: where the group begins and ends."""
    if tuplet is not None and tuplet.starts:
        SubElement(notations, "tuplet", type="start", number="1")
    if tuplet is not None and tuplet.ends:
        SubElement(notations, "tuplet", type="stop", number="1")


def strum(technical: _Element, direction: str) -> None:
    """``up-bow``, ``down-bow``: the standard's only signs for the direction of a stroke."""
    if direction:
        SubElement(technical, "up-bow" if direction == "up" else "down-bow")


def place(technical: _Element, course: int, fret: int | None) -> None:
    """``string`` and ``fret``. The number of a string is that of its course: on a re-entrant instrument the order of
    pitch, by which the standard counts, is not the order of the courses."""
    if course > 0:
        text(technical, "string", str(course))
    if fret is not None:
        text(technical, "fret", str(fret))


def fingers(technical: _Element, left: str, right: str) -> None:
    """``fingering`` of the left hand, ``pluck`` of the right."""
    if left:
        text(technical, "fingering", legal(left))
    if right:
        text(technical, "pluck", legal(right))


def ornaments(note: _Element, signs: tuple[Ornament, ...], *, as_printed: bool) -> None:
    """``ornaments`` in the notations of a note; an added or doubtful one in its own, under ``level``.

    ``as_printed`` writes the sign of the source, else its meaning if the standard has an element for it.
    """
    plain: _Element | None = None
    for sign in signs:
        if sign.editorial is not Editorial.PLAIN:
            own = SubElement(note, "notations")
            level(own, sign.editorial)
            holder = SubElement(own, "ornaments")
        else:
            holder = plain = SubElement(notations_of(note), "ornaments") if plain is None else plain
        _ornament(holder, sign, "" if as_printed else ORNAMENTS.get(sign.meaning.strip().lower(), ""))


def _ornament(holder: _Element, sign: Ornament, tag: str) -> None:
    element = SubElement(holder, tag or "other-ornament")
    if sign.place in {Place.ABOVE, Place.BELOW}:
        element.set("placement", sign.place.value)
    if not tag:
        element.text = legal(sign.printed)


def add_footnote(note: _Element, content: str) -> None:
    """``footnote``: before ``level`` and ``voice``; a note holds one, so several are joined before."""
    for index, child in enumerate(note):
        if child.tag in {"level", "voice"}:
            footnote = Element("footnote")
            footnote.text = legal(content)
            note.insert(index, footnote)
            return


def notations_of(note: _Element) -> _Element:
    """The first ``notations`` of a note, the only one that some readers look at; made if there is none that is printed,
    before one that is not."""
    found = note.find("notations")
    if found is not None and "print-object" not in found.attrib:
        return found
    made = SubElement(note, "notations")
    if found is not None:
        found.addprevious(made)
    return made
